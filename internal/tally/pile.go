package tally

import "strokeledger/internal/club"

// pile is what has been counted for one group.
type pile struct {
	sessions        int
	first, last     club.Date
	turns           int
	seconds         float64
	good            int
	exposure        exposure
	unloggedTurns   int
	unloggedSeconds float64
	streak          Streak
	faults          []count // by index of the fault; shorter than all faults where the rest is nought
}

// count is what has been counted of one fault.
type count struct {
	kinds [4]int // by markKind
	ids   []club.ID
}

// marks is how many marks there are of any kind.
func (c *count) marks() int {
	return c.kinds[struck] + c.kinds[repeated] + c.kinds[unplaced] + c.kinds[unlogged]
}

// occurrences is how often the fault was seen: strokes with it, and marks where
// no strokes are logged.
func (c *count) occurrences() int { return c.kinds[struck] + c.kinds[unlogged] }

// markKind says how a mark enters the numbers.
type markKind int

const (
	struck   markKind = iota // the first mark of its fault on a stroke
	repeated                 // one more on the same stroke
	unplaced                 // in a turn with strokes, none of which could have had the fault
	unlogged                 // in a turn without logged strokes
)

// exposure counts strokes by side.
type exposure struct {
	forehand, backhand, unknown int
}

func exposureOf(sides []club.Side) exposure {
	var e exposure
	for _, s := range sides {
		switch s {
		case club.Forehand:
			e.forehand++
		case club.Backhand:
			e.backhand++
		default:
			e.unknown++
		}
	}
	return e
}

func (e *exposure) add(o exposure) {
	e.forehand += o.forehand
	e.backhand += o.backhand
	e.unknown += o.unknown
}

func (e exposure) all() int { return e.forehand + e.backhand + e.unknown }

// of is how many of the strokes could have had a fault of those sides.
func (e exposure) of(f club.Sides) int {
	n := 0
	if f.Could(club.Forehand) {
		n += e.forehand
	}
	if f.Could(club.Backhand) {
		n += e.backhand
	}
	if f.Could("") {
		n += e.unknown
	}
	return n
}

// sight is what one turn adds to each of its groups.
type sight struct {
	exposure exposure
	seconds  float64
	good     int
	streak   Streak
}

// look counts what does not depend on the group. target is the streak that the
// turn's drill asks for.
func look(r *club.TurnRecord, sides []club.Side, target int) sight {
	s := sight{exposure: exposureOf(sides), seconds: r.Seconds()}
	if len(r.Strokes) == 0 {
		return s
	}
	for i := range r.Strokes {
		if r.Strokes[i].Outcome == club.Good {
			s.good++
		}
	}
	longest, _ := r.Streak()
	s.streak = Streak{
		Longest: longest, Target: target, Reached: longest >= target,
		TurnID: r.ID, ClipID: r.ClipID, Frame: r.First,
	}
	return s
}

// addTurn counts a turn. Turns come in order of date.
func (p *pile) addTurn(r *club.TurnRecord, s sight) {
	if p.turns == 0 {
		p.first = r.Date
	}
	if p.turns == 0 || p.last != r.Date {
		p.sessions++
		p.last = r.Date
	}
	p.turns++
	p.seconds += s.seconds
	if len(r.Strokes) == 0 {
		p.unloggedTurns++
		p.unloggedSeconds += s.seconds
		return
	}
	p.exposure.add(s.exposure)
	p.good += s.good
	reached := p.streak.Reached || s.streak.Reached
	// Of two equal streaks the earlier is shown.
	if p.streak.TurnID == "" || s.streak.Longest > p.streak.Longest {
		p.streak = s.streak
	}
	p.streak.Reached = reached
}

func (p *pile) addMark(fault int, kind markKind) {
	for len(p.faults) <= fault {
		p.faults = append(p.faults, count{})
	}
	p.faults[fault].kinds[kind]++
}

// noteMark notes the ID of a mark, after all have been counted.
func (p *pile) noteMark(fault int, id club.ID) {
	c := &p.faults[fault]
	if c.ids == nil {
		c.ids = make([]club.ID, 0, c.marks())
	}
	c.ids = append(c.ids, id)
}

// of returns what was counted of a fault.
func (p *pile) of(fault int) *count {
	if fault < len(p.faults) {
		return &p.faults[fault]
	}
	return new(count)
}

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
func (c count) marks() int { return len(c.ids) }

// occurrences is how often the fault was seen: strokes with it, and marks where
// no strokes are logged.
func (c count) occurrences() int { return c.kinds[struck] + c.kinds[unlogged] }

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

// addTurn counts a turn whose strokes are as in here and whose drill asks for a
// streak of target. Turns come in order of date.
func (p *pile) addTurn(r *club.TurnRecord, here exposure, target int) {
	if p.turns == 0 {
		p.first = r.Date
	}
	if p.turns == 0 || p.last != r.Date {
		p.sessions++
		p.last = r.Date
	}
	p.turns++
	p.seconds += r.Seconds()
	if len(r.Strokes) == 0 {
		p.unloggedTurns++
		p.unloggedSeconds += r.Seconds()
		return
	}
	p.exposure.add(here)
	for i := range r.Strokes {
		if r.Strokes[i].Outcome == club.Good {
			p.good++
		}
	}
	longest, _ := r.Streak()
	reached := p.streak.Reached || longest >= target
	// Of two equal streaks the earlier is shown.
	if p.streak.TurnID == "" || longest > p.streak.Longest {
		p.streak = Streak{Longest: longest, Target: target, TurnID: r.ID, ClipID: r.ClipID, Frame: r.First}
	}
	p.streak.Reached = reached
}

func (p *pile) addMark(fault int, id club.ID, kind markKind) {
	for len(p.faults) <= fault {
		p.faults = append(p.faults, count{})
	}
	c := &p.faults[fault]
	c.kinds[kind]++
	c.ids = append(c.ids, id)
}

// of returns what was counted of a fault.
func (p *pile) of(fault int) count {
	if fault < len(p.faults) {
		return p.faults[fault]
	}
	return count{}
}

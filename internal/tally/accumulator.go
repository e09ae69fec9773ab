package tally

import (
	"math/bits"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// accumulator is what has been counted of turns that belong together: of one player at
// one drill, and, joined, of any group.
type accumulator struct {
	days            days // training dates
	turns           int
	seconds         float64
	hits            rate.Moments   // good strokes of all
	strokes         [exposures]int // all, also those that nobody has looked at
	looked          group.Looked
	watches         watches
	unloggedTurns   int
	unloggedSeconds float64
	streak          group.Streak
	streakAt        int     // the number of the streak's turn, counted from 1; 0 without strokes
	lastAt          int     // the number of the last turn with strokes
	faults          []count // by index of the fault; shorter than all faults where the rest is nought

	margins []float64 // of strokes with both moments known, seconds
	late    rate.Moments
	lates   []lateAt
	paces   []float64 // strokes a minute of each turn with two or more
	uneven  float64   // sum of squares of the gaps round their turn's mean, as parts of it
	freely  int       // how many gaps may differ: one less than there are, in each turn
}

// exposure tells strokes apart by the faults that could have happened on them.
type exposure int

const (
	onForehand    exposure = iota // could have a fault of forehands: all but known backhands
	onBackhand                    // could have a fault of backhands
	onAny                         // every stroke
	knownForehand                 // of known side, for comparing sides
	knownBackhand
	exposures
)

// exposureOf says on which strokes a fault of those sides can happen.
func exposureOf(s club.Sides) exposure {
	switch s {
	case club.ForehandOnly:
		return onForehand
	case club.BackhandOnly:
		return onBackhand
	}
	return onAny
}

// count is what has been counted of one fault.
type count struct {
	kinds [5]int32     // marks by markKind
	own   strikes      // over the strokes on which it could have happened
	sides [2]strikes   // over strokes of known side, forehand and backhand
	timed rate.Minutes // marks in turns without logged strokes; only X, XX and XT are used
}

// strikes are the sums over turns, of strokes that were looked at, that a fault adds
// to those of its exposure.
type strikes struct{ x, xx, xn int }

func (s *strikes) add(x, n int) {
	s.x += x
	s.xx += x * x
	s.xn += x * n
}

func (s *strikes) join(o strikes) {
	s.x += o.x
	s.xx += o.xx
	s.xn += o.xn
}

// marks is how many marks there are of any kind.
func (c *count) marks() int {
	return int(c.kinds[struck] + c.kinds[repeated] + c.kinds[unplaced] + c.kinds[unlogged] + c.kinds[unlooked])
}

// occurrences is how often the fault was seen: strokes with it, and marks where
// no strokes are logged.
func (c *count) occurrences() int { return int(c.kinds[struck] + c.kinds[unlogged]) }

// markKind says how a mark enters the numbers.
type markKind int

const (
	struck   markKind = iota // the first mark of its fault on a stroke
	repeated                 // one more on the same stroke
	unplaced                 // in a turn with strokes, none of which could have had the fault
	unlogged                 // in a turn without logged strokes
	unlooked                 // where nobody has looked for its fault: in no rate
)

// of returns what was counted of a fault.
func (p *accumulator) of(fault int) *count {
	if fault < len(p.faults) {
		return &p.faults[fault]
	}
	return new(count)
}

// at is of, for counting; there are so many faults so far.
func (p *accumulator) at(fault, faults int) *count {
	if len(p.faults) <= fault {
		p.faults = append(p.faults, make([]count, faults-len(p.faults))...)
	}
	return &p.faults[fault]
}

// moments puts a fault's strokes together with its exposure.
func (p *accumulator) moments(fault int, e exposure) rate.Moments {
	m, c := p.watches.moments(fault, e), p.of(fault)
	from := c.own
	switch e {
	case knownForehand:
		from = c.sides[0]
	case knownBackhand:
		from = c.sides[1]
	}
	m.X, m.XX, m.XN = from.x, from.xx, from.xn
	return m
}

// minutes puts a fault's marks in turns without strokes together with their time.
func (p *accumulator) minutes(fault int) rate.Minutes {
	m := p.watches.minutes(fault)
	m.Join(p.of(fault).timed)
	return m
}

// join adds another accumulator that shares no turn with this one.
func (p *accumulator) join(o *accumulator) {
	p.days.join(o.days)
	p.turns += o.turns
	p.seconds += o.seconds
	p.hits.Join(o.hits)
	for i := range p.strokes {
		p.strokes[i] += o.strokes[i]
	}
	p.looked.Join(o.looked)
	p.watches.join(o.watches)
	p.unloggedTurns += o.unloggedTurns
	p.unloggedSeconds += o.unloggedSeconds
	p.joinStreak(o)
	for i := range o.faults {
		mine, its := p.at(i, len(o.faults)), &o.faults[i]
		for k := range mine.kinds {
			mine.kinds[k] += its.kinds[k]
		}
		mine.own.join(its.own)
		mine.sides[0].join(its.sides[0])
		mine.sides[1].join(its.sides[1])
		mine.timed.Join(its.timed)
	}
	p.margins = append(p.margins, o.margins...)
	p.late.Join(o.late)
	p.lates = append(p.lates, o.lates...)
	p.paces = append(p.paces, o.paces...)
	p.uneven += o.uneven
	p.freely += o.freely
}

// joinStreak keeps the longest streak, the earlier of two equal ones, and the
// later current one.
func (p *accumulator) joinStreak(o *accumulator) {
	if o.streakAt == 0 {
		return
	}
	reached, current, lastAt := p.streak.Reached || o.streak.Reached, p.streak.Current, p.lastAt
	if o.lastAt > lastAt {
		current, lastAt = o.streak.Current, o.lastAt
	}
	if p.streakAt == 0 || o.streak.Longest > p.streak.Longest || o.streak.Longest == p.streak.Longest && o.streakAt < p.streakAt {
		p.streak, p.streakAt = o.streak, o.streakAt
	}
	p.streak.Reached, p.streak.Current, p.lastAt = reached, current, lastAt
}

// days is a set of training dates, by their number in Counter.dates.
type days []uint64

func (d *days) add(day int) {
	for len(*d) <= day/64 {
		*d = append(*d, 0)
	}
	(*d)[day/64] |= 1 << (day % 64)
}

func (d *days) join(o days) {
	for len(*d) < len(o) {
		*d = append(*d, 0)
	}
	for i, w := range o {
		(*d)[i] |= w
	}
}

// span returns how many days there are, the first and the last; -1 for none.
func (d days) span() (n, first, last int) {
	first, last = -1, -1
	for i, w := range d {
		if w == 0 {
			continue
		}
		n += bits.OnesCount64(w)
		if first < 0 {
			first = 64*i + bits.TrailingZeros64(w)
		}
		last = 64*i + bits.Len64(w) - 1
	}
	return n, first, last
}

// joined is a new accumulator of several; empty for none.
func joined(parts ...*accumulator) *accumulator {
	all := &accumulator{}
	for _, p := range parts {
		all.join(p)
	}
	return all
}

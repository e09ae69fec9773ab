package agreement

import (
	"slices"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
)

// matcher lays two readings of turns side by side, stroke by stroke.
type matcher struct {
	faults []club.Fault
	byID   map[club.ID]club.Fault
	drills map[club.ID]club.Drill

	turns, strokes int
	counts         []map[club.ID]Counts // of each pair, by fault
	outcome, side  []Counts             // of each pair
	frames, millis map[club.ID][]float64
	ready          []float64
	taken          map[takenKey]int
	said           map[string]int
	differ         map[club.ID]int
	apart          []Disagreement
	whole          []Disagreement // strokes at which both looked for all that could have come, what differs or not
}

type takenKey struct{ first, second string }

func newMatcher(c club.Catalogue) *matcher {
	m := &matcher{faults: c.Faults, byID: map[club.ID]club.Fault{}, drills: map[club.ID]club.Drill{},
		frames: map[club.ID][]float64{}, millis: map[club.ID][]float64{}, taken: map[takenKey]int{},
		said: map[string]int{}, differ: map[club.ID]int{}, apart: []Disagreement{}}
	for _, f := range c.Faults {
		m.byID[f.ID] = f
	}
	for _, d := range c.Drills {
		m.drills[d.ID] = d
	}
	return m
}

// turnsOf are the counts of a fault, turn by turn.
func (m *matcher) turnsOf(fault club.ID) []Counts {
	all := make([]Counts, len(m.counts))
	for i, by := range m.counts {
		all[i] = by[fault]
	}
	return all
}

// seen is a reading made ready: which marks hang on which stroke.
type seen struct {
	*Reading
	sides []club.Side
	at    map[club.ID]int           // strokes
	on    map[int]map[club.ID][]int // marks by stroke and fault
}

func (m *matcher) see(r *Reading) seen {
	p := m.drills[r.DrillID].Pattern
	s := seen{r, r.Sides(p), map[club.ID]int{}, map[int]map[club.ID][]int{}}
	for i, x := range r.Strokes {
		s.at[x.ID] = i
	}
	for i, stroke := range aim.Hung(&r.TurnRecord, m.byID, p) {
		if stroke >= 0 {
			if s.on[stroke] == nil {
				s.on[stroke] = map[club.ID][]int{}
			}
			f := r.Marks[i].FaultID
			s.on[stroke][f] = append(s.on[stroke][f], i)
		}
	}
	return s
}

// looked reports whether the coach has said to have looked at a stroke for a fault, or
// with none for any.
func (s *seen) looked(stroke int, fault club.ID) bool {
	return slices.ContainsFunc(s.Looks, func(l club.Look) bool {
		return !l.Assumed && l.Covers(s.Strokes[stroke].Frame) && (fault == "" || l.For(fault))
	})
}

func (m *matcher) add(p *Pair) {
	a, b := m.see(&p.First), m.see(&p.Second)
	counts, strokes := map[club.ID]Counts{}, 0
	var outcome, side Counts
	for i := range a.Strokes {
		k, both := b.at[a.Strokes[i].ID]
		if !both || !a.looked(i, "") || !b.looked(k, "") {
			continue
		}
		strokes++
		m.stroke(&a, &b, i, k, counts)
		if p.First.Judged || p.Second.Judged {
			outcome.Add(said(a.Strokes[i].Outcome == club.Missed, b.Strokes[k].Outcome == club.Missed))
			if a.sides[i] != "" && b.sides[k] != "" {
				side.Add(said(a.sides[i] == club.Forehand, b.sides[k] == club.Forehand))
			}
			if one, two := a.Strokes[i].Ready, b.Strokes[k].Ready; one != nil && two != nil {
				m.ready = append(m.ready, a.Base.Seconds(two.Ticks-one.Ticks))
			}
		}
	}
	if strokes > 0 {
		m.turns++
		m.strokes += strokes
	}
	m.counts, m.outcome, m.side = append(m.counts, counts), append(m.outcome, outcome), append(m.side, side)
}

func said(one, two bool) Counts {
	switch {
	case one && two:
		return Counts{Both: 1}
	case one:
		return Counts{First: 1}
	case two:
		return Counts{Second: 1}
	}
	return Counts{Neither: 1}
}

// stroke counts what the two said of one stroke: its i-th to the first, its k-th to the
// second.
func (m *matcher) stroke(a, b *seen, i, k int, counts map[club.ID]Counts) {
	d := Disagreement{ClipID: a.ClipID, TurnID: a.ID, PlayerID: a.PlayerID, StrokeID: a.Strokes[i].ID, Date: a.Date, Frame: a.Strokes[i].Frame,
		From: a.Strokes[i].Frame, To: a.Strokes[i].Frame, Picture: a.Picture, Both: []club.ID{}, First: []Said{}, Second: []Said{}}
	whole := true
	for _, f := range m.faults {
		if !f.Sides.Could(a.sides[i]) || !f.Sides.Could(b.sides[k]) {
			continue
		}
		if !a.looked(i, f.ID) || !b.looked(k, f.ID) {
			whole = whole && f.Retired
			continue
		}
		one, two := a.on[i][f.ID], b.on[k][f.ID]
		c := counts[f.ID]
		c.Add(said(len(one) > 0, len(two) > 0))
		counts[f.ID] = c
		if len(one) > 0 {
			m.said[f.Code]++
		}
		switch {
		case len(one) > 0 && len(two) > 0:
			d.Both = append(d.Both, f.ID)
			m.taken[takenKey{f.Code, f.Code}]++
			m.time(a, b, one[0], two, f.ID)
		case len(one) > 0:
			d.First = append(d.First, Said{f.ID, ids(a.Marks, one)})
		case len(two) > 0:
			d.Second = append(d.Second, Said{f.ID, ids(b.Marks, two)})
		}
	}
	if whole {
		m.whole = append(m.whole, d)
	}
	if len(d.First)+len(d.Second) == 0 {
		return
	}
	d.From, d.To = Stretch(&a.TurnRecord, d.Frame)
	for _, s := range append(slices.Clone(d.First), d.Second...) {
		d.Cost += m.byID[s.FaultID].Weight
		m.differ[s.FaultID]++
	}
	m.apart = append(m.apart, d)
	for _, s := range d.First {
		code := m.byID[s.FaultID].Code
		if len(d.Second) == 0 {
			m.taken[takenKey{code, ""}]++
		}
		for _, o := range d.Second {
			m.taken[takenKey{code, m.byID[o.FaultID].Code}]++
		}
	}
}

func ids(marks []club.Mark, of []int) (all []club.ID) {
	for _, i := range of {
		all = append(all, marks[i].ID)
	}
	return all
}

// time notes how far the second's nearest mark lies from the first's.
func (m *matcher) time(a, b *seen, one int, two []int, fault club.ID) {
	near := a.Marks[one]
	best := b.Marks[two[0]]
	for _, i := range two[1:] {
		if distance(b.Marks[i], near) < distance(best, near) {
			best = b.Marks[i]
		}
	}
	for _, key := range []club.ID{fault, ""} {
		m.frames[key] = append(m.frames[key], float64(best.Frame-near.Frame))
		m.millis[key] = append(m.millis[key], 1000*a.Base.Seconds(best.Ticks-near.Ticks))
	}
}

func distance(a, b club.Mark) int64 { return max(a.Ticks-b.Ticks, b.Ticks-a.Ticks) }

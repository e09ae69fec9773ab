package agreement

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
)

// Several is how far more than two coaches agree on one fault.
type Several struct {
	FaultID club.ID `json:"fault_id"`
	Code    string  `json:"code"`
	Strokes int     `json:"strokes"` // of which at least two coaches said something
	Said    int     `json:"said"`    // of these, by at least one
	Alpha   *Figure `json:"alpha"`   // nil: said by nobody, or too rarely
	AC1     *Figure `json:"ac1"`
}

// CompareSeveral says how far any number of coaches agree, fault by fault. turns are the
// readings of each turn, those of one coach always at the same place, nil where a coach
// has none. Intervals draw whole turns with the seed.
func CompareSeveral(c club.Catalogue, turns [][]*Reading, seed uint64) []Several {
	m := newMatcher(c)
	all := []Several{}
	units, byTurn := map[club.ID]Units{}, map[club.ID][]sums{}
	for _, readings := range turns {
		here := m.units(readings)
		for _, f := range c.Faults {
			if u := here[f.ID]; len(u) > 0 {
				units[f.ID] = append(units[f.ID], u...)
				byTurn[f.ID] = append(byTurn[f.ID], u.sums())
			}
		}
	}
	for _, f := range c.Faults {
		s := Several{FaultID: f.ID, Code: f.Code, Strokes: len(units[f.ID])}
		differ := false
		for _, unit := range units[f.ID] {
			by, _ := ratings(unit)
			if by[1] > 0 {
				s.Said++
			}
			differ = differ || len(by) > 1
		}
		if s.Strokes == 0 {
			continue
		}
		if s.Said >= fewestSaid {
			s.Alpha = figure(units[f.ID].Alpha())
			s.AC1 = figure(units[f.ID].AC1(2))
			if r, ok := around(byTurn[f.ID], differ, seed, alphaOf); ok && s.Alpha != nil {
				s.Alpha.Range = &interval.Interval{Low: r.Low, High: r.High}
			}
		}
		all = append(all, s)
	}
	return all
}

func figure(v float64, ok bool) *Figure {
	if !ok {
		return nil
	}
	return &Figure{Value: v}
}

// units lays the readings of one turn side by side: of each stroke and fault that at
// least two have looked at, what each said.
func (m *matcher) units(readings []*Reading) map[club.ID]Units {
	all := make([]*seen, len(readings))
	by := map[club.ID]Units{}
	var first *seen
	for i, r := range readings {
		if r != nil {
			s := m.see(r)
			all[i] = &s
			if first == nil {
				first = &s
			}
		}
	}
	if first == nil {
		return by
	}
	for k := range first.Strokes {
		for _, f := range m.faults {
			unit, n := make([]int, len(all)), 0
			for i, s := range all {
				unit[i] = Gap
				if s == nil {
					continue
				}
				at, ok := s.at[first.Strokes[k].ID]
				if !ok || !f.Sides.Could(s.sides[at]) || !s.looked(at, f.ID) {
					continue
				}
				unit[i] = min(1, len(s.on[at][f.ID]))
				n++
			}
			if n > 1 {
				by[f.ID] = append(by[f.ID], unit)
			}
		}
	}
	return by
}

// sums are what alpha of two answers is worked out from: pairs that agree, answers, and
// those that say the fault.
func (u Units) sums() (s sums) {
	for _, unit := range u {
		by, n := ratings(unit)
		if n < 2 {
			continue
		}
		s[1] += float64(n)
		s[2] += float64(by[1])
		for _, k := range by {
			s[0] += float64(k*(k-1)) / float64(n-1)
		}
	}
	return s
}

func alphaOf(s sums) (float64, bool) {
	total, said := s[1], s[2]
	if total < 2 {
		return 0, false
	}
	pairs := said*(said-1) + (total-said)*(total-said-1)
	return beyond(s[0]/total, pairs/(total*(total-1)), true)
}

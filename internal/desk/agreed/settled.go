package agreed

import (
	"context"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/agreement"
)

// Settled is a stroke of which the team knows what is there: two readings said the same of
// it, or it was decided.
type Settled struct {
	ClipID   club.ID
	StrokeID club.ID
	Faults   []club.ID // there; none: a stroke without a fault
}

// Settled are those strokes at which a coach has not looked, in order of ID. Where two
// readings differ and nobody has decided, or others say something else, a stroke is not
// settled.
func (x *Coaches) Settled(ctx context.Context, without club.ID) ([]Settled, error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	n, err := x.notes(ctx)
	if err != nil {
		return nil, err
	}
	turns, err := x.lib.Record(ctx, store.Filter{Raw: true})
	if err != nil {
		return nil, err
	}
	turns = slices.DeleteFunc(turns, func(t club.TurnRecord) bool {
		return slices.ContainsFunc(t.Looks, func(l club.Look) bool { return l.CoachID == without })
	})
	decided := map[club.ID][]club.ID{}
	for _, d := range n.decisions { // in the order in which they were made
		decided[d.StrokeID] = d.Faults
	}
	all, open := map[club.ID]Settled{}, map[club.ID]bool{}
	for i, first := range cat.Coaches {
		for _, second := range cat.Coaches[i:] {
			for _, d := range agreement.Strokes(cat, n.pairs(turns, first.ID, second.ID)) {
				s := Settled{d.ClipID, d.StrokeID, d.Both}
				if faults, ok := decided[d.StrokeID]; ok {
					s.Faults = faults
				} else if len(d.First)+len(d.Second) > 0 {
					open[d.StrokeID] = true
				}
				slices.Sort(s.Faults)
				if other, ok := all[d.StrokeID]; ok && !slices.Equal(other.Faults, s.Faults) {
					open[d.StrokeID] = true
				}
				all[d.StrokeID] = s
			}
		}
	}
	var list []Settled
	for id, s := range all {
		if !open[id] {
			list = append(list, s)
		}
	}
	slices.SortFunc(list, func(a, b Settled) int {
		if a.StrokeID < b.StrokeID {
			return -1
		}
		return 1
	})
	return list, nil
}

// pairs are the turns as two coaches have read them, whoever of the two was first.
func (n *notes) pairs(turns []club.TurnRecord, one, two club.ID) (pairs []agreement.Pair) {
	for i := range turns {
		p, ok := n.pair(&turns[i], one, two)
		if !ok && one != two {
			p, ok = n.pair(&turns[i], two, one)
		}
		if ok {
			pairs = append(pairs, p)
		}
	}
	return pairs
}

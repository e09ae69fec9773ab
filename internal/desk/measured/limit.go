package measured

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/measure"
	"strokeledger/internal/store"
)

// said is what coaches have said of one stroke.
type said struct{ marked, clean []club.ID }

// saidOf is what coaches have said of the strokes of a clip that are in the ledger.
func saidOf(v *heard.Clip, cat club.Catalogue) map[club.ID]said {
	out := map[club.ID]said{}
	for _, t := range v.Ledger.Turns {
		r := v.Answered(t)
		maps.Copy(out, saidIn(&r, v.Drills[t.DrillID].Pattern, cat))
	}
	return out
}

// saidIn is what coaches have said of the strokes of one turn.
func saidIn(r *club.TurnRecord, pattern club.Pattern, cat club.Catalogue) map[club.ID]said {
	faults, out := map[club.ID]club.Fault{}, map[club.ID]said{}
	for _, f := range cat.Faults {
		faults[f.ID] = f
	}
	sides := r.Sides(pattern)
	on := make([][]club.ID, len(r.Strokes))
	for i, stroke := range aim.Hung(r, faults, pattern) {
		if f := r.Marks[i].FaultID; stroke >= 0 && !slices.Contains(on[stroke], f) {
			on[stroke] = append(on[stroke], f)
		}
	}
	for i, s := range r.Strokes {
		one := said{on[i], []club.ID{}}
		if one.marked == nil {
			one.marked = []club.ID{}
		}
		for _, f := range cat.Faults {
			if f.Sides.Could(sides[i]) && !slices.Contains(on[i], f.ID) && r.LookedAt(f.ID, s.Frame) {
				one.clean = append(one.clean, f.ID)
			}
		}
		out[s.ID] = one
	}
	return out
}

// Limit is the limit that parts the strokes of a clip that a coach has marked with a
// fault from those that were looked at and not marked. The error is a *club.Problem where
// there are too few, or the fault does not show in its measure.
func (x *Meter) Limit(ctx context.Context, clipID, faultID club.ID) (float64, error) {
	return x.limit(ctx, faultID, "this clip has", func() ([]Stroke, error) { return x.Measures(ctx, clipID) })
}

// LimitOver is [Meter.Limit] over the turns that the filter picks, in all their clips.
func (x *Meter) LimitOver(ctx context.Context, f store.Filter, faultID club.ID) (float64, error) {
	return x.limit(ctx, faultID, "these clips have", func() ([]Stroke, error) { return x.Strokes(ctx, f) })
}

func (x *Meter) limit(ctx context.Context, faultID club.ID, has string, strokes func() ([]Stroke, error)) (float64, error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return 0, err
	}
	i := slices.IndexFunc(cat.Faults, func(f club.Fault) bool { return f.ID == faultID })
	if i < 0 || cat.Faults[i].Measure == "" {
		return 0, &club.Problem{Say: "This fault goes with no measure: choose one on the club screen first."}
	}
	f := cat.Faults[i]
	all, err := strokes()
	if err != nil {
		return 0, err
	}
	var clean, faulty []float64
	for _, s := range all {
		for _, v := range s.Values {
			switch {
			case v.Measure != f.Measure:
			case slices.Contains(s.Marked, f.ID):
				faulty = append(faulty, v.At)
			case slices.Contains(s.Clean, f.ID):
				clean = append(clean, v.At)
			}
		}
	}
	if len(clean) < measure.Shown || len(faulty) < measure.Shown {
		return 0, &club.Problem{Say: fmt.Sprintf("A limit takes %d strokes marked %s and %d that were looked at and are clean; %s %d and %d that are measured.",
			measure.Shown, f.Code, measure.Shown, has, len(faulty), len(clean))}
	}
	limit, ok := measure.LimitOf(clean, faulty)
	if !ok {
		return limit, &club.Problem{Say: fmt.Sprintf("The strokes marked %s do not measure less than the clean ones: this measure does not show the fault here.", f.Code)}
	}
	return limit, nil
}

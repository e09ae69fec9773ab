package agreed

import (
	"context"
	"fmt"
	"slices"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/agreement"
)

// Verdict is what is decided on one stroke of which two coaches said different faults.
type Verdict struct {
	FirstID  club.ID         `json:"first_id"`
	SecondID club.ID         `json:"second_id"`
	StrokeID club.ID         `json:"stroke_id"`
	Choice   standard.Choice `json:"choice"`
	FaultID  club.ID         `json:"fault_id"` // of AnotherFault, else empty
}

// Decide settles one stroke in the name of the coach who marks, as one step of undo. A
// stroke that is settled already is settled anew. Rates count as it says from then on;
// marks stay in the ledger, and the agreement of the two as it was.
func (x *Coaches) Decide(ctx context.Context, v Verdict) (d standard.Decision, err error) {
	s, err := store.Get[club.Stroke](ctx, x.lib.Library, v.StrokeID)
	if err != nil {
		return d, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return d, err
	}
	n, err := x.notes(ctx)
	if err != nil {
		return d, err
	}
	apart, blind, err := x.disagreement(ctx, cat, n, v, s)
	if err != nil {
		return d, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return d, err
	}
	d = standard.Decision{ID: x.lib.NewID(), ClipID: s.ClipID, StrokeID: s.ID, FirstID: v.FirstID, SecondID: v.SecondID, BlindID: blind, CoachID: coach,
		Choice: v.Choice, Faults: append([]club.ID{}, apart.Both...), Dropped: []club.ID{}, Made: x.lib.Now().UTC().Truncate(time.Microsecond)}
	var edits []store.Edit
	for _, o := range n.decisions {
		if o.StrokeID == d.StrokeID && o.FirstID == d.FirstID && o.SecondID == d.SecondID {
			d.ID = o.ID
			if o.AddedID != "" {
				edits = append(edits, store.Remove[club.Mark](o.AddedID))
			}
		}
	}
	sides := []struct {
		said []agreement.Said
		keep bool
	}{
		{apart.First, v.Choice == standard.BothRight || v.Choice == standard.FirstRight},
		{apart.Second, v.Choice == standard.BothRight || v.Choice == standard.SecondRight},
	}
	for _, side := range sides {
		for _, said := range side.said {
			if side.keep {
				d.Faults = append(d.Faults, said.FaultID)
			} else {
				d.Dropped = append(d.Dropped, said.Marks...)
			}
		}
	}
	if v.Choice == standard.AnotherFault {
		m, err := another(cat, v, s, apart)
		if err != nil {
			return d, err
		}
		m.ID, m.CoachID, m.Made = x.lib.NewID(), coach, d.Made
		d.AddedID, d.Faults = m.ID, append(d.Faults, m.FaultID)
		edits = append(edits, store.Put(m))
	}
	if err := d.Check(); err != nil {
		return d, err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("settle the stroke at frame %d", s.Frame), append(edits, store.Put(d))...)
	return d, err
}

// disagreement is what two coaches say differently of a stroke, and the blind look in
// which the second did.
func (x *Coaches) disagreement(ctx context.Context, cat club.Catalogue, n notes, v Verdict, s club.Stroke) (d agreement.Disagreement, blind club.ID, err error) {
	row, err := x.lib.Clip(ctx, s.ClipID)
	if err != nil {
		return d, "", err
	}
	led, err := x.lib.OfClip(ctx, s.ClipID)
	if err != nil {
		return d, "", err
	}
	for _, t := range led.Turns {
		if !t.Covers(s.Frame) {
			continue
		}
		r := library.TurnRecord(row, led, t)
		p, ok := n.pair(&r, v.FirstID, v.SecondID)
		if !ok {
			break
		}
		for _, d := range agreement.Compare(cat, []agreement.Pair{p}, agreement.Words{}, seed).Disagreements {
			if d.StrokeID == s.ID {
				if p.Second.Judged {
					blind = p.Second.Looks[0].BlindID
				}
				return d, blind, nil
			}
		}
	}
	return d, "", &club.Problem{Field: "stroke", Say: "The two coaches do not differ on this stroke: there is nothing to settle."}
}

// another is the mark of a fault that neither of the two has said.
func another(cat club.Catalogue, v Verdict, s club.Stroke, apart agreement.Disagreement) (m club.Mark, err error) {
	f, err := library.Find(cat.Faults, v.FaultID, func(f club.Fault) club.ID { return f.ID }, "fault")
	if err != nil {
		return m, err
	}
	said := func(s agreement.Said) bool { return s.FaultID == f.ID }
	if slices.Contains(apart.Both, f.ID) || slices.ContainsFunc(apart.First, said) || slices.ContainsFunc(apart.Second, said) {
		return m, &club.Problem{Field: "fault", Say: fmt.Sprintf("%s was said already: choose whose word counts, or a fault that neither has said.", f.Code)}
	}
	return club.Mark{ClipID: s.ClipID, FaultID: f.ID, Frame: s.Frame, Ticks: s.Ticks, StrokeID: s.ID, Source: club.ByHand, Confidence: 1}, nil
}

package desk

import (
	"context"
	"fmt"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Ledger returns what was entered on one clip, each kind in order of frame.
func (d *Desk) Ledger(ctx context.Context, clipID club.ID) (store.Ledger, error) {
	return d.Library.OfClip(ctx, clipID)
}

// AddMark marks a fault at a frame in the name of the coach who marks.
func (d *Desk) AddMark(ctx context.Context, clipID club.ID, frame int, faultID club.ID) (club.Mark, error) {
	return d.AddNoted(ctx, clipID, frame, faultID, "")
}

// AddNoted adds a mark together with its note: both of them or none.
func (d *Desk) AddNoted(ctx context.Context, clipID club.ID, frame int, faultID club.ID, note string) (club.Mark, error) {
	row, fault, err := d.clipAndFault(ctx, clipID, faultID)
	if err != nil {
		return club.Mark{}, err
	}
	ticks, err := d.Footage.Ticks(ctx, row, frame)
	if err != nil {
		return club.Mark{}, err
	}
	m, err := d.newMark(ctx, clipID, faultID, frame, ticks)
	if err != nil {
		return m, err
	}
	m.Note = note
	if err := d.putMark(ctx, m, fmt.Sprintf("mark %s at frame %d", fault.Code, frame)); err != nil {
		return club.Mark{}, err
	}
	return m, nil
}

// SaveMark changes the fault, the frame or the note of a mark.
func (d *Desk) SaveMark(ctx context.Context, id, faultID club.ID, frame int, note string) (club.Mark, error) {
	m, err := store.Get[club.Mark](ctx, d.Library.Library, id)
	if err != nil {
		return club.Mark{}, err
	}
	row, fault, err := d.clipAndFault(ctx, m.ClipID, faultID)
	if err != nil {
		return m, err
	}
	n := m
	n.FaultID, n.Frame, n.Note = faultID, frame, note
	if n.Ticks, err = d.Footage.Ticks(ctx, row, frame); err != nil {
		return m, err
	}
	if err := n.Check(); err != nil {
		return m, err
	}
	if n == m {
		return m, nil
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("change mark %s at frame %d", fault.Code, frame), store.Put(n))
	return n, err
}

// RemoveMark takes a mark out of the ledger.
func (d *Desk) RemoveMark(ctx context.Context, id club.ID) error {
	m, err := store.Get[club.Mark](ctx, d.Library.Library, id)
	if err != nil {
		return err
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("remove mark at frame %d", m.Frame), store.Remove[club.Mark](id))
	return err
}

// HangMark hangs a mark on a stroke of its turn; an empty stroke hangs it where its
// fault's phase says again.
func (d *Desk) HangMark(ctx context.Context, id, strokeID club.ID) (club.Mark, error) {
	m, err := store.Get[club.Mark](ctx, d.Library.Library, id)
	if err != nil || m.StrokeID == strokeID {
		return m, err
	}
	label := fmt.Sprintf("hang the mark at frame %d where its phase says", m.Frame)
	if strokeID != "" {
		s, err := store.Get[club.Stroke](ctx, d.Library.Library, strokeID)
		if err != nil {
			return m, err
		}
		led, err := d.Library.OfClip(ctx, m.ClipID)
		if err != nil {
			return m, err
		}
		together := func(t club.Turn) bool { return t.Covers(m.Frame) && t.Covers(s.Frame) }
		if s.ClipID != m.ClipID || !slices.ContainsFunc(led.Turns, together) {
			return m, &club.Problem{Field: "stroke", Say: "This stroke is not in the mark's turn: pick one of the same turn."}
		}
		label = fmt.Sprintf("hang the mark at frame %d on the stroke at frame %d", m.Frame, s.Frame)
	}
	m.StrokeID = strokeID
	_, err = d.Library.Do(ctx, label, store.Put(m))
	return m, err
}

// DrawSign draws a mark's sign on its picture; nil wipes it off.
func (d *Desk) DrawSign(ctx context.Context, id club.ID, sign *club.Sign) (club.Mark, error) {
	m, err := store.Get[club.Mark](ctx, d.Library.Library, id)
	if err != nil {
		return m, err
	}
	m.Sign = sign
	if err := m.Check(); err != nil {
		return m, err
	}
	verb := "draw"
	if sign == nil {
		verb = "wipe off"
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("%s the sign at frame %d", verb, m.Frame), store.Put(m))
	return m, err
}

func (d *Desk) clipAndFault(ctx context.Context, clipID, faultID club.ID) (club.Clip, club.Fault, error) {
	row, err := d.Library.Clip(ctx, clipID)
	if err != nil {
		return club.Clip{}, club.Fault{}, err
	}
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return club.Clip{}, club.Fault{}, err
	}
	fault, err := library.Find(cat.Faults, faultID, func(f club.Fault) club.ID { return f.ID }, "fault")
	return row, fault, err
}

// AddStroke logs a stroke at a frame. Its side is left to the drill's pattern.
func (d *Desk) AddStroke(ctx context.Context, clipID club.ID, frame int, outcome club.Outcome) (club.Stroke, error) {
	row, err := d.Library.Clip(ctx, clipID)
	if err != nil {
		return club.Stroke{}, err
	}
	ticks, err := d.Footage.Ticks(ctx, row, frame)
	if err != nil {
		return club.Stroke{}, err
	}
	coach, err := d.Library.Coach(ctx)
	if err != nil {
		return club.Stroke{}, err
	}
	s := club.Stroke{
		ID: d.Library.NewID(), ClipID: clipID, Frame: frame, Ticks: ticks, Outcome: outcome,
		Source: club.ByHand, Confidence: 1, CoachID: coach,
	}
	if _, err = d.Library.Do(ctx, fmt.Sprintf("%s stroke at frame %d", outcome, frame), store.Put(s)); err != nil {
		return club.Stroke{}, err
	}
	return s, nil
}

// SaveStroke changes the frame, the side or the outcome of a stroke; an empty
// side leaves it to the drill's pattern. What a machine proposed becomes the
// coach's own by it.
func (d *Desk) SaveStroke(ctx context.Context, id club.ID, frame int, side club.Side, outcome club.Outcome) (club.Stroke, error) {
	s, err := store.Get[club.Stroke](ctx, d.Library.Library, id)
	if err != nil {
		return club.Stroke{}, err
	}
	row, err := d.Library.Clip(ctx, s.ClipID)
	if err != nil {
		return s, err
	}
	n := s
	n.Frame, n.Side, n.Outcome = frame, side, outcome
	if s.Source == club.ByMachine {
		n.Source, n.Confidence = club.ByHand, 1
		if n.CoachID, err = d.Library.Coach(ctx); err != nil {
			return s, err
		}
	}
	if n.Ticks, err = d.Footage.Ticks(ctx, row, frame); err != nil {
		return s, err
	}
	if n.Ready != nil && n.Ready.Frame <= frame {
		n.Ready = nil // it was about another moment
	}
	if n.Answer != nil && *n.Answer <= row.Base.Seconds(n.Ticks-row.FirstTicks) {
		n.Answer = nil // and so was this
	}
	if err := n.Check(); err != nil {
		return s, err
	}
	if n == s {
		return s, nil
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("change stroke at frame %d", frame), store.Put(n))
	return n, err
}

// RemoveStroke takes a stroke out of the ledger.
func (d *Desk) RemoveStroke(ctx context.Context, id club.ID) error {
	s, err := store.Get[club.Stroke](ctx, d.Library.Library, id)
	if err != nil {
		return err
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("remove stroke at frame %d", s.Frame), store.Remove[club.Stroke](id))
	return err
}

// SaveTurn adds (empty ID) or changes a turn; its ticks are filled in from its
// frames.
func (d *Desk) SaveTurn(ctx context.Context, t club.Turn) (club.Turn, error) {
	row, err := d.Library.Clip(ctx, t.ClipID)
	if err != nil {
		return t, err
	}
	led, err := d.Library.OfClip(ctx, t.ClipID)
	if err != nil {
		return t, err
	}
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return t, err
	}
	t, drill, err := d.placed(ctx, row, cat, t, led.Turns)
	if err != nil {
		return t, err
	}
	verb := "change"
	t.Settled, t.Anchor, t.HeardFrom = false, nil, 0 // have their own ways: see TakeOver
	if t.ID == "" {
		t.ID, verb = d.Library.NewID(), "add"
	} else {
		old, err := library.Find(led.Turns, t.ID, func(t club.Turn) club.ID { return t.ID }, "turn")
		if err != nil {
			return t, err
		}
		t.Settled, t.HeardFrom = old.Settled, old.HeardFrom
		if a := old.Anchor; a != nil && t.FirstTicks <= *a && *a <= t.LastTicks {
			t.Anchor = a
		}
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("%s turn %s, frames %d to %d", verb, club.Isolated(drill.Name), t.First, t.Last), store.Put(t))
	return t, err
}

// RemoveTurn takes a turn away; the strokes and marks in it stay, uncounted until
// another turn covers them.
func (d *Desk) RemoveTurn(ctx context.Context, id club.ID) error {
	t, err := store.Get[club.Turn](ctx, d.Library.Library, id)
	if err != nil {
		return err
	}
	_, err = d.Library.Do(ctx, fmt.Sprintf("remove turn, frames %d to %d", t.First, t.Last), store.Remove[club.Turn](id))
	return err
}

// Package entry is what a coach enters by hand: marks, strokes, turns.
package entry

import (
	"context"
	"fmt"
	"slices"
	"time"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/picture"
	"strokeledger/internal/store"
)

// Marks are those of a library. They are safe for concurrent use.
type Marks struct {
	lib     *library.Library
	footage *footage.Clips
	pairs   *pairing.Pairings
}

// NewMarks are the marks of a library.
func NewMarks(lib *library.Library, clips *footage.Clips, pairs *pairing.Pairings) *Marks {
	return &Marks{lib: lib, footage: clips, pairs: pairs}
}

// Add marks a fault at a frame in the name of the coach who marks. On a clip that is lined
// up with another, it is kept where pairing.Kept says.
func (x *Marks) Add(ctx context.Context, clipID club.ID, frame int, faultID club.ID) (club.Mark, error) {
	return x.AddNoted(ctx, clipID, frame, faultID, "")
}

// AddNoted adds a mark together with its note: both of them or none.
func (x *Marks) AddNoted(ctx context.Context, clipID club.ID, frame int, faultID club.ID, note string) (club.Mark, error) {
	clipID, frame, seen, err := x.pairs.Kept(ctx, clipID, frame)
	if err != nil {
		return club.Mark{}, err
	}
	row, fault, err := x.ClipAndFault(ctx, clipID, faultID)
	if err != nil {
		return club.Mark{}, err
	}
	ticks, err := x.footage.Ticks(ctx, row, frame)
	if err != nil {
		return club.Mark{}, err
	}
	m, err := x.New(ctx, clipID, faultID, frame, ticks)
	if err != nil {
		return m, err
	}
	m.Note, m.SeenID = note, seen
	if err := x.Put(ctx, m, fmt.Sprintf("mark %s at frame %d", fault.Code, frame)); err != nil {
		return club.Mark{}, err
	}
	return m, nil
}

// Kept is where a mark at a frame of a clip is kept, and in the picture of which other clip
// it is seen then: see pairing.Pairings.Kept.
func (x *Marks) Kept(ctx context.Context, id club.ID, frame int) (clip club.ID, at int, seen club.ID, err error) {
	return x.pairs.Kept(ctx, id, frame)
}

// Save changes the fault, the frame or the note of a mark.
func (x *Marks) Save(ctx context.Context, id, faultID club.ID, frame int, note string) (club.Mark, error) {
	m, err := store.Get[club.Mark](ctx, x.lib.Library, id)
	if err != nil {
		return club.Mark{}, err
	}
	row, fault, err := x.ClipAndFault(ctx, m.ClipID, faultID)
	if err != nil {
		return m, err
	}
	n := m
	n.FaultID, n.Frame, n.Note = faultID, frame, note
	if n.Ticks, err = x.footage.Ticks(ctx, row, frame); err != nil {
		return m, err
	}
	if err := n.Check(); err != nil {
		return m, err
	}
	if n == m {
		return m, nil
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("change mark %s at frame %d", fault.Code, frame), store.Put(n))
	return n, err
}

// Remove takes a mark out of the ledger, with what is drawn for it.
func (x *Marks) Remove(ctx context.Context, id club.ID) error {
	m, err := store.Get[club.Mark](ctx, x.lib.Library, id)
	if err != nil {
		return err
	}
	edits := []store.Edit{store.Remove[club.Mark](id)}
	drawn, err := x.lib.DrawingsOf(ctx, []club.ID{m.ClipID, m.SeenID})
	if err != nil {
		return err
	}
	for _, d := range append(drawn[m.ClipID], drawn[m.SeenID]...) {
		if d.MarkID == id {
			edits = append(edits, store.Remove[picture.Drawing](d.ID))
		}
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("remove mark at frame %d", m.Frame), edits...)
	return err
}

// Hang hangs a mark on a stroke of its turn; an empty stroke hangs it where its
// fault's phase says again.
func (x *Marks) Hang(ctx context.Context, id, strokeID club.ID) (club.Mark, error) {
	m, err := store.Get[club.Mark](ctx, x.lib.Library, id)
	if err != nil || m.StrokeID == strokeID {
		return m, err
	}
	label := fmt.Sprintf("hang the mark at frame %d where its phase says", m.Frame)
	if strokeID != "" {
		s, err := store.Get[club.Stroke](ctx, x.lib.Library, strokeID)
		if err != nil {
			return m, err
		}
		led, err := x.lib.OfClip(ctx, m.ClipID)
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
	_, err = x.lib.Do(ctx, label, store.Put(m))
	return m, err
}

// DrawSign draws a mark's sign on its picture; nil wipes it off.
func (x *Marks) DrawSign(ctx context.Context, id club.ID, sign *club.Sign) (club.Mark, error) {
	m, err := store.Get[club.Mark](ctx, x.lib.Library, id)
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
	_, err = x.lib.Do(ctx, fmt.Sprintf("%s the sign at frame %d", verb, m.Frame), store.Put(m))
	return m, err
}

// ClipAndFault are the two that a mark names, or a *club.Problem where one is gone.
func (x *Marks) ClipAndFault(ctx context.Context, clipID, faultID club.ID) (club.Clip, club.Fault, error) {
	row, err := x.lib.Clip(ctx, clipID)
	if err != nil {
		return club.Clip{}, club.Fault{}, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return club.Clip{}, club.Fault{}, err
	}
	fault, err := library.Find(cat.Faults, faultID, func(f club.Fault) club.ID { return f.ID }, "fault")
	return row, fault, err
}

// New is a mark by the coach who marks.
func (x *Marks) New(ctx context.Context, clipID, faultID club.ID, frame int, ticks int64) (club.Mark, error) {
	coach, err := x.lib.Coach(ctx)
	return club.Mark{
		ID: x.lib.NewID(), ClipID: clipID, FaultID: faultID, CoachID: coach, Frame: frame, Ticks: ticks,
		Source: club.ByHand, Confidence: 1, Made: x.lib.Now().UTC().Truncate(time.Microsecond), // as the ledger keeps it
	}, err
}

// Put keeps a new mark, if nothing stands against it.
func (x *Marks) Put(ctx context.Context, m club.Mark, label string) error {
	if err := m.Check(); err != nil {
		return err
	}
	_, err := x.lib.Do(ctx, label, store.Put(m))
	return err
}

// Ledger is what was entered on a clip, each kind in order of frame, with the
// stroke on which each mark in a turn hangs, "" for none.
type Ledger struct {
	Turns   []club.Turn         `json:"turns"`
	Strokes []club.Stroke       `json:"strokes"`
	Marks   []club.Mark         `json:"marks"`
	Looks   []club.Look         `json:"looks"`
	HangsOn map[club.ID]club.ID `json:"hangs_on"` // by mark
}

// Ledger returns what was entered on a clip. No slice in it is nil.
func (x *Marks) Ledger(ctx context.Context, clipID club.ID) (out Ledger, err error) {
	row, err := x.lib.Clip(ctx, clipID)
	if err != nil {
		return out, err
	}
	led, err := x.lib.OfClip(ctx, clipID)
	if err != nil {
		return out, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return out, err
	}
	drills, faults := map[club.ID]club.Drill{}, map[club.ID]club.Fault{}
	for _, r := range cat.Drills {
		drills[r.ID] = r
	}
	for _, f := range cat.Faults {
		faults[f.ID] = f
	}
	out = Ledger{append([]club.Turn{}, led.Turns...), append([]club.Stroke{}, led.Strokes...), append([]club.Mark{}, led.Marks...),
		append([]club.Look{}, led.Looks...), map[club.ID]club.ID{}}
	for _, t := range led.Turns {
		r := library.TurnRecord(row, led, t)
		for i, on := range aim.Hung(&r, faults, drills[r.DrillID].Pattern) {
			out.HangsOn[r.Marks[i].ID] = ""
			if on >= 0 {
				out.HangsOn[r.Marks[i].ID] = r.Strokes[on].ID
			}
		}
	}
	return out, nil
}

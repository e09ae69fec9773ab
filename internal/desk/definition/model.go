package definition

import (
	"context"
	"fmt"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// As is what a picture shows of a fault.
type As string

// What a picture can show.
const (
	Is      As = "is"      // what the fault is
	IsNot   As = "is not"  // what it is not
	Nothing As = "nothing" // it is no model picture
)

// Shown is a picture, and what it is to show.
type Shown struct {
	ClipID  club.ID `json:"clip_id"`
	Frame   int     `json:"frame"`
	FaultID club.ID `json:"fault_id"`
	As      As      `json:"as"`
}

// Show says what a picture shows of a fault. The picture lies in a turn, so that it is
// known who is in it. Of clips that are lined up it is that of the one that marks are kept
// on.
func (x *Definitions) Show(ctx context.Context, s Shown) error {
	_, err := x.show(ctx, s, false)
	return err
}

// Flip does the same, and where the picture shows that already it is a model no more. It
// returns what the picture shows now.
func (x *Definitions) Flip(ctx context.Context, s Shown) (As, error) { return x.show(ctx, s, true) }

func (x *Definitions) show(ctx context.Context, s Shown, flip bool) (As, error) {
	if !slices.Contains([]As{Is, IsNot, Nothing}, s.As) {
		return "", &club.Problem{Field: "as", Say: "Say what the picture shows: is, is not, or nothing."}
	}
	f, err := x.fault(ctx, s.FaultID)
	if err != nil {
		return "", err
	}
	clip, frame, _, err := x.pairs.Kept(ctx, s.ClipID, s.Frame)
	if err != nil {
		return "", err
	}
	models, err := store.All[standard.Model](ctx, x.lib.Library)
	if err != nil {
		return "", err
	}
	at := slices.IndexFunc(models, func(m standard.Model) bool {
		return m.FaultID == f.ID && m.ClipID == clip && m.Frame == frame
	})
	there := at >= 0 && s.As == map[bool]As{true: Is, false: IsNot}[models[max(at, 0)].Is]
	switch {
	case there && !flip, s.As == Nothing && at < 0:
		return s.As, nil
	case there, s.As == Nothing:
		_, err := x.lib.Do(ctx, fmt.Sprintf("take away the model picture of %s at frame %d", f.Code, frame), store.Remove[standard.Model](models[at].ID))
		return Nothing, err
	}
	m := standard.Model{ID: x.lib.NewID(), FaultID: f.ID, ClipID: clip, Frame: frame}
	if at >= 0 {
		m = models[at]
	} else if m.Ticks, err = x.ticks(ctx, clip, frame); err != nil {
		return "", err
	}
	if m.CoachID, err = x.lib.Coach(ctx); err != nil {
		return "", err
	}
	m.Is, m.Made = s.As == Is, x.now()
	if err := m.Check(); err != nil {
		return "", err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("show what %s %s at frame %d", f.Code, s.As, frame), store.Put(m))
	return s.As, err
}

// ticks are those of a frame in a turn.
func (x *Definitions) ticks(ctx context.Context, clip club.ID, frame int) (int64, error) {
	row, err := x.lib.Clip(ctx, clip)
	if err != nil {
		return 0, err
	}
	led, err := x.lib.OfClip(ctx, clip)
	if err != nil {
		return 0, err
	}
	if !slices.ContainsFunc(led.Turns, func(t club.Turn) bool { return t.Covers(frame) }) {
		return 0, &club.Problem{Field: "frame", Say: "No turn covers this picture, so nobody can say who is in it: make the turn first."}
	}
	return x.footage.Ticks(ctx, row, frame)
}

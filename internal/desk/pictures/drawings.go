package pictures

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/store"
)

// Drawings is what is drawn on a clip, in order of frame; never nil.
func (x *Pictures) Drawings(ctx context.Context, clip club.ID) ([]picture.Drawing, error) {
	if _, err := x.lib.Clip(ctx, clip); err != nil {
		return nil, err
	}
	by, err := x.lib.DrawingsOf(ctx, []club.ID{clip})
	return append([]picture.Drawing{}, by[clip]...), err
}

// Draw keeps a drawing: a new one, which has no ID, in the name of the coach who marks, or
// another that is changed. Its frames say when it is shown; their ticks are looked up.
func (x *Pictures) Draw(ctx context.Context, d picture.Drawing) (picture.Drawing, error) {
	row, err := x.lib.Clip(ctx, d.ClipID)
	if err != nil {
		return d, err
	}
	verb := "change"
	if d.ID == "" {
		verb = "draw"
		d.ID = x.lib.NewID()
		if d.CoachID, err = x.lib.Coach(ctx); err != nil {
			return d, err
		}
	} else {
		before, err := store.Get[picture.Drawing](ctx, x.lib.Library, d.ID)
		if err != nil {
			return d, err
		}
		d.CoachID, d.ClipID = before.CoachID, before.ClipID
	}
	if err := d.Check(); err != nil {
		return d, err
	}
	for _, at := range []struct {
		frame int
		ticks *int64
	}{{d.Frame, &d.Ticks}, {d.First, &d.FirstTicks}, {d.Last, &d.LastTicks}} {
		if *at.ticks, err = x.footage.Ticks(ctx, row, at.frame); err != nil {
			return d, err
		}
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("%s %s at frame %d", verb, d.InWords(float64(row.Width), float64(row.Height)), d.Frame), store.Put(d))
	return d, err
}

// Wipe takes a drawing off; one that is gone already is no error.
func (x *Pictures) Wipe(ctx context.Context, id club.ID) error {
	d, err := store.Get[picture.Drawing](ctx, x.lib.Library, id)
	if errors.Is(err, store.ErrUnknown) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("wipe off what is drawn at frame %d", d.Frame), store.Remove[picture.Drawing](id))
	return err
}

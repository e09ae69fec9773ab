package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/picture"
)

// Pictures is how the pictures of clips are shown, and what is drawn on them.
type Pictures struct{ s *shell }

// Of returns how a clip is shown; without an ID as its file says.
func (p *Pictures) Of(clipID club.ID) (picture.Adjustment, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (picture.Adjustment, error) {
		return d.Pictures.Adjustment(ctx, clipID)
	})
}

// Adjust sets how a clip is shown; zeros are as its file says.
func (p *Pictures) Adjust(clipID club.ID, a picture.Adjustment) error {
	return p.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Pictures.Adjust(ctx, clipID, a)
	})
}

// Drawings is what is drawn on a clip.
func (p *Pictures) Drawings(clipID club.ID) ([]picture.Drawing, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) ([]picture.Drawing, error) {
		return d.Pictures.Drawings(ctx, clipID)
	})
}

// Draw keeps a drawing, a new one where it has no ID.
func (p *Pictures) Draw(drawing picture.Drawing) (picture.Drawing, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (picture.Drawing, error) {
		return d.Pictures.Draw(ctx, drawing)
	})
}

// Wipe takes a drawing off.
func (p *Pictures) Wipe(id club.ID) error {
	return p.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Pictures.Wipe(ctx, id)
	})
}

package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/picture"
)

// Pictures is how the pictures of clips are shown.
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

package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/burst"
	"strokeledger/internal/desk/entry"
)

// Bursts is what the bench proposes as turns: the bursts of play that are heard, and
// the order in which the players take their turns.
type Bursts struct{ s *shell }

// List returns the bursts of a clip that no turn covers.
func (b *Bursts) List(clipID club.ID) (burst.Found, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (burst.Found, error) {
		return d.Bursts.Find(ctx, clipID)
	})
}

// SetPause sets how long play has to stop for a burst to end; 0: as learned.
func (b *Bursts) SetPause(clipID club.ID, seconds float64) (burst.Found, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (out burst.Found, err error) {
		if err := d.Bursts.SetPause(ctx, clipID, seconds); err != nil {
			return out, err
		}
		return d.Bursts.Find(ctx, clipID)
	})
}

// Join joins the burst at a frame with the next one.
func (b *Bursts) Join(clipID club.ID, frame int) (burst.Found, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (out burst.Found, err error) {
		if err := d.Bursts.Join(ctx, clipID, frame); err != nil {
			return out, err
		}
		return d.Bursts.Find(ctx, clipID)
	})
}

// Split parts the burst at a frame in two there.
func (b *Bursts) Split(clipID club.ID, frame int) (burst.Found, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (out burst.Found, err error) {
		if err := d.Bursts.Split(ctx, clipID, frame); err != nil {
			return out, err
		}
		return d.Bursts.Find(ctx, clipID)
	})
}

// Make makes turns, all in one step.
func (b *Bursts) Make(clipID club.ID, wanted []entry.NewTurn) ([]club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) ([]club.Turn, error) {
		return d.Turns.Make(ctx, clipID, wanted)
	})
}

// SetOrder sets the order in which the players take their turns.
func (b *Bursts) SetOrder(order []club.ID) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Bursts.SetOrder(ctx, order)
	})
}

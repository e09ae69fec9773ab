package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Bursts is what the bench proposes as turns: the bursts of play that are heard, and
// the order in which the players take their turns.
type Bursts struct{ s *shell }

// List returns the bursts of a clip that no turn covers.
func (b *Bursts) List(clipID club.ID) (desk.Bursts, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (desk.Bursts, error) {
		return d.Bursts(ctx, clipID)
	})
}

// SetPause sets how long play has to stop for a burst to end; 0: as learned.
func (b *Bursts) SetPause(clipID club.ID, seconds float64) (desk.Bursts, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (out desk.Bursts, err error) {
		if err := d.SetPause(ctx, clipID, seconds); err != nil {
			return out, err
		}
		return d.Bursts(ctx, clipID)
	})
}

// Join joins the burst at a frame with the next one.
func (b *Bursts) Join(clipID club.ID, frame int) (desk.Bursts, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (out desk.Bursts, err error) {
		if err := d.JoinBurst(ctx, clipID, frame); err != nil {
			return out, err
		}
		return d.Bursts(ctx, clipID)
	})
}

// Split parts the burst at a frame in two there.
func (b *Bursts) Split(clipID club.ID, frame int) (desk.Bursts, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (out desk.Bursts, err error) {
		if err := d.SplitBurst(ctx, clipID, frame); err != nil {
			return out, err
		}
		return d.Bursts(ctx, clipID)
	})
}

// Make makes turns, all in one step.
func (b *Bursts) Make(clipID club.ID, wanted []desk.NewTurn) ([]club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) ([]club.Turn, error) {
		return d.MakeTurns(ctx, clipID, wanted)
	})
}

// SetOrder sets the order in which the players take their turns.
func (b *Bursts) SetOrder(order []club.ID) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.SetOrder(ctx, order)
	})
}

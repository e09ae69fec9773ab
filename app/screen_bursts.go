package main

import (
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Bursts is what the bench proposes as turns: the bursts of play that are heard, and
// the order in which the players take their turns.
type Bursts struct{ s *shell }

// List returns the bursts of a clip that no turn covers.
func (b *Bursts) List(clipID string) (out desk.Bursts, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return out, err
	}
	return d.Bursts(ctx, club.ID(clipID))
}

// SetPause sets how long play has to stop for a burst to end; 0: as learned.
func (b *Bursts) SetPause(clipID string, seconds float64) (out desk.Bursts, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return out, err
	}
	if err := d.SetPause(ctx, club.ID(clipID), seconds); err != nil {
		return out, err
	}
	return d.Bursts(ctx, club.ID(clipID))
}

// Join joins the burst at a frame with the next one.
func (b *Bursts) Join(clipID string, frame int) (out desk.Bursts, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return out, err
	}
	if err := d.JoinBurst(ctx, club.ID(clipID), frame); err != nil {
		return out, err
	}
	return d.Bursts(ctx, club.ID(clipID))
}

// Split parts the burst at a frame in two there.
func (b *Bursts) Split(clipID string, frame int) (out desk.Bursts, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return out, err
	}
	if err := d.SplitBurst(ctx, club.ID(clipID), frame); err != nil {
		return out, err
	}
	return d.Bursts(ctx, club.ID(clipID))
}

// Make makes turns, all in one step.
func (b *Bursts) Make(clipID string, wanted []desk.NewTurn) (made []club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return nil, err
	}
	return d.MakeTurns(ctx, club.ID(clipID), wanted)
}

// SetOrder sets the order in which the players take their turns.
func (b *Bursts) SetOrder(order []string) (err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return err
	}
	ids := make([]club.ID, len(order))
	for i, id := range order {
		ids[i] = club.ID(id)
	}
	return d.SetOrder(ctx, ids)
}

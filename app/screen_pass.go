package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/pass"
)

// Pass holds the calls of a pass over strokes, and those that record looks.
type Pass struct{ s *shell }

// Turn prepares a turn for a pass; no focus is every fault in use.
func (p *Pass) Turn(turnID club.ID, focus []club.ID) (pass.Turn, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (pass.Turn, error) {
		return d.Pass.Turn(ctx, turnID, focus)
	})
}

// Mark marks a fault on a stroke: at a frame of the turn, or where it is plain to
// see where the frame is below 0.
func (p *Pass) Mark(strokeID, faultID club.ID, frame int) (club.Mark, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (club.Mark, error) {
		return d.Pass.MarkStroke(ctx, strokeID, faultID, frame)
	})
}

// Looked says that the coach who marks has looked through a turn for some faults, or
// for all in use where none are named.
func (p *Pass) Looked(turnID club.ID, faults []club.ID) (club.Look, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (club.Look, error) {
		return d.Looks.Through(ctx, turnID, faults)
	})
}

// TakeBack takes away what the coach who marks has looked at of a turn.
func (p *Pass) TakeBack(turnID club.ID) (int, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (int, error) {
		return d.Looks.TakeBack(ctx, turnID)
	})
}

// Settings returns how the coach who marks wants a pass to go.
func (p *Pass) Settings() (pass.Settings, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (pass.Settings, error) {
		return d.Pass.Settings(ctx)
	})
}

// SetSettings keeps how the coach who marks wants a pass to go.
func (p *Pass) SetSettings(w pass.Settings) error {
	return p.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Pass.SetSettings(ctx, w)
	})
}

// Turns lists what a pass goes over: the turns of a session, a clip or a player, or
// those behind some marks.
func (p *Pass) Turns(of pass.TurnsAsked) ([]club.ID, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) ([]club.ID, error) {
		return d.Pass.TurnIDs(ctx, of)
	})
}

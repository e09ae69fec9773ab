package main

import (
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Pass is what a pass over strokes needs, and what says that somebody has looked.
type Pass struct{ s *shell }

// Turn prepares a turn for a pass; no focus is every fault in use.
func (p *Pass) Turn(turnID string, focus []string) (t desk.PassTurn, err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return t, err
	}
	return d.PassTurn(ctx, club.ID(turnID), idsOf(focus))
}

// Mark marks a fault on a stroke: at a frame of the turn, or where it is plain to
// see where the frame is below 0.
func (p *Pass) Mark(strokeID, faultID string, frame int) (m club.Mark, err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return m, err
	}
	return d.MarkStroke(ctx, club.ID(strokeID), club.ID(faultID), frame)
}

// Looked says that the coach who marks has looked through a turn for some faults, or
// for all in use where none are named.
func (p *Pass) Looked(turnID string, faults []string) (l club.Look, err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return l, err
	}
	return d.LookThrough(ctx, club.ID(turnID), idsOf(faults))
}

// TakeBack takes away what the coach who marks has looked at of a turn.
func (p *Pass) TakeBack(turnID string) (looks int, err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return 0, err
	}
	return d.TakeBackLooks(ctx, club.ID(turnID))
}

// Wish returns how the coach who marks wants a pass to go.
func (p *Pass) Wish() (w desk.PassWish, err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return w, err
	}
	return d.PassWish(ctx)
}

// SetWish keeps how the coach who marks wants a pass to go.
func (p *Pass) SetWish(w desk.PassWish) (err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return err
	}
	return d.SetPassWish(ctx, w)
}

// Turns lists what a pass goes over: the turns of a session, a clip or a player, or
// those behind some marks.
func (p *Pass) Turns(of desk.TurnsAsked) (turns []club.ID, err error) {
	defer guard(&err)
	ctx, d, err := p.s.open()
	if err != nil {
		return []club.ID{}, err
	}
	turns, err = d.TurnIDs(ctx, of)
	return append([]club.ID{}, turns...), err
}

package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/desk/proposed"
)

// Listening detects contacts in the sound of clips in the background, and returns
// the strokes proposed from them.
type Listening struct{ s *shell }

// Start listens to a clip in the background, or goes on with it; "heard" events
// tell how far it is.
func (h *Listening) Start(clipID club.ID) (listening.Progress, error) {
	return asked(h.s, func(ctx context.Context, d *desk.Desk) (listening.Progress, error) {
		id := clipID
		return d.Listening.Listen(ctx, id, func(news listening.Progress) { h.s.emit(eventHeard, heardEvent{id, news}) })
	})
}

// Stop stops listening to a clip.
func (h *Listening) Stop(clipID club.ID) (listening.Progress, error) {
	return asked(h.s, func(ctx context.Context, d *desk.Desk) (listening.Progress, error) {
		return d.Listening.Stop(ctx, clipID)
	})
}

// Turns returns what is proposed for each turn of a clip.
func (h *Listening) Turns(clipID club.ID) ([]heard.Turn, error) {
	return asked(h.s, func(ctx context.Context, d *desk.Desk) ([]heard.Turn, error) {
		return d.Heard.Proposals(ctx, clipID)
	})
}

// Try returns what would be proposed for a turn with another sensitivity.
func (h *Listening) Try(turnID club.ID, least float64) (heard.Turn, error) {
	return asked(h.s, func(ctx context.Context, d *desk.Desk) (heard.Turn, error) {
		return d.Heard.TryLeast(ctx, turnID, least)
	})
}

// Settling says what becomes of the strokes that are proposed for a turn.
type Settling struct{ s *shell }

// TakeOver makes them the ledger's own, with a correction of one of them.
func (b *Settling) TakeOver(turnID club.ID, fix proposed.Fix) (club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Turn, error) {
		return d.Proposed.TakeOver(ctx, turnID, fix)
	})
}

// Refuse takes none of them.
func (b *Settling) Refuse(turnID club.ID) (club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Turn, error) {
		return d.Proposed.Refuse(ctx, turnID)
	})
}

// Again lets a settled turn's strokes be proposed again.
func (b *Settling) Again(turnID club.ID) (club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Turn, error) {
		return d.Proposed.ListenAgain(ctx, turnID)
	})
}

// Anchor says that the turn's player strikes at a frame.
func (b *Settling) Anchor(clipID club.ID, frame int) (club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Turn, error) {
		return d.Proposed.SetAnchor(ctx, clipID, frame)
	})
}

// Least keeps a turn's sensitivity, 0 for the usual one.
func (b *Settling) Least(turnID club.ID, least float64) (club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Turn, error) {
		return d.Proposed.SetLeast(ctx, turnID, least)
	})
}

package main

import (
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Hearing is what the bench hears: contacts in the sound, and the strokes that are
// proposed from them.
type Hearing struct{ s *shell }

// Start listens to a clip in the background, or goes on with it; "heard" events
// tell how far it is.
func (h *Hearing) Start(clipID string) (out desk.Hearing, err error) {
	defer guard(&err)
	ctx, d, err := h.s.open()
	if err != nil {
		return out, err
	}
	id := club.ID(clipID)
	return d.Listen(ctx, id, func(news desk.Hearing) { h.s.emit(eventHeard, heardEvent{id, news}) })
}

// Stop stops listening to a clip.
func (h *Hearing) Stop(clipID string) (out desk.Hearing, err error) {
	defer guard(&err)
	ctx, d, err := h.s.open()
	if err != nil {
		return out, err
	}
	return d.Hush(ctx, club.ID(clipID))
}

// Turns returns what is proposed for each turn of a clip.
func (h *Hearing) Turns(clipID string) (out []desk.HeardTurn, err error) {
	defer guard(&err)
	ctx, d, err := h.s.open()
	if err != nil {
		return nil, err
	}
	out, err = d.Proposals(ctx, club.ID(clipID))
	return append([]desk.HeardTurn{}, out...), err
}

// Try returns what would be proposed for a turn with another sensitivity.
func (h *Hearing) Try(turnID string, least float64) (out desk.HeardTurn, err error) {
	defer guard(&err)
	ctx, d, err := h.s.open()
	if err != nil {
		return out, err
	}
	return d.TryLeast(ctx, club.ID(turnID), least)
}

// Settling says what becomes of the strokes that are proposed for a turn.
type Settling struct{ s *shell }

// TakeOver makes them the ledger's own, with a correction of one of them.
func (b *Settling) TakeOver(turnID string, fix desk.Fix) (t club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return t, err
	}
	return d.TakeOver(ctx, club.ID(turnID), fix)
}

// Refuse takes none of them.
func (b *Settling) Refuse(turnID string) (t club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return t, err
	}
	return d.Refuse(ctx, club.ID(turnID))
}

// Again lets a settled turn's strokes be proposed again.
func (b *Settling) Again(turnID string) (t club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return t, err
	}
	return d.ListenAgain(ctx, club.ID(turnID))
}

// Anchor says that the turn's player strikes at a frame.
func (b *Settling) Anchor(clipID string, frame int) (t club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return t, err
	}
	return d.SetAnchor(ctx, club.ID(clipID), frame)
}

// Least keeps a turn's sensitivity, 0 for the usual one.
func (b *Settling) Least(turnID string, least float64) (t club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return t, err
	}
	return d.SetLeast(ctx, club.ID(turnID), least)
}

package entry

import (
	"context"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/store"
)

// Strokes are those of a library. They are safe for concurrent use.
type Strokes struct {
	lib     *library.Library
	footage *footage.Clips
	pairs   *pairing.Pairings
}

// NewStrokes are the strokes of a library.
func NewStrokes(lib *library.Library, clips *footage.Clips, pairs *pairing.Pairings) *Strokes {
	return &Strokes{lib: lib, footage: clips, pairs: pairs}
}

// Add logs a stroke at a frame, in the clip where pairing.Kept says that it is kept. Its side
// is left to the drill's pattern.
func (x *Strokes) Add(ctx context.Context, clipID club.ID, frame int, outcome club.Outcome) (club.Stroke, error) {
	clipID, frame, _, err := x.pairs.Kept(ctx, clipID, frame)
	if err != nil {
		return club.Stroke{}, err
	}
	row, err := x.lib.Clip(ctx, clipID)
	if err != nil {
		return club.Stroke{}, err
	}
	ticks, err := x.footage.Ticks(ctx, row, frame)
	if err != nil {
		return club.Stroke{}, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return club.Stroke{}, err
	}
	s := club.Stroke{
		ID: x.lib.NewID(), ClipID: clipID, Frame: frame, Ticks: ticks, Outcome: outcome,
		Source: club.ByHand, Confidence: 1, CoachID: coach,
	}
	if _, err = x.lib.Do(ctx, fmt.Sprintf("%s stroke at frame %d", outcome, frame), store.Put(s)); err != nil {
		return club.Stroke{}, err
	}
	return s, nil
}

// Save changes the frame, the side or the outcome of a stroke; an empty
// side leaves it to the drill's pattern. What a machine proposed becomes the
// coach's own by it.
func (x *Strokes) Save(ctx context.Context, id club.ID, frame int, side club.Side, outcome club.Outcome) (club.Stroke, error) {
	s, err := store.Get[club.Stroke](ctx, x.lib.Library, id)
	if err != nil {
		return club.Stroke{}, err
	}
	row, err := x.lib.Clip(ctx, s.ClipID)
	if err != nil {
		return s, err
	}
	n := s
	n.Frame, n.Side, n.Outcome = frame, side, outcome
	if s.Source != club.ByHand {
		n.Source, n.Confidence = club.ByHand, 1
		if n.CoachID, err = x.lib.Coach(ctx); err != nil {
			return s, err
		}
	}
	if n.Ticks, err = x.footage.Ticks(ctx, row, frame); err != nil {
		return s, err
	}
	if n.Ready != nil && n.Ready.Frame <= frame {
		n.Ready = nil // it was about another moment
	}
	if n.Answer != nil && *n.Answer <= row.Base.Seconds(n.Ticks-row.FirstTicks) {
		n.Answer = nil // and so was this
	}
	if err := n.Check(); err != nil {
		return s, err
	}
	if n == s {
		return s, nil
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("change stroke at frame %d", frame), store.Put(n))
	return n, err
}

// Remove takes a stroke out of the ledger.
func (x *Strokes) Remove(ctx context.Context, id club.ID) error {
	s, err := store.Get[club.Stroke](ctx, x.lib.Library, id)
	if err != nil {
		return err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("remove stroke at frame %d", s.Frame), store.Remove[club.Stroke](id))
	return err
}

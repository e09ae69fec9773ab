package listening

import (
	"context"
	"fmt"

	"strokeledger/internal/club"
)

// HearOut listens to a clip to its end.
func (l *Listener) HearOut(ctx context.Context, row club.Clip, heard func(done, all float64)) error {
	_, err := l.Listen(ctx, row.ID, func(h Hearing) {
		if h.State == Listening {
			heard(h.Done, h.All)
		}
	})
	if err != nil {
		return err
	}
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return err
	}
	s.mu.Lock()
	ended := s.ended
	s.mu.Unlock()
	if ended != nil { // else it was heard before
		select {
		case <-ended:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	switch h, err := l.Heard(ctx, row.ID); {
	case err != nil:
		return err
	case h.State == AllHeard:
		return nil
	case h.State == Silent:
		return &club.Problem{Field: "clip", Say: "This clip has no sound: its turns have to be set by hand."}
	case h.State == Failed:
		return &club.Problem{Field: "clip", Say: h.Say}
	default:
		return &club.Problem{Field: "clip", Say: fmt.Sprintf("The listening was stopped after %.0f seconds: try again.", h.Done)}
	}
}

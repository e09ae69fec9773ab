package listening

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/proposal"
)

// learned is the pause that was learned from so many contacts: those of two hours
// take some time, and it is asked for after every key.
type learned struct {
	contacts int
	pause    proposal.Pause
}

func (s *sound) pause(contacts []contact.Contact) proposal.Pause {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(contacts); n == 0 || n != s.learned.contacts { // they are only ever appended to
		s.learned = learned{n, proposal.Learn(proposal.Exchanges(contacts))}
	}
	return s.learned.pause
}

// Pause is the pause that is learned from the contacts of a clip.
func (l *Listener) Pause(ctx context.Context, row club.Clip, contacts []contact.Contact) (proposal.Pause, error) {
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return proposal.Pause{}, err
	}
	return s.pause(contacts), nil
}

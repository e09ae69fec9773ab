package listening

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// Contacts are those of a clip, complete before a clip time.
func (l *Listener) Contacts(ctx context.Context, row club.Clip) (found []contact.Contact, certain float64, err error) {
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return nil, 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.contacts, s.certain, nil
}

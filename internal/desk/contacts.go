package desk

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// Contacts returns what was heard in a clip so far, on clip time.
func (d *Desk) Contacts(ctx context.Context, clipID club.ID) ([]contact.Contact, error) {
	row, err := d.Library.Clip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	found, _, err := d.contacts(ctx, row)
	return found, err
}

// contacts are those of a clip, complete before a clip time.
func (d *Desk) contacts(ctx context.Context, row club.Clip) (found []contact.Contact, certain float64, err error) {
	s, err := d.soundOfClip(ctx, row)
	if err != nil {
		return nil, 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.contacts, s.certain, nil
}

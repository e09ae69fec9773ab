package listening

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// Contacts returns what was heard in a clip so far, on clip time.
func (d *Listener) Contacts(ctx context.Context, clipID club.ID) ([]contact.Contact, error) {
	row, err := d.lib.Clip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	found, _, err := d.ContactsOf(ctx, row)
	return found, err
}

// ContactsOf are those of a clip, complete before a clip time.
func (d *Listener) ContactsOf(ctx context.Context, row club.Clip) (found []contact.Contact, certain float64, err error) {
	s, err := d.soundOfClip(ctx, row)
	if err != nil {
		return nil, 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.contacts, s.certain, nil
}

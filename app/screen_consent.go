package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/consent"
	"strokeledger/internal/desk/erase"
)

// Consent is what the screens ask about players' consent, and forgetting them.
type Consent struct{ s *shell }

// Reminders lists what there is to see to today.
func (x *Consent) Reminders() ([]consent.Reminder, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]consent.Reminder, error) {
		return d.Consent.Reminders(ctx)
	})
}

// Preview tells what forgetting a player would take away.
func (x *Consent) Preview(playerID club.ID) (erase.Preview, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (erase.Preview, error) {
		return d.Erase.Preview(ctx, playerID)
	})
}

// Forget takes a player out for good and returns what it leaves to the coach, one
// sentence each.
func (x *Consent) Forget(o erase.Request) ([]string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]string, error) {
		return d.Erase.Forget(ctx, o)
	})
}

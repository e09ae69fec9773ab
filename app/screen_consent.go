package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Consent is what the screens ask about players' consent, and forgetting them.
type Consent struct{ s *shell }

// Reminders lists what there is to see to today.
func (x *Consent) Reminders() ([]desk.Reminder, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]desk.Reminder, error) {
		return d.Reminders(ctx)
	})
}

// Farewell tells what forgetting a player would take away.
func (x *Consent) Farewell(playerID club.ID) (desk.Farewell, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (desk.Farewell, error) {
		return d.Farewell(ctx, playerID)
	})
}

// Forget takes a player out for good and returns what it leaves to the coach, one
// sentence each.
func (x *Consent) Forget(o desk.Forgetting) ([]string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]string, error) {
		return d.Forget(ctx, o)
	})
}

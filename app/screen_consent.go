package main

import (
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Consent is what the screens ask about players' consent, and forgetting them.
type Consent struct{ s *shell }

// Reminders lists what there is to see to today.
func (x *Consent) Reminders() (all []desk.Reminder, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []desk.Reminder{}, err
	}
	return d.Reminders(ctx)
}

// Farewell tells what forgetting a player would take away.
func (x *Consent) Farewell(playerID string) (f desk.Farewell, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return f, err
	}
	return d.Farewell(ctx, club.ID(playerID))
}

// Forget takes a player out for good and returns what it leaves to the coach, one
// sentence each.
func (x *Consent) Forget(o desk.Forgetting) (left []string, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []string{}, err
	}
	left, err = d.Forget(ctx, o)
	return append([]string{}, left...), err
}

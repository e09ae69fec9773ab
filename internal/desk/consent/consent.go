// Package consent tells what there is to see to about consents to film players.
package consent

import (
	"context"
	"fmt"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
)

// Consents are those of a library's players. They are safe for concurrent use.
type Consents struct {
	lib *library.Library
}

// New are the consents of the players of a library.
func New(lib *library.Library) *Consents {
	return &Consents{lib: lib}
}

// Reminder is something about a player's consent that the team has to see to.
type Reminder struct {
	PlayerID club.ID      `json:"player_id"`
	Name     string       `json:"name"`
	Kind     reminderKind `json:"kind"`
	Clips    int          `json:"clips"` // that show the player
	Say      string       `json:"say"`   // one sentence
}

// reminderKind says why there is something to see to.
type reminderKind string

const (
	remindMissing reminderKind = "missing" // the player is filmed, and no consent is on record
	remindOver    reminderKind = "over"    // the player is filmed, and the consent has ended
	remindDue     reminderKind = "due"     // the day has passed after which the player should be gone
)

// Reminders lists what there is to see to today, what is due first.
func (c *Consents) Reminders(ctx context.Context) ([]Reminder, error) {
	cat, err := c.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	filmed, err := c.lib.Filmed(ctx)
	if err != nil {
		return nil, err
	}
	former, err := c.lib.FormerPlayer(ctx)
	if err != nil {
		return nil, err
	}
	order := []reminderKind{remindDue, remindOver, remindMissing}
	all := []Reminder{}
	for _, p := range cat.Players {
		if p.ID == former {
			continue
		}
		if r, ok := reminder(p, filmed[p.ID], c.lib.Today()); ok {
			all = append(all, r)
		}
	}
	slices.SortStableFunc(all, func(a, b Reminder) int { return slices.Index(order, a.Kind) - slices.Index(order, b.Kind) })
	return all, nil
}

func reminder(p club.Player, clips int, today club.Date) (Reminder, bool) {
	r := Reminder{PlayerID: p.ID, Name: p.Name, Clips: clips}
	films := fmt.Sprintf("%d clips show", clips)
	if clips == 1 {
		films = "1 clip shows"
	}
	consent := p.ConsentOn(today)
	switch {
	case p.DueForDeletion(today):
		r.Kind, r.Say = remindDue, fmt.Sprintf("%s was to be deleted after %s: forget the player, or set a later day.", club.Isolated(p.Name), p.DeleteAfter)
	case clips == 0:
		return r, false
	case consent == club.Over:
		r.Kind, r.Say = remindOver, fmt.Sprintf("The consent to film %s ended on %s, and %s the player: renew it, or forget the player.", club.Isolated(p.Name), p.ConsentUntil, films)
	case consent == club.Missing:
		r.Kind, r.Say = remindMissing, fmt.Sprintf("No consent to film %s is on record, and %s the player: ask for it and write it down, or forget the player.", club.Isolated(p.Name), films)
	default:
		return r, false
	}
	return r, true
}

// Without lists the players of the club whose film should not be shown to
// others today, because no consent is on record, it is over, or the film should be
// gone.
func (c *Consents) Without(ctx context.Context) (map[club.ID]bool, error) {
	cat, err := c.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	out := map[club.ID]bool{}
	for _, p := range cat.Players {
		if p.ConsentOn(c.lib.Today()) != club.Given || p.DueForDeletion(c.lib.Today()) {
			out[p.ID] = true
		}
	}
	return out, nil
}

package catalogue

import (
	"context"
	"fmt"
	"io"
	"slices"

	"strokeledger/internal/alike"
	"strokeledger/internal/club"
	"strokeledger/internal/roster"
	"strokeledger/internal/store"
)

// Roster says what became of a roster file.
type Roster struct {
	Added     int             `json:"added"`
	Skipped   int             `json:"skipped"`   // players who are in the club already
	Consented int             `json:"consented"` // of these, those whose consent was taken from the roster
	Rows      []roster.Remark `json:"rows"`      // what is wrong with rows
}

// ImportRoster adds the players of a CSV roster in one change. Rows with a fault are told
// and left out; players whose name is in the club already are skipped, but for consent that
// the roster has and the club has not. A name that reads like another's, but for accents,
// is told and left out: so no child is entered twice.
func (d *Definitions) ImportRoster(ctx context.Context, r io.Reader) (Roster, error) {
	rows, remarks, err := roster.Read(r)
	if err != nil {
		return Roster{}, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return Roster{}, err
	}
	out := Roster{Rows: remarks}
	if out.Rows == nil {
		out.Rows = []roster.Remark{}
	}
	names := alike.New()
	known := make(map[string]club.Player, len(cat.Players))
	for _, p := range cat.Players {
		if !p.Retired {
			known[names.Key(p.Name)] = p
		}
	}
	var edits []store.Edit
	for _, row := range rows {
		p := row.Player
		have, twin := known[names.Key(p.Name)]
		switch {
		case !twin:
			p.ID = d.lib.NewID()
			edits = append(edits, store.Put(p))
			out.Added++
		case club.Fold(have.Name) != club.Fold(p.Name):
			out.Rows = append(out.Rows, roster.Remark{Line: row.Line, Say: fmt.Sprintf(
				"%s reads like %s, who is in the club already, and was left out: if it is somebody else, add something to tell them apart.",
				club.Isolated(p.Name), club.Isolated(have.Name))})
		default:
			out.Skipped++
			if consented, changed := withConsent(have, p); changed {
				edits = append(edits, store.Put(consented))
				out.Consented++
			}
		}
	}
	slices.SortStableFunc(out.Rows, func(a, b roster.Remark) int { return a.Line - b.Line })
	if len(edits) == 0 {
		return out, nil
	}
	label := fmt.Sprintf("add %d players from a roster", out.Added)
	if out.Added == 0 {
		label = fmt.Sprintf("consent of %d players from a roster", out.Consented)
	}
	_, err = d.lib.Do(ctx, label, edits...)
	return out, err
}

// withConsent is a player of the club with the consent that a roster has; changed reports
// whether it has any that is new. A roster takes no consent back.
func withConsent(have, row club.Player) (p club.Player, changed bool) {
	p = have
	if row.ConsentFrom != "" {
		p.ConsentFrom, p.ConsentUntil = row.ConsentFrom, row.ConsentUntil
		if row.ConsentBy != "" {
			p.ConsentBy = row.ConsentBy
		}
	}
	if row.DeleteAfter != "" {
		p.DeleteAfter = row.DeleteAfter
	}
	return p, p != have
}

// Consented is the consent of several players, as one paper often gives it.
type Consented struct {
	Players []club.ID `json:"players"`
	From    club.Date `json:"from"`
	Until   club.Date `json:"until"` // empty: no end was agreed
	By      string    `json:"by"`
}

// GiveConsent writes one consent down for several players, in one change. What breaks a
// rule is a *club.Problem, and nothing is changed.
func (d *Definitions) GiveConsent(ctx context.Context, c Consented) error {
	if c.From == "" {
		return &club.Problem{Field: "from", Say: "Say from which day the consent holds."}
	}
	if len(c.Players) == 0 {
		return &club.Problem{Field: "players", Say: "Choose the players whose consent it is."}
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	byID := make(map[club.ID]club.Player, len(cat.Players))
	for _, p := range cat.Players {
		byID[p.ID] = p
	}
	var edits []store.Edit
	for _, id := range c.Players {
		p, ok := byID[id]
		if !ok {
			return &club.Problem{Field: "players", Say: "One of these players is not in the library any more: choose again."}
		}
		p.ConsentFrom, p.ConsentUntil, p.ConsentBy = c.From, c.Until, c.By
		edits = append(edits, store.Put(p))
	}
	_, err = d.lib.Do(ctx, fmt.Sprintf("consent of %d players", len(edits)), edits...)
	return err
}

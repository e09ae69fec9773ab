package desk

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
)

// origin says what a document is made from now.
func (d *Desk) origin(ctx context.Context, cat club.Catalogue) (report.Origin, error) {
	o := report.Origin{Program: d.program, Made: d.now(), Definitions: definitions(cat)}
	var err error
	o.State, err = d.lib.Latest(ctx)
	return o, err
}

// definitions is a short fingerprint of what the club means by its codes and
// drills: two documents with the same one mean the same by the same code.
func definitions(cat club.Catalogue) string {
	text, err := json.Marshal([]any{cat.Drills, cat.Faults})
	if err != nil {
		return "" // plain values of ours cannot fail
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:4])
}

// shownNames is how documents call each player.
func shownNames(cat club.Catalogue, names bool) map[club.ID]string {
	if !names {
		return tally.Aliases(cat.Players)
	}
	all := make(map[club.ID]string, len(cat.Players))
	for _, p := range cat.Players {
		all[p.ID] = p.Name
	}
	return all
}

// shownCoaches is how documents call each coach.
func shownCoaches(cat club.Catalogue, names bool) map[club.ID]string {
	all := make(map[club.ID]string, len(cat.Coaches))
	if names {
		for _, c := range cat.Coaches {
			all[c.ID] = c.Name
		}
		return all
	}
	people := make([]club.Player, len(cat.Coaches))
	for i, c := range cat.Coaches {
		people[i] = club.Player{ID: c.ID, Name: c.Name}
	}
	return tally.Aliases(people)
}

// clipNumber is how documents call the i-th clip of the library, since file names
// may hold those of people.
func clipNumber(i int) string { return fmt.Sprintf("clip %d", i+1) }

// originNow is the origin of a document that is written now.
func (d *Desk) originNow(ctx context.Context) (report.Origin, error) {
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return report.Origin{}, err
	}
	return d.origin(ctx, cat)
}

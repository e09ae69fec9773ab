package publish

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
)

// origin says what a document is made from now.
func (d *Documents) origin(ctx context.Context, cat club.Catalogue) (report.Origin, error) {
	o := report.Origin{Program: d.lib.Program, Made: d.lib.Now(), Definitions: definitions(cat)}
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

// Origin says what a document is made from that is written now.
func (d *Documents) Origin(ctx context.Context) (report.Origin, error) {
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return report.Origin{}, err
	}
	return d.origin(ctx, cat)
}

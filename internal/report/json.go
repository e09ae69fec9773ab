package report

import (
	"encoding/json"
	"fmt"
	"io"

	"strokeledger/internal/tally"
)

// JSON writes the summary as tally.Summary documents it, with its origin beside,
// indented, in UTF-8.
func JSON(w io.Writer, s tally.Summary, o Origin) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(struct {
		tally.Summary
		Origin Origin `json:"origin"`
	}{s, o}); err != nil {
		return fmt.Errorf("write summary as JSON: %w", err)
	}
	return nil
}

package report

import (
	"fmt"
	"time"

	"strokeledger/internal/report/plain"
)

// Origin says what a document was made from.
type Origin struct {
	Program     string    `json:"program"`     // version of Strokeledger
	Definitions string    `json:"definitions"` // fingerprint of the club's drills and faults
	State       int64     `json:"state"`       // how many changes the library had seen
	Made        time.Time `json:"made"`        // in the reader's place
}

// Lines says the same in words: when and by what it was made, and from what.
func (o Origin) Lines() []string {
	lines := []string{o.madeText()}
	if from := o.fromText(); from != "" {
		lines = append(lines, from)
	}
	return lines
}

func (o Origin) madeText() string {
	text := "Made"
	if !o.Made.IsZero() {
		text += " on " + o.Made.Format("2 January 2006")
	}
	text += " with Strokeledger"
	if o.Program != "" {
		text += " " + plain.Text(o.Program, 40)
	}
	return text + "."
}

func (o Origin) fromText() string {
	if o.Definitions == "" {
		return ""
	}
	return fmt.Sprintf("Definitions %s, library at change %d.", o.Definitions, o.State)
}

// Package record is everything that a library knows, or a part of it, as data: for other
// programs, and to be taken into other libraries.
package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
)

// The marks by which a record is known. The version grows when a field changes its
// meaning or goes away, not when one is added.
const (
	Format  = "strokeledger record"
	Version = 1
)

// Record is everything that a library knows, or a part of it, as data: see the README
// for its JSON. Read into an empty library a whole one gives the same summary. No slice of
// its Rows is nil but Looks where it says so.
type Record struct {
	Format  string        `json:"format"`
	Version int           `json:"version"`
	Origin  report.Origin `json:"origin"`
	Names   bool          `json:"names"`            // false: aliases stand in place of names, notes are left out
	Former  club.ID       `json:"former,omitempty"` // of the players, the one who stands for the forgotten whose numbers were kept
	Goals   Goals         `json:"wishes"`
	Rows
	Removed Rows                          `json:"removed"`           // rows that were there once
	Changed map[string]map[club.ID]Moment `json:"changed,omitempty"` // by table; nil in a record of a time when it was not kept
	Sounds  map[string][]byte             `json:"sounds,omitempty"`  // how films sound, by fingerprint
	Films   []Film                        `json:"films,omitempty"`
	Since   club.ID                       `json:"since,omitempty"`   // the change after which all is there that was changed; empty: it is no such part
	Until   club.ID                       `json:"until,omitempty"`   // the last change that it knows
	Summary *tally.Summary                `json:"summary,omitempty"` // what the rest gives; not read back
}

// Goals are what the club asks of its training.
type Goals struct {
	TriesCap  int     `json:"tries_cap"` // tries a day at one rung; 0: none set
	Irregular float64 `json:"irregular"` // share of irregular strokes, 0 to 1
}

// Errors of Read.
var (
	ErrNone  = errors.New("not a record")
	ErrNewer = errors.New("a record of a newer version")
)

// Write writes a record as JSON, indented, in UTF-8.
func Write(w io.Writer, r Record) error {
	r.Format, r.Version = Format, Version
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		return fmt.Errorf("write record: %w", err)
	}
	return nil
}

// Read reads what Write wrote. The error wraps ErrNone or
// ErrNewer, or is the reader's. The rows are not looked at: the library's
// rules do that.
func Read(r io.Reader) (Record, error) {
	var rec Record
	in := &watched{r: r}
	err := json.NewDecoder(in).Decode(&rec)
	switch {
	case in.err != nil:
		return Record{}, in.err
	case rec.Format == Format && rec.Version > Version:
		return Record{}, fmt.Errorf("version %d: %w", rec.Version, ErrNewer)
	case err != nil:
		return Record{}, fmt.Errorf("%w: %w", ErrNone, err)
	case rec.Format != Format || rec.Version < 1:
		return Record{}, ErrNone
	}
	return rec, nil
}

// watched keeps a reader's own error apart from what is wrong with the text.
type watched struct {
	r   io.Reader
	err error
}

func (w *watched) Read(p []byte) (int, error) {
	n, err := w.r.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		w.err = err
	}
	return n, err
}

package report

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/sighting"
	"strokeledger/internal/tally"
)

// The marks by which a record is known. The version grows when a field changes its
// meaning or goes away, not when one is added.
const (
	RecordFormat  = "strokeledger record"
	RecordVersion = 1
)

// Record is everything that a library knows, as data: see the README for its JSON.
// Read into an empty library it gives the same summary. No slice in it is nil but Looks
// where it says so.
type Record struct {
	Format    string              `json:"format"`
	Version   int                 `json:"version"`
	Origin    Origin              `json:"origin"`
	Names     bool                `json:"names"` // false: aliases stand in place of names, notes are left out
	Catalogue club.Catalogue      `json:"catalogue"`
	Former    club.ID             `json:"former,omitempty"` // of the players, the one who stands for the forgotten whose numbers were kept
	Goals     Goals               `json:"wishes"`
	Rulings   []club.Ruling       `json:"rulings"`
	Sessions  []club.Session      `json:"sessions"`
	Clips     []club.Clip         `json:"clips"`
	Turns     []club.Turn         `json:"turns"`
	Strokes   []club.Stroke       `json:"strokes"`
	Marks     []club.Mark         `json:"marks"`
	Looks     []club.Look         `json:"looks"` // nil in a record of a time when none were kept
	Rulers    []sighting.Ruler    `json:"rulers"`
	Pairings  []alignment.Pairing `json:"pairings"`
	Summary   tally.Summary       `json:"summary"` // what the rest gives; not read back
}

// Goals are what the club asks of its training.
type Goals struct {
	TriesCap  int     `json:"tries_cap"` // tries a day at one rung; 0: none set
	Irregular float64 `json:"irregular"` // share of irregular strokes, 0 to 1
}

// Errors of ReadRecord.
var (
	ErrNoRecord    = errors.New("not a record")
	ErrNewerRecord = errors.New("a record of a newer version")
)

// WriteRecord writes a record as JSON, indented, in UTF-8.
func WriteRecord(w io.Writer, r Record) error {
	r.Format, r.Version = RecordFormat, RecordVersion
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		return fmt.Errorf("write record: %w", err)
	}
	return nil
}

// ReadRecord reads what WriteRecord wrote. The error wraps ErrNoRecord or
// ErrNewerRecord, or is the reader's. The rows are not looked at: the library's
// rules do that.
func ReadRecord(r io.Reader) (Record, error) {
	var rec Record
	in := &watched{r: r}
	err := json.NewDecoder(in).Decode(&rec)
	switch {
	case in.err != nil:
		return Record{}, in.err
	case rec.Format == RecordFormat && rec.Version > RecordVersion:
		return Record{}, fmt.Errorf("version %d: %w", rec.Version, ErrNewerRecord)
	case err != nil:
		return Record{}, fmt.Errorf("%w: %w", ErrNoRecord, err)
	case rec.Format != RecordFormat || rec.Version < 1:
		return Record{}, ErrNoRecord
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

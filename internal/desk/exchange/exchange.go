// Package exchange carries work from library to library in a file: what one library
// hands over, and what taking it in comes to.
package exchange

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/document"
	"strokeledger/internal/report/record"
	"strokeledger/internal/sentence"
)

// Exchange carries work in and out of a library. It is safe for concurrent use.
type Exchange struct {
	lib       *library.Library
	place     *place.Finder
	footage   *footage.Clips
	ladder    *ladder.Ladder
	documents *publish.Documents
}

// New is for a library.
func New(lib *library.Library, finder *place.Finder, clips *footage.Clips, rungs *ladder.Ladder, documents *publish.Documents) *Exchange {
	return &Exchange{lib: lib, place: finder, footage: clips, ladder: rungs, documents: documents}
}

// Read reads a record from a file. Errors: a *club.Problem.
func Read(file string) (record.Record, error) {
	f, err := document.Open(file)
	if err != nil {
		return record.Record{}, err
	}
	defer f.Close()
	r, err := record.Read(f)
	switch {
	case errors.Is(err, record.ErrNewer):
		return r, &club.Problem{Say: fmt.Sprintf("The record %q was written by a newer version of this program: install that version to read it.", file)}
	case errors.Is(err, record.ErrNone):
		return r, &club.Problem{Say: fmt.Sprintf("The file %q is not a record of Strokeledger: choose one that the record command wrote.", file)}
	case err != nil:
		return r, sentence.File("read", file, err)
	}
	return r, nil
}

// Handed says when work was handed over, for the next time.
type Handed struct {
	At   time.Time `json:"at"`
	Seq  int64     `json:"seq"`  // place in the change log up to which it went
	Last club.ID   `json:"last"` // the change there
}

const (
	settingHanded = "handed over"
	mostHanded    = 20
)

// Handed lists when work was handed over, the latest first.
func (x *Exchange) Handed(ctx context.Context) (all []Handed, err error) {
	text, err := x.lib.Setting(ctx, settingHanded)
	if err != nil || text == "" {
		return []Handed{}, err
	}
	if json.Unmarshal([]byte(text), &all) != nil {
		//lint:ignore nilerr what another program may have written there does not count
		return []Handed{}, nil
	}
	return all, nil
}

func (x *Exchange) handedOver(ctx context.Context, now Handed) error {
	all, err := x.Handed(ctx)
	if err != nil || x.lib.ReadOnly() {
		return err
	}
	all = append([]Handed{now}, all...)
	text, err := json.Marshal(all[:min(mostHanded, len(all))])
	if err != nil {
		return err
	}
	return x.lib.SetSetting(ctx, settingHanded, string(text))
}

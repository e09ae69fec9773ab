// Package wall makes the page of what each fault means, to hang on the wall and to train a
// new coach with.
package wall

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"io"
	"os"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/body"
	"strokeledger/internal/desk/consent"
	"strokeledger/internal/desk/definition"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/pictures"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/picture"
	"strokeledger/internal/pose"
	"strokeledger/internal/report/wall"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// Pages are the pages of a library's definitions. They are safe for concurrent use.
type Pages struct {
	lib         *library.Library
	footage     *footage.Clips
	consent     *consent.Consents
	pictures    *pictures.Pictures
	definitions *definition.Definitions
	documents   *publish.Documents
}

// New is for pages of a library's definitions.
func New(lib *library.Library, clips *footage.Clips, consents *consent.Consents, shown *pictures.Pictures, means *definition.Definitions, docs *publish.Documents) *Pages {
	return &Pages{lib: lib, footage: clips, consent: consents, pictures: shown, definitions: means, documents: docs}
}

// Query says what a page shows.
type Query struct {
	Faces bool `json:"faces"` // of the players; else they are made unrecognisable
	// Pictures are shown of players too to whose film there is no consent today.
	Unconsented bool `json:"unconsented"`
}

// Done tells what a page shows.
type Done struct {
	Path     string `json:"path"` // empty: it was not written to a file
	Pictures int    `json:"pictures"`
	Say      string `json:"say"` // what was left out, "" for nothing
}

// Write writes the page to a file and puts it on the list of documents with the players in
// its pictures.
func (x *Pages) Write(ctx context.Context, q Query, path string) (Done, error) {
	m, err := x.make(ctx, q)
	if err != nil {
		return Done{}, err
	}
	done := m.done()
	done.Path = path
	return done, x.documents.WriteOf(ctx, summary.Query{Players: m.players}, "wall", path, func(f *os.File) error { return wall.Write(f, m.page) })
}

// Page writes the page where it is on no list: to be looked at.
func (x *Pages) Page(ctx context.Context, q Query, w io.Writer) (Done, error) {
	m, err := x.make(ctx, q)
	if err != nil {
		return Done{}, err
	}
	return m.done(), wall.Write(w, m.page)
}

// most is how many pictures a page shows of what a fault is, and of what it is not.
const most = 2

// making is a page that is made; one goroutine uses it.
type making struct {
	*Pages
	Query
	unshown map[club.ID]bool         // whose film is not shown
	ledgers map[club.ID]store.Ledger // of the clips with model pictures
	finder  *pose.Finder             // nil until the first picture
	blind   bool                     // there is no finder

	page                   wall.Page
	players                []club.ID
	shown, refused, failed int // pictures
}

func (x *Pages) make(ctx context.Context, q Query) (*making, error) {
	ctx, end, err := x.lib.Jobs.Begin(ctx)
	if err != nil {
		return nil, err
	}
	defer end()
	m := &making{Pages: x, Query: q, ledgers: map[club.ID]store.Ledger{}, page: wall.Page{Made: x.lib.Now()}}
	if !q.Unconsented {
		if m.unshown, err = x.consent.Without(ctx); err != nil {
			return nil, err
		}
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	rows, err := x.definitions.List(ctx)
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, &club.Problem{Say: "There is no fault in use: add some under Club first."}
	}
	phases := club.Phases()
	for _, r := range rows {
		f, err := library.Find(cat.Faults, r.FaultID, func(f club.Fault) club.ID { return f.ID }, "fault")
		if err != nil {
			return nil, err
		}
		one := wall.Fault{Code: f.Code, Label: f.Label, Phase: f.Phase, Cue: f.Cue, Counts: r.Counts, Not: r.Not}
		for _, model := range r.Models {
			to := &one.IsNot
			if model.Is {
				to = &one.Is
			}
			if len(*to) == most {
				continue
			}
			one, err := m.picture(ctx, model)
			if err != nil {
				return nil, err
			}
			if one != nil {
				*to = append(*to, *one)
			}
		}
		m.page.Faults = append(m.page.Faults, one)
	}
	slices.SortStableFunc(m.page.Faults, func(a, b wall.Fault) int {
		return cmp.Compare(slices.Index(phases, a.Phase), slices.Index(phases, b.Phase))
	})
	return m, nil
}

// picture is a model picture cut to the player, nil where it is left out, which is counted.
func (m *making) picture(ctx context.Context, model standard.Model) (*wall.Picture, error) {
	led, err := m.ledger(ctx, model.ClipID)
	if err != nil {
		return nil, err
	}
	var who []club.ID // whose turns cover it
	for _, t := range led.Turns {
		if t.Covers(model.Frame) {
			who = append(who, t.PlayerID)
		}
	}
	if len(who) == 0 || slices.ContainsFunc(who, func(p club.ID) bool { return m.unshown[p] }) {
		m.refused++
		return nil, nil
	}
	one, err := m.cut(ctx, model, drawnOn(led, model))
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil, one == nil:
		m.failed++
		//lint:ignore nilerr a film that is not in its place leaves its picture out, and that is counted
		return nil, nil
	}
	m.shown++
	for _, p := range who {
		if !slices.Contains(m.players, p) {
			m.players = append(m.players, p)
		}
	}
	return one, nil
}

// ledger is what was logged on a clip, read once.
func (m *making) ledger(ctx context.Context, clip club.ID) (led store.Ledger, err error) {
	led, read := m.ledgers[clip]
	if !read {
		if led, err = m.lib.OfClip(ctx, clip); err == nil {
			m.ledgers[clip] = led
		}
	}
	return led, err
}

// drawnOn are the signs of the fault's marks on a picture, and what is drawn on it but for
// texts, in which anybody may be named.
func drawnOn(led store.Ledger, model standard.Model) (shown []picture.Drawing) {
	all := picture.Told(led.Drawings, false)
	for _, k := range led.Marks {
		if k.FaultID == model.FaultID {
			all = append(all, picture.OfSign(k)...)
		}
	}
	for _, d := range all {
		if d.Shows(model.Frame) {
			shown = append(shown, d)
		}
	}
	return shown
}

// cut is a picture cut to the player with what is drawn on it, nil where that cannot be done.
func (m *making) cut(ctx context.Context, model standard.Model, drawn []picture.Drawing) (*wall.Picture, error) {
	if m.finder == nil && !m.blind {
		finder, err := pose.New()
		if m.blind = errors.Is(err, pose.ErrMissing); err != nil {
			return nil, err
		}
		m.finder = finder
	}
	if m.blind {
		return nil, nil
	}
	c, release, err := m.footage.Open(ctx, model.ClipID)
	if err != nil {
		return nil, err
	}
	defer release()
	shown, err := m.pictures.Adjustment(ctx, model.ClipID)
	if err != nil {
		return nil, err
	}
	img, err := c.ImageLook(ctx, model.Frame, c.Shown(shown))
	if err != nil {
		return nil, err
	}
	portrait := body.Faceless
	if m.Faces {
		portrait = body.Portrait
	}
	cut, at, ok := portrait(m.finder, img)
	if !ok {
		return nil, nil
	}
	for i, d := range drawn {
		drawn[i] = d.Moved(shown.Shown)
	}
	var b bytes.Buffer
	err = jpeg.Encode(&b, cut, &jpeg.Options{Quality: 85})
	return &wall.Picture{JPEG: b.Bytes(), Drawn: picture.Within(drawn, img.Rect.Size(), at)}, err
}

// done tells what the page shows.
func (m *making) done() Done {
	var say []string
	told := func(n int, why string) {
		if n > 0 {
			say = append(say, fmt.Sprintf("%s left out: %s.", map[bool]string{true: "One picture is", false: fmt.Sprintf("%d pictures are", n)}[n == 1], why))
		}
	}
	told(m.refused, "no consent to the player's film is on record, or no turn says who is in it")
	if m.blind {
		told(m.failed, "this copy of the program was built without the networks that find the player")
	} else {
		told(m.failed, "the film is not in its place, or shows no player alone")
	}
	return Done{Pictures: m.shown, Say: strings.Join(say, " ")}
}

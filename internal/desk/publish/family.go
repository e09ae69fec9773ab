package publish

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/body"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
	"strokeledger/internal/picture"
	"strokeledger/internal/pose"
	"strokeledger/internal/redact"
	"strokeledger/internal/report/family"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
)

// FamilyQuery says for whom pages for families are written, and what they show.
type FamilyQuery struct {
	Players []club.ID `json:"players"` // empty: all who are not retired
	From    club.Date `json:"from"`    // empty: open
	To      club.Date `json:"to"`      // empty: open
	Names   bool      `json:"names"`   // the player's full name in place of the alias
	Notes   bool      `json:"notes"`   // the coach's notes on what is to work on, which may name others
	// Pictures are shown of players too to whose film there is no consent today.
	Unconsented bool `json:"unconsented"`
}

// FamilyDone tells which pages were written.
type FamilyDone struct {
	Folder string `json:"folder"`
	Pages  int    `json:"pages"`
	Say    string `json:"say"` // what was left out, "" for nothing
}

// FamilyPage writes one player's page. Its pictures are cut to the player; without a
// picture on which that can be done the page has none.
func (d *Documents) FamilyPage(ctx context.Context, q FamilyQuery, player club.ID, w io.Writer) error {
	f, err := d.families(ctx, q)
	if err != nil {
		return err
	}
	one, err := library.Find(f.cat.Players, player, func(p club.Player) club.ID { return p.ID }, "player")
	if err != nil {
		return err
	}
	s, err := f.sheet(ctx, one.ID)
	if err != nil {
		return err
	}
	if s == nil {
		return nothingTrained()
	}
	return f.write(ctx, *s, w)
}

func nothingTrained() error {
	return &club.Problem{Say: "Nobody who is chosen has a turn in this period: choose a longer one, or give the clips their turns first."}
}

// Families writes a page for each player into a folder, which is made where it is not
// there: all of them or none. Players without turns in the period get none, and are
// counted. progress, which may be nil, is told how many pages are done.
func (d *Documents) Families(ctx context.Context, q FamilyQuery, dir string, progress func(done, total int)) (done FamilyDone, err error) {
	ctx, end, err := d.lib.Jobs.Begin(ctx)
	if err != nil {
		return done, err
	}
	defer end()
	f, err := d.families(ctx, q)
	if err != nil {
		return done, err
	}
	var files []planned
	var sheets []tally.Sheet
	without := 0
	for _, p := range f.players() {
		s, err := f.sheet(ctx, p)
		if err != nil {
			return done, err
		}
		if s == nil {
			without++
			continue
		}
		name := cmp.Or(fileWord(f.called[p]), "player")
		path := filepath.Join(dir, "family-"+name+".html")
		for n := 2; slices.ContainsFunc(files, func(o planned) bool { return strings.EqualFold(o.path, path) }); n++ {
			path = filepath.Join(dir, fmt.Sprintf("family-%s-%d.html", name, n))
		}
		files, sheets = append(files, planned{path, []club.ID{p}}), append(sheets, *s)
	}
	if len(files) == 0 {
		return done, nothingTrained()
	}
	var pages document.Batch
	defer pages.Discard()
	err = d.listed(ctx, files, "family", func() error {
		if err := pages.Folder(dir); err != nil {
			return err
		}
		for i, file := range files {
			if err := pages.Write(document.File{Path: file.path, Write: func(w *os.File) error { return f.write(ctx, sheets[i], w) }}); err != nil {
				return err
			}
			if progress != nil {
				progress(i+1, len(files))
			}
		}
		return pages.Commit()
	})
	if err != nil {
		return done, err
	}
	return FamilyDone{Folder: dir, Pages: len(files), Say: f.left(without)}, nil
}

// families is what pages for families are made with; one goroutine uses it.
type families struct {
	*Documents
	FamilyQuery
	cat      club.Catalogue
	called   map[club.ID]string
	drills   map[club.ID]string
	unshown  map[club.ID]bool // whose film is not shown
	finder   *pose.Finder     // nil until the first picture
	blind    bool             // there is no finder
	pictures int              // that are missing although there are films
}

func (d *Documents) families(ctx context.Context, q FamilyQuery) (*families, error) {
	if err := (summary.Query{From: q.From, To: q.To}).Check(); err != nil {
		return nil, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	f := &families{Documents: d, FamilyQuery: q, cat: cat, called: redact.Players(cat, q.Names), drills: map[club.ID]string{}}
	for _, r := range cat.Drills {
		f.drills[r.ID] = r.Name
	}
	if !q.Unconsented {
		f.unshown, err = d.consent.Without(ctx)
	}
	return f, err
}

// players are those who get a page, in the order of the club's list.
func (f *families) players() (ids []club.ID) {
	for _, p := range f.cat.Players {
		if slices.Contains(f.Players, p.ID) || len(f.Players) == 0 && !p.Retired {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

// sheet is the player's own sheet, as the coach's page of that player has it; nil without
// a turn.
func (f *families) sheet(ctx context.Context, player club.ID) (*tally.Sheet, error) {
	s, err := f.summary.Sum(ctx, summary.Query{Players: []club.ID{player}, From: f.From, To: f.To})
	if err != nil || len(s.Players) == 0 || s.Players[0].All.Turns == 0 {
		return nil, err
	}
	return &s.Players[0], nil
}

func (f *families) write(ctx context.Context, s tally.Sheet, w io.Writer) error {
	p := family.Page{Name: f.called[s.PlayerID], From: f.From, To: f.To, Sheet: s, Drills: f.drills, Made: f.lib.Now()}
	marks, err := f.marks(ctx, &s)
	if err != nil {
		return err
	}
	if f.Notes {
		for _, m := range marks {
			if m.Note != "" && !slices.Contains(p.Notes, m.Note) {
				p.Notes = append(p.Notes, m.Note)
			}
		}
	}
	if !f.unshown[s.PlayerID] {
		if p.Good, err = f.picture(ctx, goodMoments(&s)); err != nil {
			return err
		}
		var shown []still
		for _, m := range marks {
			shown = append(shown, still{m.ClipID, m.Frame, m.Date, m.Drawn})
		}
		// A picture on which the coach has drawn says most.
		slices.SortStableFunc(shown, func(a, b still) int { return cmp.Compare(btoi(len(a.drawn) == 0), btoi(len(b.drawn) == 0)) })
		if p.Work, err = f.picture(ctx, shown); err != nil {
			return err
		}
	}
	return family.Write(w, p)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// marks are the latest of the fault to work on, the latest first.
func (f *families) marks(ctx context.Context, s *tally.Sheet) ([]summary.MarkRow, error) {
	if s.WorkOn == nil || len(s.WorkOn.Faults) == 0 {
		return nil, nil
	}
	on := s.WorkOn.Faults[0].FaultID
	i := slices.IndexFunc(s.All.Faults, func(l group.FaultLine) bool { return l.FaultID == on })
	if i < 0 {
		return nil, nil
	}
	const most = 30 // marks that are read for their notes
	ids := s.All.Faults[i].MarkIDs
	rows, err := f.summary.MarkRows(ctx, ids[max(0, len(ids)-most):])
	slices.SortStableFunc(rows, func(a, b summary.MarkRow) int { return cmp.Compare(b.Date, a.Date) })
	return rows, err
}

// still is a moment that would do for a picture.
type still struct {
	clip  club.ID
	frame int
	date  club.Date
	drawn []picture.Drawing
}

// goodMoments are good strokes without a mark of the player's best turn, then of the
// latest, from the middle on, where a turn is in full swing.
func goodMoments(s *tally.Sheet) (list []still) {
	for _, row := range []*tally.StrokeRow{s.Best, s.Latest} {
		if row == nil {
			continue
		}
		n, some := len(row.Strokes), 0
		for i := range n {
			k := row.Strokes[(i+n/2)%n]
			if k.Outcome == club.Good && len(k.Faults) == 0 && some < tries/2 {
				list = append(list, still{clip: row.ClipID, frame: k.Frame, date: row.Date})
				some++
			}
		}
	}
	return list
}

// tries is how many moments are tried for one picture.
const tries = 10

// picture is the first of some moments that shows the player alone, nil for none.
func (f *families) picture(ctx context.Context, moments []still) (*family.Picture, error) {
	for _, m := range moments[:min(len(moments), tries)] {
		p, err := f.cut(ctx, m)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err == nil && p != nil {
			return p, nil
		}
		if f.blind {
			return nil, nil
		}
	}
	if len(moments) > 0 {
		f.pictures++
	}
	return nil, nil
}

// cut is one moment cut to the player, nil where that cannot be done.
func (f *families) cut(ctx context.Context, m still) (*family.Picture, error) {
	if f.finder == nil {
		finder, err := pose.New()
		if f.blind = errors.Is(err, pose.ErrMissing); err != nil {
			return nil, err
		}
		f.finder = finder
	}
	c, release, err := f.footage.Open(ctx, m.clip)
	if err != nil {
		return nil, err
	}
	defer release()
	shown, err := f.shownAs(ctx, m.clip)
	if err != nil {
		return nil, err
	}
	img, err := c.ImageLook(ctx, m.frame, c.Shown(shown))
	if err != nil {
		return nil, err
	}
	cut, at, ok := body.Portrait(f.finder, img)
	if !ok {
		return nil, nil
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, cut, &jpeg.Options{Quality: 88}); err != nil {
		return nil, err
	}
	return &family.Picture{JPEG: b.Bytes(), Day: m.date, Drawn: picture.Within(picture.Told(m.drawn, f.Notes), img.Rect.Size(), at)}, nil
}

// left says what pages are without.
func (f *families) left(players int) string {
	var say []string
	switch {
	case players == 1:
		say = append(say, "One player has no turn in this period, and no page.")
	case players > 1:
		say = append(say, fmt.Sprintf("%d players have no turn in this period, and no page.", players))
	}
	switch {
	case f.blind:
		say = append(say, "There are no pictures: this copy of the program was built without the networks that find the player.")
	case f.pictures == 1:
		say = append(say, "One picture is missing: its film is not in its place, or shows no player alone.")
	case f.pictures > 1:
		say = append(say, fmt.Sprintf("%d pictures are missing: their films are not in their place, or show no player alone.", f.pictures))
	}
	return strings.Join(say, " ")
}

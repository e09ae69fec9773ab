package main

import (
	"fmt"
	"os"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/tally"
)

// Summary is the fault summary screen.
type Summary struct {
	s *shell

	get, sheet, ranking, versus, behind, unlooked newest
}

// Get sums up what the query asks for: the team, and a line a player.
func (x *Summary) Get(q desk.Query) (out desk.Overview, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return out, err
	}
	ctx, end := x.get.begin(ctx)
	defer end()
	return d.Overview(ctx, q)
}

// Sheet is one player's sheet in full, or the team's for "".
func (x *Summary) Sheet(q desk.Query, playerID string) (out tally.Summary, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return out, err
	}
	ctx, end := x.sheet.begin(ctx)
	defer end()
	return d.Sheet(ctx, q, club.ID(playerID))
}

// Marks opens numbers down to their marks.
func (x *Summary) Marks(ids []string) (rows []desk.MarkRow, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []desk.MarkRow{}, err
	}
	marks := make([]club.ID, len(ids))
	for i, id := range ids {
		marks[i] = club.ID(id)
	}
	return d.MarkRows(ctx, marks)
}

// Ranking puts the players in order for one fault.
func (x *Summary) Ranking(q desk.Query, faultID string) (r tally.Ranking, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return tally.Ranking{Players: []tally.Ranked{}}, err
	}
	ctx, end := x.ranking.begin(ctx)
	defer end()
	return d.Ranking(ctx, q, club.ID(faultID))
}

// Versus compares a player with another, or with the rest of the club for "".
func (x *Summary) Versus(q desk.Query, playerID, rivalID string) (v tally.Versus, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return tally.Versus{Comparisons: []tally.Comparison{}}, err
	}
	ctx, end := x.versus.begin(ctx)
	defer end()
	return d.Versus(ctx, q, club.ID(playerID), club.ID(rivalID))
}

// Behind lists the marks of one kind in all that the query asks for.
func (x *Summary) Behind(q desk.Query, kind desk.Kind) (ids []club.ID, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []club.ID{}, err
	}
	ctx, end := x.behind.begin(ctx)
	defer end()
	return d.Behind(ctx, q, kind)
}

// Unlooked lists the turns that nobody has looked through for a fault, or for some
// fault in use for "".
func (x *Summary) Unlooked(q desk.Query, faultID string) (list desk.Unlooked, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return desk.Unlooked{Turns: []desk.UnlookedTurn{}}, err
	}
	ctx, end := x.unlooked.begin(ctx)
	defer end()
	return d.Unlooked(ctx, q, club.ID(faultID))
}

// SaveRuling keeps the word of the coach who marks on a player's rung.
func (x *Summary) SaveRuling(row club.Ruling) (r club.Ruling, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return r, err
	}
	return d.SaveRuling(ctx, row)
}

// DropRulings gives a player's rung back to the turns.
func (x *Summary) DropRulings(playerID, drillID string) (err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return err
	}
	return d.DropRulings(ctx, club.ID(playerID), club.ID(drillID))
}

// Wishes tells what the club asks of its training.
func (x *Summary) Wishes() (w desk.Wishes, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return w, err
	}
	return d.Wishes(ctx)
}

// SetWishes keeps what the club asks of its training.
func (x *Summary) SetWishes(w desk.Wishes) (err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return err
	}
	return d.SetWishes(ctx, w)
}

// Export asks for a file and writes the summary to it; it returns the path,
// empty where nothing was written.
func (x *Summary) Export(q desk.Query, format string) (path string, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return "", err
	}
	ending := map[string]string{"html": "html", "csv": "csv", "xlsx": "xlsx", "json": "json", "record": "json", "text": "txt"}[format]
	if ending == "" {
		return "", &club.Problem{Field: "format", Say: fmt.Sprintf("%q is not a format: choose text, html, csv, xlsx, json or record.", format)}
	}
	what := "fault-summary"
	if format == string(desk.Record) {
		what = "record"
	}
	name, err := d.FileName(ctx, what, q.Players, q.Names, ending)
	if err != nil {
		return "", err
	}
	path, err = x.s.askWhere("Write the summary", name)
	if err != nil || path == "" {
		return "", err
	}
	return path, d.WriteOf(ctx, q, format, path, func(f *os.File) error { return d.Export(ctx, q, desk.Format(format), f) })
}

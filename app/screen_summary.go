package main

import (
	"context"
	"fmt"
	"os"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/tally"
)

// Summary is the fault summary screen.
type Summary struct {
	s *shell

	get, sheet, ranking, versus, behind, unlooked newest
}

// Get sums up what the query asks for: the team, and a line a player.
func (x *Summary) Get(q summary.Query) (summary.Overview, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (summary.Overview, error) {
		ctx, end := x.get.begin(ctx)
		defer end()
		return d.Summary.Overview(ctx, q)
	})
}

// Sheet is one player's sheet in full, or the team's for "".
func (x *Summary) Sheet(q summary.Query, playerID club.ID) (tally.Summary, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (tally.Summary, error) {
		ctx, end := x.sheet.begin(ctx)
		defer end()
		return d.Summary.Sheet(ctx, q, playerID)
	})
}

// Marks opens numbers down to their marks.
func (x *Summary) Marks(ids []club.ID) ([]summary.MarkRow, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]summary.MarkRow, error) {
		return d.Summary.MarkRows(ctx, ids)
	})
}

// Ranking puts the players in order for one fault.
func (x *Summary) Ranking(q summary.Query, faultID club.ID) (tally.Ranking, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (tally.Ranking, error) {
		ctx, end := x.ranking.begin(ctx)
		defer end()
		return d.Summary.Ranking(ctx, q, faultID)
	})
}

// Versus compares a player with another, or with the rest of the club for "".
func (x *Summary) Versus(q summary.Query, playerID, rivalID club.ID) (tally.Versus, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (tally.Versus, error) {
		ctx, end := x.versus.begin(ctx)
		defer end()
		return d.Summary.Versus(ctx, q, playerID, rivalID)
	})
}

// Behind lists the marks of one kind in all that the query asks for.
func (x *Summary) Behind(q summary.Query, kind summary.Kind) ([]club.ID, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]club.ID, error) {
		ctx, end := x.behind.begin(ctx)
		defer end()
		return d.Summary.Behind(ctx, q, kind)
	})
}

// Unlooked lists the turns that nobody has looked through for a fault, or for some
// fault in use for "".
func (x *Summary) Unlooked(q summary.Query, faultID club.ID) (summary.Unlooked, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (summary.Unlooked, error) {
		ctx, end := x.unlooked.begin(ctx)
		defer end()
		return d.Summary.Unlooked(ctx, q, faultID)
	})
}

// SaveRuling keeps the word of the coach who marks on a player's rung.
func (x *Summary) SaveRuling(row club.Ruling) (club.Ruling, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (club.Ruling, error) {
		return d.Ladder.SaveRuling(ctx, row)
	})
}

// RemoveRulings gives a player's rung back to the turns.
func (x *Summary) RemoveRulings(playerID, drillID club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Ladder.RemoveRulings(ctx, playerID, drillID)
	})
}

// Goals tells what the club asks of its training.
func (x *Summary) Goals() (ladder.Goals, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (ladder.Goals, error) {
		return d.Ladder.Goals(ctx)
	})
}

// SetGoals keeps what the club asks of its training.
func (x *Summary) SetGoals(w ladder.Goals) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Ladder.SetGoals(ctx, w)
	})
}

// Export asks for a file and writes the summary to it; it returns the path,
// empty where nothing was written.
func (x *Summary) Export(q summary.Query, format publish.Format) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		ending := map[publish.Format]string{publish.HTML: "html", publish.CSV: "csv", publish.XLSX: "xlsx", publish.JSON: "json", publish.Record: "json", publish.Text: "txt"}[format]
		if ending == "" {
			return "", &club.Problem{Field: "format", Say: fmt.Sprintf("%q is not a format: choose text, html, csv, xlsx, json or record.", format)}
		}
		what := "fault-summary"
		if format == publish.Record {
			what = "record"
		}
		name, err := d.Documents.FileName(ctx, what, q.Players, q.Names, ending)
		if err != nil {
			return "", err
		}
		path, err = x.s.askWhere("Write the summary", name)
		if err != nil || path == "" {
			return "", err
		}
		return path, d.Documents.WriteOf(ctx, q, string(format), path, func(f *os.File) error { return d.Documents.Export(ctx, q, format, f) })
	})
}

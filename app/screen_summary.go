package main

import (
	"context"
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
func (x *Summary) Get(q desk.Query) (desk.Overview, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (desk.Overview, error) {
		ctx, end := x.get.begin(ctx)
		defer end()
		return d.Overview(ctx, q)
	})
}

// Sheet is one player's sheet in full, or the team's for "".
func (x *Summary) Sheet(q desk.Query, playerID club.ID) (tally.Summary, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (tally.Summary, error) {
		ctx, end := x.sheet.begin(ctx)
		defer end()
		return d.Sheet(ctx, q, playerID)
	})
}

// Marks opens numbers down to their marks.
func (x *Summary) Marks(ids []club.ID) ([]desk.MarkRow, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]desk.MarkRow, error) {
		return d.MarkRows(ctx, ids)
	})
}

// Ranking puts the players in order for one fault.
func (x *Summary) Ranking(q desk.Query, faultID club.ID) (tally.Ranking, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (tally.Ranking, error) {
		ctx, end := x.ranking.begin(ctx)
		defer end()
		return d.Ranking(ctx, q, faultID)
	})
}

// Versus compares a player with another, or with the rest of the club for "".
func (x *Summary) Versus(q desk.Query, playerID, rivalID club.ID) (tally.Versus, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (tally.Versus, error) {
		ctx, end := x.versus.begin(ctx)
		defer end()
		return d.Versus(ctx, q, playerID, rivalID)
	})
}

// Behind lists the marks of one kind in all that the query asks for.
func (x *Summary) Behind(q desk.Query, kind desk.Kind) ([]club.ID, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]club.ID, error) {
		ctx, end := x.behind.begin(ctx)
		defer end()
		return d.Behind(ctx, q, kind)
	})
}

// Unlooked lists the turns that nobody has looked through for a fault, or for some
// fault in use for "".
func (x *Summary) Unlooked(q desk.Query, faultID club.ID) (desk.Unlooked, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (desk.Unlooked, error) {
		ctx, end := x.unlooked.begin(ctx)
		defer end()
		return d.Unlooked(ctx, q, faultID)
	})
}

// SaveRuling keeps the word of the coach who marks on a player's rung.
func (x *Summary) SaveRuling(row club.Ruling) (club.Ruling, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (club.Ruling, error) {
		return d.SaveRuling(ctx, row)
	})
}

// DropRulings gives a player's rung back to the turns.
func (x *Summary) DropRulings(playerID, drillID club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.DropRulings(ctx, playerID, drillID)
	})
}

// Wishes tells what the club asks of its training.
func (x *Summary) Wishes() (desk.Wishes, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (desk.Wishes, error) {
		return d.Wishes(ctx)
	})
}

// SetWishes keeps what the club asks of its training.
func (x *Summary) SetWishes(w desk.Wishes) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.SetWishes(ctx, w)
	})
}

// Export asks for a file and writes the summary to it; it returns the path,
// empty where nothing was written.
func (x *Summary) Export(q desk.Query, format desk.Format) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		ending := map[desk.Format]string{desk.HTML: "html", desk.CSV: "csv", desk.XLSX: "xlsx", desk.JSON: "json", desk.Record: "json", desk.Text: "txt"}[format]
		if ending == "" {
			return "", &club.Problem{Field: "format", Say: fmt.Sprintf("%q is not a format: choose text, html, csv, xlsx, json or record.", format)}
		}
		what := "fault-summary"
		if format == desk.Record {
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
		return path, d.WriteOf(ctx, q, string(format), path, func(f *os.File) error { return d.Export(ctx, q, format, f) })
	})
}

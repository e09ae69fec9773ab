package publish

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/picture"
	"strokeledger/internal/report"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
)

// Format is the form of a written summary.
type Format string

// The formats that Export writes.
const (
	Text   Format = "text"
	HTML   Format = "html"
	CSV    Format = "csv" // the table of faults; see Table for the others
	XLSX   Format = "xlsx"
	JSON   Format = "json"
	Record Format = "record" // everything, for reading back; see WriteRecord
)

// stillWidth is how wide the pictures in a document are, in pixels.
const stillWidth = 640

// Export writes the summary. Players appear by alias or initials unless the query
// asks for names. Pictures come from the clips that are in their place; where all
// clips of a fault are missing, the document goes without that picture.
func (d *Documents) Export(ctx context.Context, q summary.Query, f Format, w io.Writer) error {
	switch f {
	case CSV:
		return d.Table(ctx, q, TableForm{}, w)
	case XLSX:
		return d.workbook(ctx, q, w)
	case Record:
		return d.WriteRecord(ctx, q, w)
	case Text, HTML, JSON:
	default:
		return &club.Problem{Field: "format", Say: fmt.Sprintf("%q is not a format: choose text, html, csv, xlsx, json or record.", f)}
	}
	s, err := d.sum(ctx, q)
	if err != nil {
		return err
	}
	shown := s
	if !q.Names {
		shown = s.Aliased()
	}
	origin, err := d.Origin(ctx)
	if err != nil {
		return err
	}
	switch f {
	case Text:
		return report.Text(w, shown, origin)
	case JSON:
		return report.JSON(w, shown, origin)
	}
	stills, err := d.stills(ctx, s, q.Unconsented, q.Names)
	if err != nil {
		return err
	}
	return report.HTML(w, report.Document{Summary: s, Origin: origin, ShowNames: q.Names, Stills: stills})
}

// TableForm says which table is written as CSV, and how.
type TableForm struct {
	Which     string `json:"which"`     // "faults", "marks", "strokes", "looks" or "measures"; empty: faults
	Semicolon bool   `json:"semicolon"` // between cells, with decimal commas
	NoMark    bool   `json:"no_mark"`   // without the byte order mark
}

// Table writes one table as CSV.
func (d *Documents) Table(ctx context.Context, q summary.Query, f TableForm, w io.Writer) error {
	var t report.Table
	switch f.Which {
	case "", "faults", "measures":
		s, origin, err := d.shown(ctx, q)
		if err != nil {
			return err
		}
		t = report.FaultTable(s, origin)
		if f.Which == "measures" {
			t = report.MeasureTable(s, origin)
		}
	case "marks", "strokes", "looks":
		long, err := d.tables(ctx, q)
		if err != nil {
			return err
		}
		t = map[string]report.Table{"marks": long.marks, "strokes": long.strokes, "looks": long.looks}[f.Which]
	default:
		return &club.Problem{Field: "table", Say: fmt.Sprintf("%q is not a table: choose faults, marks, strokes, looks or measures.", f.Which)}
	}
	return report.CSV(w, t, report.CSVForm{Semicolon: f.Semicolon, NoMark: f.NoMark})
}

func (d *Documents) workbook(ctx context.Context, q summary.Query, w io.Writer) error {
	s, origin, err := d.shown(ctx, q)
	if err != nil {
		return err
	}
	long, err := d.tables(ctx, q)
	if err != nil {
		return err
	}
	tables := []report.Table{report.FaultTable(s, origin), long.marks, long.strokes, long.looks}
	if s.Team.Measured != nil {
		tables = append(tables, report.MeasureTable(s, origin))
	}
	err = report.XLSX(w, tables, []string{s.Team.All.Looked.Say, s.Team.Redefined}, origin)
	if errors.Is(err, report.ErrTooMany) {
		return &club.Problem{Say: "This is more than a spreadsheet takes: choose a shorter period or fewer players, or write CSV."}
	}
	return err
}

// sum is the summary with what is measured, which is taken off the film: of players
// without consent only where that is asked for, as with pictures.
func (d *Documents) sum(ctx context.Context, q summary.Query) (tally.Summary, error) {
	s, err := d.summary.Sum(ctx, q)
	if err != nil {
		return s, err
	}
	var without map[club.ID]bool
	if !q.Unconsented {
		if without, err = d.consent.Without(ctx); err != nil {
			return s, err
		}
	}
	return s, d.summary.Measure(ctx, q, &s, without)
}

// shown is the summary as a document shows it.
func (d *Documents) shown(ctx context.Context, q summary.Query) (s tally.Summary, o report.Origin, err error) {
	if s, err = d.sum(ctx, q); err != nil {
		return s, o, err
	}
	if !q.Names {
		s = s.Aliased()
	}
	o, err = d.Origin(ctx)
	return s, o, err
}

// stills takes one picture for each that a document wants, from the first of its
// marks whose clip can be read; of players without consent only where all asks
// for them, and with the texts that are drawn on them only where texts does.
func (d *Documents) stills(ctx context.Context, s tally.Summary, all, texts bool) (map[club.ID]report.Still, error) {
	wanted := report.Wanted(s)
	var ids []club.ID
	for _, list := range wanted {
		ids = append(ids, list...)
	}
	rows, err := d.summary.MarkRows(ctx, ids)
	if err != nil {
		return nil, err
	}
	byID := make(map[club.ID]summary.MarkRow, len(rows))
	for _, r := range rows {
		byID[r.ID] = r
	}
	without := map[club.ID]bool{}
	if !all {
		if without, err = d.consent.Without(ctx); err != nil {
			return nil, err
		}
	}
	stills := make(map[club.ID]report.Still, len(wanted))
	for _, list := range wanted {
		// A picture on which the coach has drawn says most.
		for _, id := range append(drawnOn(list, byID), list...) {
			r, ok := byID[id]
			if !ok || without[r.PlayerID] {
				continue
			}
			shown, err := d.shownAs(ctx, r.ClipID)
			if err != nil {
				return nil, err
			}
			jpeg, notices, err := d.jpeg(ctx, r.ClipID, r.Frame, shown)
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err == nil {
				stills[id] = report.Still{JPEG: jpeg, Drawn: picture.Told(r.Drawn, texts), Caption: strings.Join(append([]string{fmt.Sprintf("%s, %s, frame %d", r.Drill, dayText(r.Date), r.Frame)}, notices...), ". ")}
				break
			}
		}
	}
	return stills, nil
}

// drawnOn are the marks on whose picture something is drawn.
func drawnOn(ids []club.ID, rows map[club.ID]summary.MarkRow) (list []club.ID) {
	for _, id := range ids {
		if len(rows[id].Drawn) > 0 {
			list = append(list, id)
		}
	}
	return list
}

// jpeg is a picture for a document, with what is to be told of its film.
func (d *Documents) jpeg(ctx context.Context, clipID club.ID, frame int, shown picture.Adjustment) (jpeg []byte, notices []string, err error) {
	c, release, err := d.footage.Open(ctx, clipID)
	if err != nil {
		return nil, nil, err
	}
	defer release()
	jpeg, err = c.JPEGLook(ctx, frame, c.Shown(shown).Within(stillWidth))
	return jpeg, c.Info().Notices, err
}

// shownAs is how a clip is shown.
func (d *Documents) shownAs(ctx context.Context, clip club.ID) (picture.Adjustment, error) {
	a, err := store.Get[picture.Adjustment](ctx, d.lib.Library, clip)
	if errors.Is(err, store.ErrUnknown) {
		err = nil
	}
	return a, err
}

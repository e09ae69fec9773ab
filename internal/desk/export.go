package desk

import (
	"context"
	"fmt"
	"io"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
)

// Format is the form of a written summary.
type Format string

// The formats that Export writes.
const (
	Text Format = "text"
	HTML Format = "html"
	CSV  Format = "csv"
	JSON Format = "json"
)

// stillWidth is how wide the pictures in a document are, in pixels.
const stillWidth = 640

// Export writes the summary. Players appear by alias or initials unless the query
// asks for names. Pictures come from the clips that are in their place; where all
// clips of a fault are missing, the document goes without that picture.
func (d *Desk) Export(ctx context.Context, q Query, f Format, w io.Writer) error {
	s, err := d.Summary(ctx, q)
	if err != nil {
		return err
	}
	shown := s
	if !q.Names {
		shown = s.Aliased()
	}
	switch f {
	case Text:
		return report.Text(w, shown)
	case CSV:
		return report.CSV(w, shown)
	case JSON:
		return report.JSON(w, shown)
	case HTML:
		stills, err := d.stills(ctx, s)
		if err != nil {
			return err
		}
		return report.HTML(w, report.Document{Summary: s, Made: d.now(), ShowNames: q.Names, Stills: stills})
	}
	return &club.Problem{Field: "format", Say: fmt.Sprintf("%q is not a format: choose text, html, csv or json.", f)}
}

// stills takes one picture for each that a document wants, from the first of its
// marks whose clip can be read.
func (d *Desk) stills(ctx context.Context, s tally.Summary) (map[club.ID]report.Still, error) {
	wanted := report.Wanted(s)
	var ids []club.ID
	for _, list := range wanted {
		ids = append(ids, list...)
	}
	rows, err := d.MarkRows(ctx, ids)
	if err != nil {
		return nil, err
	}
	byID := make(map[club.ID]MarkRow, len(rows))
	for _, r := range rows {
		byID[r.ID] = r
	}
	stills := make(map[club.ID]report.Still, len(wanted))
	for _, list := range wanted {
		for _, id := range list {
			r, ok := byID[id]
			if !ok {
				continue
			}
			jpeg, err := d.jpeg(ctx, r.ClipID, r.Frame)
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err == nil {
				stills[id] = report.Still{JPEG: jpeg, Caption: fmt.Sprintf("%s, %s, frame %d", r.Drill, r.Date, r.Frame)}
				break
			}
		}
	}
	return stills, nil
}

func (d *Desk) jpeg(ctx context.Context, clipID club.ID, frame int) ([]byte, error) {
	c, release, err := d.Footage(ctx, clipID)
	if err != nil {
		return nil, err
	}
	defer release()
	return c.JPEG(ctx, frame, stillWidth)
}

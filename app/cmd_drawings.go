package main

import (
	"encoding/json"
	"fmt"

	"strokeledger/internal/picture"
)

type drawingsCmd struct {
	Clip string `arg:"" help:"Name or id of a clip in the library."`
	JSON bool   `help:"Print one JSON object."`
}

// drawingJSON is one drawing with what its places come to.
type drawingJSON struct {
	picture.Drawing
	FirstSeconds float64  `json:"first_seconds"` // clip time
	LastSeconds  float64  `json:"last_seconds"`  // clip time
	Degrees      *float64 `json:"degrees,omitempty"`
}

// Run lists what is drawn on the pictures of a clip.
func (m *drawingsCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	id, err := clipNamed(c.ctx, d, m.Clip)
	if err != nil {
		return err
	}
	row, err := d.Library.Clip(c.ctx, id)
	if err != nil {
		return err
	}
	all, err := d.Pictures.Drawings(c.ctx, id)
	if err != nil {
		return err
	}
	w, h := float64(row.Width), float64(row.Height)
	at := func(ticks int64) float64 { return row.Base.Seconds(ticks - row.FirstTicks) }
	if !m.JSON {
		if len(all) == 0 {
			fmt.Fprintln(c.out, "Nothing is drawn on this clip.")
		}
		for _, v := range all {
			fmt.Fprintln(c.out, onLine(fmt.Sprintf("frame %d, shown on %d to %d: %s", v.Frame, v.First, v.Last, v.InWords(w, h))))
		}
		return nil
	}
	out := struct {
		Width    int           `json:"width"`
		Height   int           `json:"height"`
		Drawings []drawingJSON `json:"drawings"`
	}{row.Width, row.Height, []drawingJSON{}}
	for _, v := range all {
		one := drawingJSON{Drawing: v, FirstSeconds: at(v.FirstTicks), LastSeconds: at(v.LastTicks)}
		if v.Kind == picture.Angle {
			degrees := v.Degrees(w, h)
			one.Degrees = &degrees
		}
		out.Drawings = append(out.Drawings, one)
	}
	e := json.NewEncoder(c.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(out)
}

package main

import (
	"encoding/json"
	"fmt"

	"strokeledger/internal/desk/pairing"
)

type camerasCmd struct {
	First  string `arg:"" help:"Clip or sound file; with --keep, a clip of the library by its name or id."`
	Second string `arg:"" help:"Clip or sound file that may show the same minutes."`
	Keep   bool   `help:"Line them up in the library: turns, strokes and marks of both are kept together from then on."`
	JSON   bool   `help:"Print one JSON object."`
}

type camerasJSON struct {
	Offset       float64 `json:"offset"`               // seconds: the second's moment b is offset + (1 + drift) b of the first
	DriftPPM     float64 `json:"drift_ppm"`            // millionths
	OffsetHalf   float64 `json:"offset_half"`          // seconds; half widths, 95 %, without the way of the sound
	DriftHalfPPM float64 `json:"drift_half_ppm"`       // millionths
	Matched      int     `json:"matched"`              // sharp sounds that both heard
	Say          string  `json:"say"`                  // one sentence or two
	Kept         bool    `json:"kept"`                 // in the library
	EntriesOn    string  `json:"entries_on,omitempty"` // the clip that keeps the entries of both, where it is kept
}

// Run tells how two recordings of the same minutes lie to each other.
func (r *camerasCmd) Run(c *command) error {
	out, err := r.line(c)
	if err != nil {
		return err
	}
	if r.JSON {
		e := json.NewEncoder(c.out)
		e.SetIndent("", " ")
		return e.Encode(out)
	}
	fmt.Fprintln(c.out, out.Say)
	return nil
}

func (r *camerasCmd) line(c *command) (out camerasJSON, err error) {
	progress := newBar(c.say)
	defer progress.end()
	listening := func(done, all float64) { progress.show(int(done), int(all), "listening") }
	if r.Keep && r.First == r.Second {
		return out, wrongUse("A clip cannot be lined up with itself: give two.")
	}
	if r.Keep {
		return r.keep(c, listening)
	}
	found, err := pairing.Films(c.ctx, r.First, r.Second, listening)
	if err != nil {
		return out, err
	}
	return linedUp(found, found.Say), nil
}

func (r *camerasCmd) keep(c *command, progress func(done, all float64)) (out camerasJSON, err error) {
	d, err := c.open(false)
	if err != nil {
		return out, err
	}
	defer d.Close()
	a, err := inLibrary(c, d, r.First)
	if err != nil {
		return out, err
	}
	b, err := inLibrary(c, d, r.Second)
	if err != nil {
		return out, err
	}
	found, err := d.Pairings.Find(c.ctx, a, b, progress)
	if err != nil {
		return out, err
	}
	if _, err := d.Pairings.Keep(c.ctx, found); err != nil {
		return out, err
	}
	if found.OnID == b {
		found.Fit = found.Fit.Turned()
	}
	out = linedUp(found, found.Say+" "+found.Entries)
	out.Kept, out.EntriesOn = true, found.OnName
	return out, nil
}

func linedUp(f pairing.Found, say string) camerasJSON {
	return camerasJSON{
		Offset: round(f.Fit.Offset, 1e6), DriftPPM: round(f.Fit.Drift*1e6, 100), OffsetHalf: round(f.Fit.OffsetHalf, 1e6), DriftHalfPPM: round(f.Fit.DriftHalf*1e6, 100),
		Matched: f.Fit.Matched, Say: say,
	}
}

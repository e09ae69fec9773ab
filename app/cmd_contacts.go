package main

import (
	"encoding/json"
	"fmt"
	"math"

	"strokeledger/internal/desk/listening"
)

type contactsCmd struct {
	File string `arg:"" help:"Clip or sound file." type:"path"`
	JSON bool   `help:"Print one JSON object."`
}

type contactJSON struct {
	Seconds    float64 `json:"seconds"` // clip time; from the first sample in a sound file
	Kind       string  `json:"kind"`    // racket, bounce or other
	Who        string  `json:"who"`     // near, far or nothing
	Strength   float64 `json:"strength"`
	Confidence float64 `json:"confidence"`
}

// round keeps what means something: parts of one.
func round(v, parts float64) float64 { return math.Round(v*parts) / parts }

// Run prints the contacts heard in a file; no library is needed.
func (f *contactsCmd) Run(c *command) error {
	progress := newBar(c.say)
	found, err := listening.Detect(c.ctx, f.File, func(done, all float64) {
		progress.show(int(done), int(all), "listening")
	})
	progress.end()
	if err != nil {
		return err
	}
	out := struct {
		Contacts []contactJSON `json:"contacts"`
		Unsure   bool          `json:"unsure"` // which sound is the racket's: all kinds may be the other way round
	}{make([]contactJSON, len(found)), found.Unsure()}
	for i, h := range found {
		out.Contacts[i] = contactJSON{round(h.Seconds, 1e6), string(h.Kind), string(h.Who), round(h.Strength, 1e3), round(h.Confidence, 1e3)}
	}
	if f.JSON {
		e := json.NewEncoder(c.out)
		e.SetIndent("", " ")
		return e.Encode(out)
	}
	fmt.Fprintf(c.out, "%10s  %-7s %-5s %9s %11s\n", "seconds", "kind", "who", "strength", "confidence")
	for _, h := range out.Contacts {
		fmt.Fprintf(c.out, "%10.4f  %-7s %-5s %9.2f %11.2f\n", h.Seconds, h.Kind, h.Who, h.Strength, h.Confidence)
	}
	if out.Unsure {
		fmt.Fprintln(c.out, "\nWhich sound is the racket's is not sure: all kinds may be the other way round.")
	}
	return nil
}

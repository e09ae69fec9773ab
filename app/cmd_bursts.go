package main

import (
	"encoding/json"
	"fmt"
	"os"

	"strokeledger/internal/desk/burst"
)

type burstsCmd struct {
	Clip  string  `arg:"" help:"Name or id of a clip in the library, or a clip or sound file."`
	Pause float64 `help:"Seconds without play that end a burst; without it, what is set for the clip or learned from it." placeholder:"S"`
	JSON  bool    `help:"Print one JSON object."`
}

type burstJSON struct {
	From     float64 `json:"from"` // clip time; from the first sample in a sound file
	To       float64 `json:"to"`
	Contacts int     `json:"contacts"` // of play
}

type burstsJSON struct {
	Pause   float64     `json:"pause"`   // in force
	Learned float64     `json:"learned"` // from the sound
	Sure    bool        `json:"sure"`    // its pauses fall into two kinds
	Bursts  []burstJSON `json:"bursts"`
}

// Run prints the bursts of play heard in a clip of the library or in a file.
func (b *burstsCmd) Run(c *command) error {
	progress := newBar(c.say)
	found, err := b.find(c, func(done, all float64) { progress.show(int(done), int(all), "listening") })
	progress.end()
	if err != nil {
		return err
	}
	out := burstsJSON{round(found.Pause, 1e3), round(found.Learned.Seconds, 1e3), found.Learned.Sure, make([]burstJSON, len(found.All))}
	for i, p := range found.All {
		out.Bursts[i] = burstJSON{round(p.From, 1e3), round(p.To, 1e3), p.Contacts}
	}
	if b.JSON {
		e := json.NewEncoder(c.out)
		e.SetIndent("", " ")
		return e.Encode(out)
	}
	fmt.Fprintf(c.out, "%10s %10s %9s\n", "from", "to", "contacts")
	for _, p := range out.Bursts {
		fmt.Fprintf(c.out, "%10.2f %10.2f %9d\n", p.From, p.To, p.Contacts)
	}
	fmt.Fprintf(c.out, "Parted by pauses longer than %.1f s.\n", out.Pause)
	return nil
}

// find takes a file where there is one of that name; else a clip of the library.
func (b *burstsCmd) find(c *command, progress func(done, all float64)) (burst.Detected, error) {
	if _, err := os.Stat(b.Clip); err == nil {
		return burst.FindInFile(c.ctx, b.Clip, b.Pause, progress)
	}
	d, err := c.open(false)
	if err != nil {
		return burst.Detected{}, err
	}
	defer d.Close()
	id, err := clipNamed(c.ctx, d, b.Clip)
	if err != nil {
		return burst.Detected{}, err
	}
	return d.Bursts.FindInClip(c.ctx, id, b.Pause, progress)
}

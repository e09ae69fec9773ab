package main

import (
	"encoding/json"
	"fmt"

	"strokeledger/internal/clip"
)

type framesCmd struct {
	Clip string `arg:"" help:"Media file." type:"path"`
	JSON bool   `help:"Print one JSON object."`
}

type framesJSON struct {
	DisplayWidth  int         `json:"display_width"`
	DisplayHeight int         `json:"display_height"`
	FrameCount    int         `json:"frame_count"`
	Complete      bool        `json:"complete"`
	Frames        []frameJSON `json:"frames"`
	TimeBase      string      `json:"time_base"`
	Sound         []soundJSON `json:"sound"`
	Notices       []string    `json:"notices"`
}

type frameJSON struct {
	N           int     `json:"n"`
	Ticks       int64   `json:"ticks"`
	Seconds     float64 `json:"seconds"`      // clip time: 0 at the first picture
	FileSeconds float64 `json:"file_seconds"` // the file's own clock, unwrapped
}

type soundJSON struct {
	Rate         int     `json:"rate"`
	Channels     int     `json:"channels"`
	FirstSeconds float64 `json:"first_seconds"`
}

// Run prints what is in a file; no library is needed.
func (f *framesCmd) Run(c *command) error {
	film, err := clip.Open(c.ctx, f.Clip, clip.Options{Video: -1, Sound: -1})
	if err != nil {
		return err
	}
	defer film.Close()
	if err := film.Indexed(c.ctx); err != nil {
		return err
	}
	info, ix := film.Info(), film.Index()
	out := framesJSON{
		DisplayWidth: info.Width, DisplayHeight: info.Height, FrameCount: ix.Len(), Complete: ix.Complete && !ix.Broken,
		Frames: make([]frameJSON, ix.Len()), TimeBase: info.Base.String(),
		Sound: make([]soundJSON, len(info.Sounds)), Notices: append([]string{}, info.Notices...),
	}
	for n := range out.Frames {
		out.Frames[n] = frameJSON{n, ix.Ticks(n), ix.Seconds(n), ix.FileSeconds(n)}
	}
	for i, s := range info.Sounds {
		out.Sound[i] = soundJSON{s.Rate, s.Channels, s.FirstSeconds}
	}
	if f.JSON {
		e := json.NewEncoder(c.out)
		e.SetIndent("", " ")
		return e.Encode(out)
	}
	fmt.Fprintf(c.out, "%d × %d pixels as shown, %d frames, %.3f s, one tick is %s s\n",
		out.DisplayWidth, out.DisplayHeight, out.FrameCount, ix.EndSeconds(), out.TimeBase)
	if len(out.Sound) == 0 {
		fmt.Fprintln(c.out, "no sound")
	}
	for _, s := range out.Sound {
		fmt.Fprintf(c.out, "sound: %d Hz, %d channels, from %.3f s\n", s.Rate, s.Channels, s.FirstSeconds)
	}
	for _, n := range out.Notices {
		fmt.Fprintln(c.out, n)
	}
	fmt.Fprintf(c.out, "%8s %14s %12s %12s\n", "frame", "ticks", "clip s", "file s")
	for _, r := range out.Frames {
		fmt.Fprintf(c.out, "%8d %14d %12.4f %12.4f\n", r.N, r.Ticks, r.Seconds, r.FileSeconds)
	}
	return nil
}

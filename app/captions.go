package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"strokeledger/internal/club"
)

type captionsCmd struct {
	Clip     string `arg:"" help:"Name or id of a clip in the library."`
	Out      string `required:"" help:"File for the marks as captions, WebVTT." type:"path" placeholder:"F.vtt"`
	Chapters string `help:"File for the turns as chapters, WebVTT." type:"path" placeholder:"G.vtt"`
	Names    bool   `help:"Show players' full names instead of aliases or initials."`
}

// Run writes what was seen in a clip as tracks that players of films show.
func (x *captionsCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	id, err := clipNamed(c.ctx, d, filepath.Base(x.Clip))
	if err != nil {
		return err
	}
	for _, file := range []struct {
		path  string
		write func(context.Context, club.ID, bool, io.Writer) error
	}{{x.Out, d.Captions}, {x.Chapters, d.Chapters}} {
		if file.path == "" {
			continue
		}
		if err := d.WriteOfClip(c.ctx, id, "captions", file.path, func(f *os.File) error { return file.write(c.ctx, id, x.Names, f) }); err != nil {
			return err
		}
		fmt.Fprintln(c.out, file.path)
	}
	return nil
}

package main

import (
	"fmt"
	"os"
	"path/filepath"

	"strokeledger/internal/document"
)

type captionsCmd struct {
	Clip     string `arg:"" help:"Name or id of a clip in the library."`
	Out      string `required:"" help:"File for the marks as captions, WebVTT." type:"path" placeholder:"F.vtt"`
	Chapters string `help:"File for the turns as chapters, WebVTT." type:"path" placeholder:"G.vtt"`
	Names    bool   `help:"Show players' full names instead of aliases or initials."`
}

// Run writes what was seen in a clip as tracks that players of films show.
func (x *captionsCmd) Run(c *command) error {
	if x.Chapters != "" && filepath.Clean(x.Out) == filepath.Clean(x.Chapters) {
		return wrongUse("Captions and chapters cannot be one file: give --chapters another name.")
	}
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	id, err := clipNamed(c.ctx, d, filepath.Base(x.Clip))
	if err != nil {
		return err
	}
	files := []document.File{{Path: x.Out, Write: func(f *os.File) error { return d.Documents.Captions(c.ctx, id, x.Names, f) }}}
	if x.Chapters != "" {
		files = append(files, document.File{Path: x.Chapters, Write: func(f *os.File) error { return d.Documents.Chapters(c.ctx, id, x.Names, f) }})
	}
	if err := d.Documents.WriteOfClip(c.ctx, id, "captions", files...); err != nil {
		return err
	}
	for _, f := range files {
		fmt.Fprintln(c.out, f.Path)
	}
	for _, n := range d.Footage.Notices(c.ctx, id) {
		fmt.Fprintln(c.say, n)
	}
	return nil
}

package main

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/document"
	"strokeledger/internal/picture"
)

type stillCmd struct {
	Clip  string `arg:"" help:"Name or id of a clip in the library, as it is shown there, or a media file, as it is filmed."`
	Frame []int  `required:"" help:"Frame number, from 0; may be given again." sep:"none"`
	Out   string `required:"" help:"Folder for the PNG files." type:"path"`
}

// Run writes the frames, one file each: all of them or none.
func (s *stillCmd) Run(c *command) error {
	film, shown, end, err := s.open(c)
	if err != nil {
		return err
	}
	defer end()
	if err := film.Indexed(c.ctx); err != nil {
		return err
	}
	progress := newBar(c.say)
	defer progress.end()
	var pictures document.Batch
	defer pictures.Discard()
	if err := pictures.Folder(s.Out); err != nil {
		return err
	}
	for i, n := range s.Frame {
		if slices.Contains(s.Frame[:i], n) {
			continue
		}
		progress.show(i, len(s.Frame), fmt.Sprintf("frame %d", n))
		img, err := film.ImageLook(c.ctx, n, film.Shown(shown))
		if err != nil {
			return err
		}
		path := filepath.Join(s.Out, fmt.Sprintf("%07d.png", n))
		if err := pictures.Write(document.File{Path: path, Write: func(f *os.File) error { return png.Encode(f, img) }}); err != nil {
			return err
		}
	}
	if err := pictures.Commit(); err != nil {
		return err
	}
	progress.end()
	for _, n := range film.Info().Notices {
		fmt.Fprintln(c.say, n)
	}
	return nil
}

// open takes a file where there is one of that name; else a clip of the library, with how
// it is shown there. The caller ends it.
func (s *stillCmd) open(c *command) (film *clip.Clip, shown picture.Adjustment, end func(), err error) {
	if _, err := os.Stat(s.Clip); err == nil {
		film, err := clip.Open(c.ctx, s.Clip, clip.Options{Video: -1, Sound: -1})
		return film, shown, func() { film.Close() }, err
	}
	d, err := c.open(false)
	if err != nil {
		return nil, shown, nil, err
	}
	id, err := clipNamed(c.ctx, d, s.Clip)
	if err == nil {
		shown, err = d.Pictures.Adjustment(c.ctx, id)
	}
	release := func() {}
	if err == nil {
		film, release, err = d.Footage.Open(c.ctx, id)
	}
	if err != nil {
		d.Close()
		return nil, shown, nil, err
	}
	return film, shown, func() { release(); d.Close() }, nil
}

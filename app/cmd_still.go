package main

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/document"
)

type stillCmd struct {
	Clip  string `arg:"" help:"Media file." type:"path"`
	Frame []int  `required:"" help:"Frame number, from 0; may be given again." sep:"none"`
	Out   string `required:"" help:"Folder for the PNG files." type:"path"`
}

// Run writes the frames, one file each: all of them or none.
func (s *stillCmd) Run(c *command) error {
	film, err := clip.Open(c.ctx, s.Clip, clip.Options{Video: -1, Sound: -1})
	if err != nil {
		return err
	}
	defer film.Close()
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
		img, err := film.Image(c.ctx, n)
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

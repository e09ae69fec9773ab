package main

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"

	"strokeledger/internal/clip"
	"strokeledger/internal/desk"
)

type stillCmd struct {
	Clip  string `arg:"" help:"Media file." type:"path"`
	Frame []int  `required:"" help:"Frame number, from 0; may be given again." sep:"none"`
	Out   string `required:"" help:"Folder for the PNG files." type:"path"`
}

// Run writes the frames in the order asked, one file each.
func (s *stillCmd) Run(c *command) error {
	film, err := clip.Open(c.ctx, s.Clip, clip.Options{Video: -1, Sound: -1})
	if err != nil {
		return err
	}
	defer film.Close()
	progress := newBar(c.say)
	defer progress.end()
	for i, n := range s.Frame {
		progress.show(i, len(s.Frame), fmt.Sprintf("frame %d", n))
		img, err := film.Image(c.ctx, n)
		if err != nil {
			return err
		}
		if err := os.MkdirAll(s.Out, 0o700); err != nil {
			return desk.FileError("make the folder", s.Out, err)
		}
		path := filepath.Join(s.Out, fmt.Sprintf("%07d.png", n))
		err = desk.WriteFile(path, func(f *os.File) error { return png.Encode(f, img) })
		if err != nil {
			return err
		}
	}
	return nil
}

// Package body finds the people in footage: where their joints are.
package body

import (
	"context"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/pose"
)

// Seen are the people in one frame of a clip, the one lowest in the picture first.
type Seen struct {
	Frame  int
	People []pose.Person
}

// Joints finds the people in frames of a file, each frame once, in the order in which they
// are asked for. It calls progress, which may be nil, with the frames done.
func Joints(ctx context.Context, path string, frames []int, progress func(done int)) ([]Seen, error) {
	film, err := clip.Open(ctx, path, clip.Options{})
	if err != nil {
		return nil, err
	}
	defer film.Close()
	finder, err := pose.New()
	if err != nil {
		return nil, err
	}
	var all []Seen
	for i, n := range frames {
		if slices.Contains(frames[:i], n) {
			continue
		}
		img, err := film.Image(ctx, n)
		if err != nil {
			return nil, err
		}
		all = append(all, Seen{n, finder.People(img)})
		if progress != nil {
			progress(i + 1)
		}
	}
	return all, nil
}

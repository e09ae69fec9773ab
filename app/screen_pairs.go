package main

import (
	"bytes"
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/beside"
	"strokeledger/internal/desk/pictures"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/picture"
)

// Pairs is two pictures side by side.
type Pairs struct{ s *shell }

// List returns the pairs that are kept, by name.
func (p *Pairs) List() ([]pictures.Listed, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) ([]pictures.Listed, error) { return d.Pictures.Pairs(ctx) })
}

// Choices returns what can stand beside a picture.
func (p *Pairs) Choices() ([]pictures.Shot, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) ([]pictures.Shot, error) { return d.Pictures.Choices(ctx) })
}

// Keep keeps a pair: a new one without an ID.
func (p *Pairs) Keep(pair picture.Pair) (picture.Pair, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (picture.Pair, error) { return d.Pictures.KeepPair(ctx, pair) })
}

// Remove takes a pair out of the library.
func (p *Pairs) Remove(id club.ID) error {
	return p.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Pictures.RemovePair(ctx, id) })
}

// Preview makes a page with both pictures to look at and to print, and returns its address.
func (p *Pairs) Preview(q beside.Query) (string, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (string, error) {
		var page bytes.Buffer
		if err := d.Beside.Page(ctx, q, &page); err != nil {
			return "", err
		}
		return p.s.handed.show(page.Bytes()), nil
	})
}

// Film asks for a file and writes a film of both pictures to it, telling its progress by
// events of the job "pair". Its path is empty where nothing was written.
func (p *Pairs) Film(q beside.Query) (publish.ReelDone, error) {
	return asked(p.s, func(ctx context.Context, d *desk.Desk) (done publish.ReelDone, err error) {
		path, err := p.s.askWhere("Write the film", "pair.mp4")
		if err != nil || path == "" {
			return done, err
		}
		return d.Beside.Film(ctx, q, path, func(done, total int) {
			if done%25 == 0 || done == total { // as often as the eye wants it
				p.s.emit(eventProgress, progressEvent{"pair", done, total, "pictures"})
			}
		})
	})
}

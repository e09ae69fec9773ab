package main

import (
	"bytes"
	"context"

	"strokeledger/internal/desk"
	"strokeledger/internal/desk/definition"
	"strokeledger/internal/desk/wall"
	"strokeledger/internal/standard"
)

// Definitions is what the team means by each fault.
type Definitions struct{ s *shell }

// List tells what each fault in use means.
func (x *Definitions) List() ([]definition.Row, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]definition.Row, error) { return d.Definitions.List(ctx) })
}

// Define writes what a fault means from now on; where there are marks of it, it has to be
// said whether they still mean the same, or the error names the field "older".
func (x *Definitions) Define(text definition.Text) (standard.Definition, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (standard.Definition, error) {
		return d.Definitions.Define(ctx, text)
	})
}

// Flip says what a picture shows of a fault; where it shows that already it is a model no
// more. It returns what the picture shows now.
func (x *Definitions) Flip(picture definition.Shown) (definition.As, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (definition.As, error) {
		return d.Definitions.Flip(ctx, picture)
	})
}

// LookAtWall makes the page of what each fault means to look at, and to print. It returns
// the address of the page, which is not on the list of documents.
func (x *Definitions) LookAtWall(q wall.Query) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (string, error) {
		var page bytes.Buffer
		if _, err := d.Wall.Page(ctx, q, &page); err != nil {
			return "", err
		}
		return x.s.handed.show(page.Bytes()), nil
	})
}

// WriteWall asks for a file and writes that page to it; the path is empty where nothing was
// written.
func (x *Definitions) WriteWall(q wall.Query) (done wall.Done, err error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (done wall.Done, err error) {
		path, err := x.s.askWhere("Write the wall page", "what-each-fault-means.html")
		if err != nil || path == "" {
			return done, err
		}
		return d.Wall.Write(ctx, q, path)
	})
}

package main

import (
	"context"

	"strokeledger/internal/desk"
	"strokeledger/internal/desk/definition"
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

package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/trial"
)

// Trials is where a coach is tested on strokes of which the team knows what is there.
type Trials struct{ s *shell }

// List lists the tests of all coaches, the latest first.
func (x *Trials) List() ([]trial.Test, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]trial.Test, error) { return d.Trials.List(ctx) })
}

// Begin begins a test of a coach, who is the one who marks from then on.
func (x *Trials) Begin(coach club.ID, seed int64) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Begin(ctx, coach, seed) })
}

// Answer says which faults the coach saw on a stroke of the test that goes on.
func (x *Trials) Answer(stroke club.ID, faults []club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Answer(ctx, stroke, faults) })
}

// Finish ends the test, which shows what is settled.
func (x *Trials) Finish() error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Finish(ctx) })
}

// Leave gives the test up.
func (x *Trials) Leave() error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Leave(ctx) })
}

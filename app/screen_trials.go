package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/trial"
)

// Tests lists the tests of all coaches, the latest first.
func (x *Agreement) Tests() ([]trial.Test, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]trial.Test, error) { return d.Trials.List(ctx) })
}

// BeginTest begins a test of a coach, who is the one who marks from then on.
func (x *Agreement) BeginTest(coach club.ID, seed int64) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Begin(ctx, coach, seed) })
}

// AnswerTest says which faults the coach saw on a stroke of the test that goes on.
func (x *Agreement) AnswerTest(stroke club.ID, faults []club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Answer(ctx, stroke, faults) })
}

// FinishTest ends the test, which shows what is settled.
func (x *Agreement) FinishTest() error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Finish(ctx) })
}

// LeaveTest gives the test up.
func (x *Agreement) LeaveTest() error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Trials.Leave(ctx) })
}

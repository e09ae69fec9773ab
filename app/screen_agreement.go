package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/agreed"
	"strokeledger/internal/desk/secondlook"
	"strokeledger/internal/standard"
)

// Agreement is the screen on which coaches find out whether they mean the same.
type Agreement struct{ s *shell }

// SecondLooks lists the second looks, the latest first.
func (x *Agreement) SecondLooks() ([]secondlook.Row, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]secondlook.Row, error) { return d.SecondLooks.List(ctx) })
}

// Choose says which turns a second look would take.
func (x *Agreement) Choose(q secondlook.Query) (secondlook.Choice, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (secondlook.Choice, error) {
		return d.SecondLooks.Choose(ctx, q)
	})
}

// Begin begins a second look; its coach is the one who marks from then on.
func (x *Agreement) Begin(q secondlook.Query) (standard.BlindLook, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (standard.BlindLook, error) {
		return d.SecondLooks.Begin(ctx, q)
	})
}

// Finish ends a second look, which counts and is compared from then on.
func (x *Agreement) Finish(id club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.SecondLooks.Finish(ctx, id) })
}

// Leave gives a second look up, with what was entered in it.
func (x *Agreement) Leave(id club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error { return d.SecondLooks.Leave(ctx, id) })
}

// Compare says how far two coaches agree.
func (x *Agreement) Compare(q agreed.Query) (agreed.Report, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (agreed.Report, error) { return d.Agreed.Compare(ctx, q) })
}

// CompareAll says how far all coaches agree who have looked through the same turns.
func (x *Agreement) CompareAll(from, to club.Date) (agreed.Several, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (agreed.Several, error) {
		return d.Agreed.CompareAll(ctx, from, to)
	})
}

// Decide settles a stroke of which two coaches said different faults.
func (x *Agreement) Decide(v agreed.Verdict) (standard.Decision, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (standard.Decision, error) { return d.Agreed.Decide(ctx, v) })
}

// Package look says what coaches have looked through, turn by turn, and takes it back.
package look

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Looks are those of a library. They are safe for concurrent use.
type Looks struct {
	lib     *library.Library
	footage *footage.Clips
}

// New are the looks of a library.
func New(lib *library.Library, clips *footage.Clips) *Looks {
	return &Looks{lib: lib, footage: clips}
}

// Through says that the coach who marks has looked through a whole turn for some
// faults, or for all in use where none are given. What this coach has said already
// is not written again. What was only assumed of the coach there gives way to it, fault
// by fault.
func (x *Looks) Through(ctx context.Context, turnID club.ID, faults []club.ID) (club.Look, error) {
	t, err := store.Get[club.Turn](ctx, x.lib.Library, turnID)
	if err != nil {
		return club.Look{}, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return club.Look{}, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return club.Look{}, err
	}
	led, err := x.lib.OfClip(ctx, t.ClipID)
	if err != nil {
		return club.Look{}, err
	}
	look := club.Look{
		ID: x.lib.NewID(), ClipID: t.ClipID, CoachID: coach, First: t.First, Last: t.Last, FirstTicks: t.FirstTicks, LastTicks: t.LastTicks,
		Faults: LookedFor(cat.Faults, faults), Made: x.lib.Now().UTC().Truncate(time.Microsecond),
	}
	if len(look.Faults) == 0 && len(faults) > 0 {
		return look, &club.Problem{Field: "faults", Say: "The faults that were looked for are not in the library any more: pick others."}
	}
	if len(look.Faults) == 0 {
		return look, &club.Problem{Field: "faults", Say: "The team has no fault in use: define one under Club first."}
	}
	edits := []store.Edit{store.Put(look)}
	for _, l := range led.Looks {
		switch {
		case l.CoachID != coach:
		case !l.Assumed && l.First <= t.First && l.Last >= t.Last && l.ForAll(look.Faults):
			return l, nil
		case l.Assumed && l.First >= t.First && l.Last <= t.Last:
			switch l.Faults = slices.DeleteFunc(l.Faults, look.For); len(l.Faults) {
			case 0:
				edits = append(edits, store.Remove[club.Look](l.ID))
			default: // the others, retired ones too, still rest on the old marks
				edits = append(edits, store.Put(l))
			}
		}
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("look through frames %d to %d%s", t.First, t.Last, forFaults(cat.Faults, look)), edits...)
	return look, err
}

// TakeBack takes away what the coach who marks has looked at of a turn, and
// returns how many looks that were. Where such a look reaches out of the turn, since
// turns were parted or moved, what is outside stays looked at.
func (x *Looks) TakeBack(ctx context.Context, turnID club.ID) (int, error) {
	t, err := store.Get[club.Turn](ctx, x.lib.Library, turnID)
	if err != nil {
		return 0, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return 0, err
	}
	led, err := x.lib.OfClip(ctx, t.ClipID)
	if err != nil {
		return 0, err
	}
	var edits []store.Edit
	looks := 0
	for _, l := range led.Looks {
		if l.CoachID != coach || l.First > t.Last || l.Last < t.First {
			continue
		}
		looks++
		rest, err := x.outside(ctx, l, t)
		if err != nil {
			return 0, err
		}
		if len(rest) == 0 {
			edits = append(edits, store.Remove[club.Look](l.ID))
		}
		edits = append(edits, library.PutAll(rest)...)
	}
	if looks == 0 {
		return 0, &club.Problem{Say: "You have not looked through this turn yet: there is nothing to take back."}
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("take back looking through frames %d to %d", t.First, t.Last), edits...)
	return looks, err
}

// outside is what a look shows before and after a turn; the first of it keeps the look's
// ID.
func (x *Looks) outside(ctx context.Context, l club.Look, t club.Turn) (rest []club.Look, err error) {
	if l.First >= t.First && l.Last <= t.Last {
		return nil, nil
	}
	row, err := x.lib.Clip(ctx, l.ClipID)
	if err != nil {
		return nil, err
	}
	if before := l; before.First < t.First {
		before.Last = t.First - 1
		if before.LastTicks, err = x.footage.Ticks(ctx, row, before.Last); err != nil {
			return nil, err
		}
		rest = append(rest, before)
	}
	if after := l; after.Last > t.Last {
		after.First = t.Last + 1
		if after.FirstTicks, err = x.footage.Ticks(ctx, row, after.First); err != nil {
			return nil, err
		}
		if len(rest) > 0 {
			after.ID = x.lib.NewID()
		}
		rest = append(rest, after)
	}
	return rest, nil
}

// LookedFor is the list of faults that a look names: those that were chosen, in the
// order of the catalogue, or all in use.
func LookedFor(faults []club.Fault, chosen []club.ID) (list []club.ID) {
	for _, f := range faults {
		if len(chosen) == 0 && !f.Retired || slices.Contains(chosen, f.ID) {
			list = append(list, f.ID)
		}
	}
	return list
}

// InUse are those of some faults that are not retired.
func InUse(faults []club.Fault, of []club.ID) (list []club.ID) {
	for _, f := range faults {
		if !f.Retired && slices.Contains(of, f.ID) {
			list = append(list, f.ID)
		}
	}
	return list
}

// forFaults says in a label what was looked for, where it was not everything.
func forFaults(faults []club.Fault, l club.Look) string {
	const most = 5 // named
	var codes, left []string
	for _, f := range faults {
		switch {
		case l.For(f.ID):
			codes = append(codes, f.Code)
		case !f.Retired:
			left = append(left, f.Code)
		}
	}
	switch {
	case len(left) == 0:
		return ""
	case len(codes) > most && len(left) <= most:
		return " for every fault but " + strings.Join(left, ", ")
	case len(codes) > most:
		return fmt.Sprintf(" for %d faults", len(codes))
	}
	return " for " + strings.Join(codes, ", ")
}

// Package ready times strokes: when the player is back in the ready position, when the
// partner strikes next, and marks for being late.
package ready

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/entry"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/proposed"
	"strokeledger/internal/proposal"
	"strokeledger/internal/store"
)

// Moments are those of the strokes of a library. They are safe for concurrent use.
type Moments struct {
	lib      *library.Library
	heard    *heard.Reader
	proposed *proposed.Strokes
	marks    *entry.Marks
}

// New is for the strokes of a library.
func New(lib *library.Library, reader *heard.Reader, strokes *proposed.Strokes, marks *entry.Marks) *Moments {
	return &Moments{lib: lib, heard: reader, proposed: strokes, marks: marks}
}

// SetReady says that the player is back in the ready position at a frame, after
// the last stroke before it. Where the partner's next contact is not known, it is
// taken from what was heard. A stroke that is only proposed takes its turn over.
func (x *Moments) SetReady(ctx context.Context, clipID club.ID, frame int) (club.Stroke, error) {
	return x.time(ctx, clipID, frame, proposed.FixReady)
}

// SetAnswer says that the partner strikes at a frame, after the last stroke before
// it: for clips in which it cannot be heard.
func (x *Moments) SetAnswer(ctx context.Context, clipID club.ID, frame int) (club.Stroke, error) {
	return x.time(ctx, clipID, frame, proposed.FixAnswer)
}

// time sets a moment of the last stroke before a frame.
func (x *Moments) time(ctx context.Context, clipID club.ID, frame int, what string) (club.Stroke, error) {
	v, err := x.heard.Clip(ctx, clipID)
	if err != nil {
		return club.Stroke{}, err
	}
	t, err := v.TurnAt(frame)
	if err != nil {
		return club.Stroke{}, err
	}
	logged := v.Strokes(t)
	i := last(logged, frame, func(s club.Stroke) int { return s.Frame })
	hints := v.Turn(t).Strokes
	if p := last(hints, frame, func(q proposal.Stroke) int { return q.Frame }); p >= 0 && (i < 0 || logged[i].Frame < hints[p].Frame) {
		at := hints[p].Frame
		if _, err := x.proposed.TakeOver(ctx, t.ID, proposed.Fix{Do: what, Frame: at, At: frame}); err != nil {
			return club.Stroke{}, err
		}
		return x.strokeAt(ctx, clipID, at)
	}
	if i < 0 {
		return club.Stroke{}, &club.Problem{Field: "frame", Say: "No stroke lies before this frame in its turn: log the stroke first, then go on to this moment."}
	}
	s := logged[i]
	label := fmt.Sprintf("ready again at frame %d", frame)
	if what == proposed.FixAnswer {
		at := v.Index.Seconds(frame)
		s.Answer = &at
		if s.Source != club.ByHand { // listening again is not to take it back
			s.Source, s.Confidence = club.ByHand, 1
			if s.CoachID, err = x.lib.Coach(ctx); err != nil {
				return s, err
			}
		}
		label = fmt.Sprintf("partner strikes at frame %d", frame)
	} else {
		s.Ready = &club.Moment{Frame: frame, Ticks: v.Index.Ticks(frame)}
		if s.Answer == nil {
			s.Answer = v.Answer(t, s)
		}
	}
	if err := s.Check(); err != nil {
		return s, err
	}
	_, err = x.lib.Do(ctx, label, store.Put(s))
	return s, err
}

// last is the place of the last row before a frame, -1 for none.
func last[T any](rows []T, frame int, of func(T) int) int {
	i, _ := slices.BinarySearchFunc(rows, frame, func(r T, frame int) int { return of(r) - frame })
	return i - 1
}

func (x *Moments) strokeAt(ctx context.Context, clipID club.ID, frame int) (club.Stroke, error) {
	led, err := x.lib.OfClip(ctx, clipID)
	if err != nil {
		return club.Stroke{}, err
	}
	i := slices.IndexFunc(led.Strokes, func(s club.Stroke) bool { return s.Frame == frame })
	if i < 0 {
		return club.Stroke{}, library.Gone("stroke")
	}
	return led.Strokes[i], nil
}

// settingLate is the fault that late readiness is marked with, once a coach has
// picked it.
const settingLate = "late_fault"

// LateFault is the fault with which the team marks a late return to the ready
// position: the one picked before, else the starter catalogue's LATE, else the
// only one of the phases ready and recovery that is called late. Its ID is empty
// where a coach must pick.
func (x *Moments) LateFault(ctx context.Context) (club.Fault, error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return club.Fault{}, err
	}
	picked, err := x.lib.Setting(ctx, settingLate)
	if err != nil {
		return club.Fault{}, err
	}
	return lateFault(cat.Faults, club.ID(picked)), nil
}

func lateFault(faults []club.Fault, picked club.ID) club.Fault {
	var called []club.Fault
	for _, f := range faults {
		if f.Retired {
			continue
		}
		if f.ID == picked {
			return f
		}
		if (f.Phase == club.Ready || f.Phase == club.Recovery) && strings.Contains(club.Fold(f.Label+" "+f.Code), club.Fold("late")) {
			called = append(called, f)
		}
	}
	if i := slices.IndexFunc(called, func(f club.Fault) bool { return f.Code == "LATE" }); i >= 0 {
		return called[i]
	}
	if len(called) == 1 {
		return called[0]
	}
	return club.Fault{}
}

// MarkLate takes over the proposal to mark a stroke's late return to ready: a mark
// at the picture of the partner's contact, hung on the stroke. faultID, where it
// is not empty, is remembered as the team's fault for it.
func (x *Moments) MarkLate(ctx context.Context, strokeID, faultID club.ID) (club.Mark, error) {
	s, err := store.Get[club.Stroke](ctx, x.lib.Library, strokeID)
	if err != nil {
		return club.Mark{}, err
	}
	if s.Answer == nil {
		return club.Mark{}, &club.Problem{Say: "The partner's next contact is not known: mark it first."}
	}
	picked := faultID != ""
	if !picked {
		f, err := x.LateFault(ctx)
		if err != nil {
			return club.Mark{}, err
		}
		faultID = f.ID
	}
	_, fault, err := x.marks.ClipAndFault(ctx, s.ClipID, faultID)
	if err != nil {
		return club.Mark{}, err
	}
	v, err := x.heard.Clip(ctx, s.ClipID)
	if err != nil {
		return club.Mark{}, err
	}
	t, err := v.TurnAt(s.Frame)
	if err != nil {
		return club.Mark{}, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return club.Mark{}, err
	}
	frame := min(max(v.Index.FrameAt(*s.Answer), t.First), t.Last)
	m := club.Mark{
		ID: x.lib.NewID(), ClipID: s.ClipID, FaultID: fault.ID, CoachID: coach, StrokeID: s.ID, Frame: frame, Ticks: v.Index.Ticks(frame),
		Source: club.ByMachine, Confidence: proposal.Confidence(v.Contacts, *s.Answer), Made: x.lib.Now().UTC().Truncate(time.Microsecond),
	}
	if _, err = x.lib.Do(ctx, fmt.Sprintf("mark %s at frame %d", fault.Code, frame), store.Put(m)); err == nil && picked {
		err = x.lib.SetSetting(ctx, settingLate, string(faultID))
	}
	return m, err
}

package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/proposal"
	"strokeledger/internal/store"
)

// SetReady says that the player is back in the ready position at a frame, after
// the last stroke before it. Where the partner's next contact is not known, it is
// taken from what was heard. A stroke that is only proposed takes its turn over.
func (d *Desk) SetReady(ctx context.Context, clipID club.ID, frame int) (club.Stroke, error) {
	return d.time(ctx, clipID, frame, FixReady)
}

// SetAnswer says that the partner strikes at a frame, after the last stroke before
// it: for clips in which it cannot be heard.
func (d *Desk) SetAnswer(ctx context.Context, clipID club.ID, frame int) (club.Stroke, error) {
	return d.time(ctx, clipID, frame, FixAnswer)
}

// time sets a moment of the last stroke before a frame.
func (d *Desk) time(ctx context.Context, clipID club.ID, frame int, what string) (club.Stroke, error) {
	v, err := d.hearing(ctx, clipID)
	if err != nil {
		return club.Stroke{}, err
	}
	t, err := v.turnAt(frame)
	if err != nil {
		return club.Stroke{}, err
	}
	logged := v.strokes(t)
	i := last(logged, frame, func(s club.Stroke) int { return s.Frame })
	proposed := v.turn(t).Strokes
	if p := last(proposed, frame, func(q proposal.Stroke) int { return q.Frame }); p >= 0 && (i < 0 || logged[i].Frame < proposed[p].Frame) {
		at := proposed[p].Frame
		if _, err := d.TakeOver(ctx, t.ID, Fix{Do: what, Frame: at, At: frame}); err != nil {
			return club.Stroke{}, err
		}
		return d.strokeAt(ctx, clipID, at)
	}
	if i < 0 {
		return club.Stroke{}, &club.Problem{Field: "frame", Say: "No stroke lies before this frame in its turn: log the stroke first, then go on to this moment."}
	}
	s := logged[i]
	label := fmt.Sprintf("ready again at frame %d", frame)
	if what == FixAnswer {
		at := v.index.Seconds(frame)
		s.Answer = &at
		if s.Source == club.ByMachine { // listening again is not to take it back
			s.Source, s.Confidence = club.ByHand, 1
			if s.CoachID, err = d.Library.Coach(ctx); err != nil {
				return s, err
			}
		}
		label = fmt.Sprintf("partner strikes at frame %d", frame)
	} else {
		s.Ready = &club.Moment{Frame: frame, Ticks: v.index.Ticks(frame)}
		if s.Answer == nil {
			s.Answer = v.answer(t, s)
		}
	}
	if err := s.Check(); err != nil {
		return s, err
	}
	_, err = d.Library.Do(ctx, label, store.Put(s))
	return s, err
}

// last is the place of the last row before a frame, -1 for none.
func last[T any](rows []T, frame int, of func(T) int) int {
	i, _ := slices.BinarySearchFunc(rows, frame, func(r T, frame int) int { return of(r) - frame })
	return i - 1
}

func (d *Desk) strokeAt(ctx context.Context, clipID club.ID, frame int) (club.Stroke, error) {
	led, err := d.Library.OfClip(ctx, clipID)
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
func (d *Desk) LateFault(ctx context.Context) (club.Fault, error) {
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return club.Fault{}, err
	}
	picked, err := d.Library.Setting(ctx, settingLate)
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
func (d *Desk) MarkLate(ctx context.Context, strokeID, faultID club.ID) (club.Mark, error) {
	s, err := store.Get[club.Stroke](ctx, d.Library.Library, strokeID)
	if err != nil {
		return club.Mark{}, err
	}
	if s.Answer == nil {
		return club.Mark{}, &club.Problem{Say: "The partner's next contact is not known: mark it first."}
	}
	picked := faultID != ""
	if !picked {
		f, err := d.LateFault(ctx)
		if err != nil {
			return club.Mark{}, err
		}
		faultID = f.ID
	}
	_, fault, err := d.clipAndFault(ctx, s.ClipID, faultID)
	if err != nil {
		return club.Mark{}, err
	}
	v, err := d.hearing(ctx, s.ClipID)
	if err != nil {
		return club.Mark{}, err
	}
	t, err := v.turnAt(s.Frame)
	if err != nil {
		return club.Mark{}, err
	}
	coach, err := d.Library.Coach(ctx)
	if err != nil {
		return club.Mark{}, err
	}
	frame := min(max(v.index.FrameAt(*s.Answer), t.First), t.Last)
	m := club.Mark{
		ID: d.Library.NewID(), ClipID: s.ClipID, FaultID: fault.ID, CoachID: coach, StrokeID: s.ID, Frame: frame, Ticks: v.index.Ticks(frame),
		Source: club.ByMachine, Confidence: proposal.Confidence(v.contacts, *s.Answer), Made: d.Library.Now().UTC().Truncate(time.Microsecond),
	}
	if _, err = d.Library.Do(ctx, fmt.Sprintf("mark %s at frame %d", fault.Code, frame), store.Put(m)); err == nil && picked {
		err = d.Library.SetSetting(ctx, settingLate, string(faultID))
	}
	return m, err
}

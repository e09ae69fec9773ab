// Package proposed is what a coach does with the strokes that the sound proposes: they
// are taken over, corrected or refused, turn by turn.
package proposed

import (
	"context"
	"fmt"
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/proposal"
	"strokeledger/internal/store"
)

// Strokes are those that the sound proposes for turns. They are safe for concurrent
// use.
type Strokes struct {
	lib   *library.Library
	heard *heard.Reader
}

// New is for the turns of a library.
func New(lib *library.Library, reader *heard.Reader) *Strokes {
	return &Strokes{lib: lib, heard: reader}
}

// Fix is what a coach says of one proposed stroke, or of a stroke that was not
// heard. The turn is taken over with it, in the same step of undo.
type Fix struct {
	Do      string       `json:"do"`      // FixNothing and its like
	Frame   int          `json:"frame"`   // of the proposal, or where a stroke is added
	Side    club.Side    `json:"side"`    // for FixSide
	Outcome club.Outcome `json:"outcome"` // for FixOutcome and FixAdd
	At      int          `json:"at"`      // frame of the ready moment or of the partner's contact
}

// What a Fix can do.
const (
	FixNothing = ""
	FixSide    = "side"
	FixOutcome = "outcome"
	FixRemove  = "remove"
	FixAdd     = "add"
	FixReady   = "ready"
	FixAnswer  = "answer"
	FixUnsided = "unsided" // all are taken over, without the sides that only the joints say
)

// TakeOver makes the proposed strokes of a turn the ledger's own, in the name of
// the coach who marks, with a correction of one of them, all in one step. No more
// is proposed in the turn afterwards.
func (x *Strokes) TakeOver(ctx context.Context, turnID club.ID, fix Fix) (club.Turn, error) {
	v, t, err := x.heard.Turn(ctx, turnID)
	if err != nil {
		return t, err
	}
	heard := v.Turn(t)
	switch {
	case t.Settled:
		return t, &club.Problem{Say: "This turn is settled already: listen to it again to see what was heard."}
	case !heard.Known:
		return t, &club.Problem{Say: "The sound of this turn is not heard to its end yet: wait, or let the listening go on."}
	case len(heard.Strokes) == 0 && (fix.Do == FixNothing || fix.Do == FixUnsided):
		return t, &club.Problem{Say: "No more strokes are heard in this turn: log what is missing by hand, or turn up the sensitivity."}
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return t, err
	}
	if fix.Do == FixUnsided {
		for i := range heard.Strokes {
			if q := &heard.Strokes[i]; q.SideChance > 0 {
				q.Side, q.SideChance = "", 0
			}
		}
		fix.Do = FixNothing
	}
	strokes := takenOver(v, x.lib.NewID, t.ClipID, coach, heard.Strokes)
	if strokes, err = corrected(v, strokes, fix, club.Stroke{ID: x.lib.NewID(), ClipID: t.ClipID, CoachID: coach}); err != nil {
		return t, err
	}
	t.Settled = true
	edits := []store.Edit{store.Put(t)}
	for _, s := range strokes {
		if err := s.Check(); err != nil {
			return t, err
		}
		edits = append(edits, store.Put(s))
	}
	told := "heard"
	if heard.Seen {
		told = "heard and seen"
	}
	label := fmt.Sprintf("take over %s %s in frames %d to %d", counted(len(heard.Strokes), "stroke"), told, t.First, t.Last)
	if fix.Do != FixNothing {
		label += fmt.Sprintf(", with a correction at frame %d", fix.Frame)
	}
	_, err = x.lib.Do(ctx, label, edits...)
	return t, err
}

func counted(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// takenOver makes strokes of proposals. Their side is left to the drill's pattern, as it is
// with strokes that are logged by hand, unless only the joints say it.
func takenOver(v *heard.Clip, newID func() club.ID, clipID, coach club.ID, proposed []proposal.Stroke) []club.Stroke {
	out := make([]club.Stroke, len(proposed))
	for i, q := range proposed {
		out[i] = club.Stroke{
			ID: newID(), ClipID: clipID, Frame: q.Frame, Ticks: v.Index.Ticks(q.Frame), Outcome: q.Outcome,
			Source: club.ByMachine, Confidence: q.Confidence, CoachID: coach, Answer: q.Answer,
		}
		if q.Seen {
			out[i].Source = club.BySight
		}
		if q.SideChance > 0 {
			out[i].Side = q.Side
		}
	}
	return out
}

// corrected are strokes with a correction of one of the strokes that are taken over; what a coach has corrected
// is the coach's own. fresh is the row for one that is added.
func corrected(v *heard.Clip, strokes []club.Stroke, f Fix, fresh club.Stroke) ([]club.Stroke, error) {
	if f.Do == FixNothing {
		return strokes, nil
	}
	if f.Do == FixAdd {
		return added(v, strokes, f, fresh)
	}
	i := slices.IndexFunc(strokes, func(s club.Stroke) bool { return s.Frame == f.Frame })
	if i < 0 {
		return nil, &club.Problem{Field: "frame", Say: fmt.Sprintf("No stroke is proposed at frame %d any more: look at the turn again.", f.Frame)}
	}
	s := &strokes[i]
	switch f.Do {
	case FixRemove:
		return slices.Delete(strokes, i, i+1), nil
	case FixSide:
		s.Side = f.Side
		s.Source, s.Confidence = club.ByHand, 1
	case FixOutcome:
		s.Outcome = f.Outcome
		s.Source, s.Confidence = club.ByHand, 1
	case FixReady, FixAnswer:
		if f.At < 0 || f.At >= v.Index.Len() {
			return nil, &club.Problem{Field: "frame", Say: footage.NoSuchFrame(f.At, v.Index.Len())}
		}
		if f.Do == FixReady {
			s.Ready = &club.Moment{Frame: f.At, Ticks: v.Index.Ticks(f.At)}
		} else {
			at := v.Index.Seconds(f.At)
			s.Answer = &at
			s.Source, s.Confidence = club.ByHand, 1
		}
	default:
		return nil, &club.Problem{Field: "do", Say: fmt.Sprintf("%q is not a correction: choose side, outcome, remove, add, ready, answer or unsided.", f.Do)}
	}
	return strokes, nil
}

// added puts a stroke of the coach's own in the place of what was heard at the same
// moment.
func added(v *heard.Clip, strokes []club.Stroke, f Fix, fresh club.Stroke) ([]club.Stroke, error) {
	if f.Frame < 0 || f.Frame >= v.Index.Len() {
		return nil, &club.Problem{Field: "frame", Say: footage.NoSuchFrame(f.Frame, v.Index.Len())}
	}
	if slices.ContainsFunc(v.Ledger.Strokes, func(s club.Stroke) bool { return s.Frame == f.Frame }) {
		return nil, &club.Problem{Field: "frame", Say: fmt.Sprintf("Frame %d has a stroke already: step to the next contact.", f.Frame)}
	}
	at := v.Index.Seconds(f.Frame)
	strokes = slices.DeleteFunc(strokes, func(s club.Stroke) bool {
		return s.Frame == f.Frame || math.Abs(v.Seconds(s.Ticks)-at) < proposal.SameStroke
	})
	fresh.Frame, fresh.Ticks, fresh.Outcome = f.Frame, v.Index.Ticks(f.Frame), f.Outcome
	fresh.Source, fresh.Confidence = club.ByHand, 1
	return append(strokes, fresh), nil
}

// Refuse settles a turn with none of what is proposed in it.
func (x *Strokes) Refuse(ctx context.Context, turnID club.ID) (club.Turn, error) {
	t, err := store.Get[club.Turn](ctx, x.lib.Library, turnID)
	if err != nil || t.Settled {
		return t, err
	}
	t.Settled = true
	_, err = x.lib.Do(ctx, fmt.Sprintf("refuse the strokes heard in frames %d to %d", t.First, t.Last), store.Put(t))
	return t, err
}

// ListenAgain lets the sound propose strokes in a settled turn again. Those that
// were taken over from it and that nobody has touched since go back to being
// proposals; what a coach has logged, corrected or timed stays.
func (x *Strokes) ListenAgain(ctx context.Context, turnID club.ID) (club.Turn, error) {
	v, t, err := x.heard.Turn(ctx, turnID)
	if err != nil {
		return t, err
	}
	t.Settled = false
	label := fmt.Sprintf("listen again to frames %d to %d", t.First, t.Last)
	_, err = x.lib.Do(ctx, label, append(untouched(v, t), store.Put(t))...)
	return t, err
}

// untouched takes out of a turn what a machine put there and nobody has timed.
func untouched(v *heard.Clip, t club.Turn) (edits []store.Edit) {
	for _, s := range v.Strokes(t) {
		if s.Source != club.ByHand && s.Ready == nil {
			edits = append(edits, store.Remove[club.Stroke](s.ID))
		}
	}
	return edits
}

// SetAnchor says that the player of the turn that covers a frame strikes there,
// which tells in the sound who is who, and which sound is a racket's. What was
// heard there as a bounce turns the kinds of the clip round, and takes back what
// coaches had said against it. What was taken over before is proposed anew where it
// turns out to be another contact.
func (x *Strokes) SetAnchor(ctx context.Context, clipID club.ID, frame int) (club.Turn, error) {
	v, err := x.heard.Clip(ctx, clipID)
	if err != nil {
		return club.Turn{}, err
	}
	t, err := v.TurnAt(frame)
	if err != nil {
		return t, err
	}
	at := v.Index.Seconds(frame)
	before, _ := v.Player(t)
	said := contact.Anchor(v.Contacts, []float64{at}, proposal.SameContact)
	turned := slices.ContainsFunc(said, func(c contact.Contact) bool {
		i := slices.IndexFunc(v.Contacts, func(o contact.Contact) bool { return o.Seconds == c.Seconds })
		return c.Kind != v.Contacts[i].Kind
	})
	who := proposal.Striker(said, at)
	if who == contact.Unknown {
		return t, &club.Problem{Field: "frame", Say: "No racket is heard at this frame: step to the picture in which this player's racket meets the ball, and let the listening finish."}
	}
	ticks := v.Index.Ticks(frame)
	t.Anchor = &ticks
	again := t.Settled && (turned || who != before)
	t.Settled = t.Settled && !again
	edits := []store.Edit{store.Put(t)}
	if again {
		edits = append(edits, untouched(v, t)...)
	}
	for _, o := range v.Ledger.Turns {
		if turned && o.ID != t.ID && o.Anchor != nil {
			o.Anchor = nil
			edits = append(edits, store.Put(o))
		}
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("this player strikes at frame %d", frame), edits...)
	return t, err
}

// SetLeast keeps a turn's sensitivity: the least confidence of what is proposed, 0
// for the usual one.
func (x *Strokes) SetLeast(ctx context.Context, turnID club.ID, least float64) (club.Turn, error) {
	t, err := store.Get[club.Turn](ctx, x.lib.Library, turnID)
	if err != nil || t.HeardFrom == least {
		return t, err
	}
	t.HeardFrom = least
	if err := t.Check(); err != nil {
		return t, err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("sensitivity of frames %d to %d", t.First, t.Last), store.Put(t))
	return t, err
}

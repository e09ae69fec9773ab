// Package pass is what a pass over the strokes of turns needs: each turn stroke by
// stroke, marks on strokes, and how a coach wants a pass to go.
package pass

import (
	"context"
	"fmt"
	"slices"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/entry"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/desk/look"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/desk/ready"
	"strokeledger/internal/store"
)

// Passes are what a pass needs of a library. They are safe for concurrent use.
type Passes struct {
	lib       *library.Library
	listening *listening.Listener
	heard     *heard.Reader
	marks     *entry.Marks
	ready     *ready.Moments
	measured  *measured.Meter
}

// New is for passes over the turns of a library.
func New(lib *library.Library, listener *listening.Listener, reader *heard.Reader, marks *entry.Marks, moments *ready.Moments, meter *measured.Meter) *Passes {
	return &Passes{lib: lib, listening: listener, heard: reader, marks: marks, ready: moments, measured: meter}
}

// Turn is one turn as a pass shows it: stroke after stroke.
type Turn struct {
	TurnID   club.ID   `json:"turn_id"`
	ClipID   club.ID   `json:"clip_id"`
	PlayerID club.ID   `json:"player_id"`
	DrillID  club.ID   `json:"drill_id"`
	Date     club.Date `json:"date"`
	First    int       `json:"first"`   // frame
	Last     int       `json:"last"`    // frame
	Strokes  []Stroke  `json:"strokes"` // logged ones, in order of frame; a turn without any is shown as a whole
	// Heard is how many strokes the sound proposes that nobody has taken over or
	// refused; Waiting says that the sound is still listened to and not heard to the
	// turn's end yet.
	Heard   int  `json:"heard"`
	Seen    bool `json:"seen"` // they are heard and seen; else only heard
	Waiting bool `json:"waiting"`
	// Looked says that the coach who marks has looked through all of it for these
	// faults before.
	Looked bool `json:"looked"`
	// Reaction is how long this coach takes to press a key, seconds.
	Reaction float64 `json:"reaction"`
}

// Stroke is one stroke with the stretch of the clip that shows it.
type Stroke struct {
	ID      club.ID      `json:"id"`
	Frame   int          `json:"frame"`
	From    int          `json:"from"` // first frame shown
	To      int          `json:"to"`   // last frame shown
	Side    club.Side    `json:"side"` // set by a coach, or as the drill's pattern says
	Set     club.Side    `json:"set"`  // as a coach has set it; empty: nobody has
	Outcome club.Outcome `json:"outcome"`
	// Earliest and Latest are between which frames a fault of a phase can be seen
	// on this stroke, in the order of club.Phases.
	Earliest    []int        `json:"earliest"`
	Latest      []int        `json:"latest"`
	Suggestions []Suggestion `json:"suggestions"`
}

// Suggestion is a fault that the program proposes for a stroke; it counts only when
// a coach takes it over.
type Suggestion struct {
	FaultID club.ID `json:"fault_id"`
	Say     string  `json:"say"` // why, in a few words
}

// Turn prepares a turn for a pass by the coach who marks; focus lists the faults
// that are looked for, empty: all in use.
func (x *Passes) Turn(ctx context.Context, turnID club.ID, focus []club.ID) (p Turn, err error) {
	v, t, err := x.heard.Turn(ctx, turnID)
	if err != nil {
		return p, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return p, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return p, err
	}
	session, err := store.Get[club.Session](ctx, x.lib.Library, v.Row.SessionID)
	if err != nil {
		return p, err
	}
	late, err := x.ready.LateFault(ctx)
	if err != nil {
		return p, err
	}
	settings, err := x.Settings(ctx)
	if err != nil {
		return p, err
	}
	list := look.LookedFor(cat.Faults, focus)
	measures, err := x.measures(ctx, v, cat.Faults, list)
	if err != nil {
		return p, err
	}
	p = Turn{TurnID: t.ID, ClipID: t.ClipID, PlayerID: t.PlayerID, DrillID: t.DrillID, Date: session.Date, First: t.First, Last: t.Last,
		Strokes: []Stroke{}, Reaction: reactionOf(cat.Coaches, coach)}
	heard := v.Turn(t)
	progress, err := x.listening.Progress(ctx, t.ClipID)
	if err != nil {
		return p, err
	}
	p.Heard, p.Seen = len(heard.Strokes), heard.Seen
	p.Waiting = !heard.Known && !t.Settled && (progress.State == listening.NotStarted || progress.State == listening.Listening)
	r := v.Answered(t)
	p.Looked = len(list) > 0 && slices.ContainsFunc(r.Looks, func(l club.Look) bool {
		return l.CoachID == coach && !l.Assumed && l.First <= t.First && l.Last >= t.Last && l.ForAll(list)
	})
	var phases []club.Phase
	for _, f := range cat.Faults {
		if slices.Contains(list, f.ID) && !slices.Contains(phases, f.Phase) {
			phases = append(phases, f.Phase)
		}
	}
	sides := r.Sides(v.Drills[t.DrillID].Pattern)
	for i, s := range r.Strokes {
		w := aim.WindowOf(&r, i, phases, settings.Before, settings.After)
		shown := Stroke{ID: s.ID, Frame: s.Frame, From: v.FrameAt(w.From), To: v.FrameAt(w.To), Side: sides[i], Set: s.Side, Outcome: s.Outcome, Suggestions: []Suggestion{}}
		for _, phase := range club.Phases() {
			from, to := aim.Seen(&r, i, phase)
			shown.Earliest, shown.Latest = append(shown.Earliest, v.FrameAt(from)), append(shown.Latest, v.FrameAt(to))
		}
		margin, known := v.Margin(s)
		if known && margin < 0 && slices.Contains(list, late.ID) {
			shown.Suggestions = append(shown.Suggestions, Suggestion{late.ID, fmt.Sprintf("%.2f s late", -margin)})
		}
		for _, o := range suggested(measures, v, s, late) {
			if slices.Contains(list, o.FaultID) {
				shown.Suggestions = append(shown.Suggestions, Suggestion{o.FaultID, o.Say})
			}
		}
		p.Strokes = append(p.Strokes, shown)
	}
	return p, nil
}

// measures are those of a clip, none where no fault of a list has a limit.
func (x *Passes) measures(ctx context.Context, v *heard.Clip, faults []club.Fault, list []club.ID) ([]measured.Stroke, error) {
	if !slices.ContainsFunc(faults, func(f club.Fault) bool { return f.Limit != 0 && slices.Contains(list, f.ID) }) {
		return nil, nil
	}
	return x.measured.Of(ctx, v)
}

// suggested is what the measures of a stroke suggest. What a coach has said of its way
// back to ready stands over what is measured.
func suggested(measures []measured.Stroke, v *heard.Clip, s club.Stroke, late club.Fault) (out []measured.Suggestion) {
	_, known := v.Margin(s)
	for _, m := range measures {
		for _, o := range m.Suggestions {
			if m.StrokeID == s.ID && !(known && o.FaultID == late.ID) {
				out = append(out, o)
			}
		}
	}
	return out
}

// reactionOf is how long a coach takes to press a key, seconds.
func reactionOf(coaches []club.Coach, id club.ID) float64 {
	for _, c := range coaches {
		if c.ID == id {
			return c.ReactionSeconds()
		}
	}
	return club.UsualReaction
}

// MarkStroke marks a fault on a stroke, where it is plain to see on it, or at a
// frame of the turn where one is given (not below 0). A fault that a measure suggests
// is one that was seen, taken over by the coach, with the suggestion's chance.
func (x *Passes) MarkStroke(ctx context.Context, strokeID, faultID club.ID, frame int) (club.Mark, error) {
	s, err := store.Get[club.Stroke](ctx, x.lib.Library, strokeID)
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
	_, fault, err := x.marks.ClipAndFault(ctx, s.ClipID, faultID)
	if err != nil {
		return club.Mark{}, err
	}
	r := v.Answered(t)
	i := slices.IndexFunc(r.Strokes, func(o club.Stroke) bool { return o.ID == s.ID })
	side := r.Sides(v.Drills[t.DrillID].Pattern)[i]
	if !fault.Sides.Could(side) {
		return club.Mark{}, &club.Problem{Field: "fault", Say: fmt.Sprintf("%s cannot happen on a %s: turn the side of the stroke round first, or pick another fault.", fault.Code, side)}
	}
	if frame < 0 {
		frame = min(max(v.FrameAt(aim.Shows(&r, i, fault.Phase)), t.First), t.Last)
	} else if !t.Covers(frame) {
		return club.Mark{}, &club.Problem{Field: "frame", Say: "This frame is outside the turn of the stroke: go back into the turn first."}
	}
	m, err := x.marks.New(ctx, s.ClipID, fault.ID, frame, v.Index.Ticks(frame))
	if err != nil {
		return m, err
	}
	m.StrokeID = s.ID
	late, err := x.ready.LateFault(ctx)
	if err != nil {
		return m, err
	}
	measures, err := x.measures(ctx, v, []club.Fault{fault}, []club.ID{fault.ID})
	if err != nil {
		return m, err
	}
	for _, o := range suggested(measures, v, r.Strokes[i], late) {
		if o.FaultID == fault.ID { // the coach was shown it before
			m.Source, m.Confidence = club.BySight, o.Chance
		}
	}
	return m, x.marks.Put(ctx, m, fmt.Sprintf("mark %s on the stroke at frame %d", fault.Code, s.Frame))
}

// Played is a mark that was made while the clip played.
type Played struct {
	Mark  club.Mark `json:"mark"`
	Other club.ID   `json:"other"` // the stroke before that may have been meant as well; empty: none
}

// MarkPlayed marks a fault whose key was pressed at a frame while the clip played at
// a rate: on the last stroke on which it could have been seen by then (see
// aim.At), and at about the moment at which the coach saw it. still is for how many
// seconds the picture had stood there, as it does where something is drawn on it.
func (x *Passes) MarkPlayed(ctx context.Context, clipID club.ID, frame int, faultID club.ID, rate, still float64) (p Played, err error) {
	clipID, frame, of, err := x.marks.Kept(ctx, clipID, frame)
	if err != nil {
		return p, err
	}
	v, err := x.heard.Clip(ctx, clipID)
	if err != nil {
		return p, err
	}
	_, fault, err := x.marks.ClipAndFault(ctx, clipID, faultID)
	if err != nil {
		return p, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return p, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return p, err
	}
	if frame < 0 || frame >= v.Index.Len() {
		return p, &club.Problem{Field: "frame", Say: footage.NoSuchFrame(frame, v.Index.Len())}
	}
	if !(rate >= 0 && rate <= 2) {
		return p, &club.Problem{Field: "rate", Say: "A clip plays at 0 to 2 times its own speed."}
	}
	if !(still >= 0) {
		return p, &club.Problem{Field: "still", Say: "A picture stands for 0 seconds or more."}
	}
	reaction := max(0, reactionOf(cat.Coaches, coach)-still) * rate
	pressed := v.Index.Ticks(frame)
	at := max(v.Index.Ticks(0), pressed-v.Row.Base.Ticks(reaction))
	if t, err := v.TurnAt(frame); err == nil {
		r := v.Answered(t)
		meant := aim.At(&r, pressed, reaction, fault, r.Sides(v.Drills[t.DrillID].Pattern))
		at = meant.Ticks
		if meant.Other >= 0 {
			p.Other = r.Strokes[meant.Other].ID
		}
	}
	seen := v.FrameAt(at)
	if p.Mark, err = x.marks.New(ctx, clipID, faultID, seen, v.Index.Ticks(seen)); err != nil {
		return p, err
	}
	p.Mark.SeenID = of
	return p, x.marks.Put(ctx, p.Mark, fmt.Sprintf("mark %s at frame %d", fault.Code, seen))
}

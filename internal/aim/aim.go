// Package aim has the rules of what a mark means: on which stroke it hangs, what a key
// meant that was pressed while the clip played, where a fault shows, and which stretch
// shows a stroke. It is pure, and safe for use by several goroutines.
package aim

import (
	"sort"

	"strokeledger/internal/club"
)

// Which stroke a fault belongs to, and where on it the fault is plain to see, goes
// by the fault's phase. Times in seconds from the racket's contact: common practice,
// no source, for strokes of 0.8 s and more from one to the next.
const (
	// wrongSide is how far a mark may lie on the wrong side of its stroke's contact:
	// contacts are logged at a picture beside the moment, and the next stroke's
	// preparation, or this one's follow-through, is not seen so soon.
	wrongSide = 0.1
	// coming is how long before a contact the first key for a fault in preparing it is
	// expected, where strokes follow one another so closely that an earlier one may
	// still mean the stroke before.
	coming = 0.2
	// recovering is how long after a contact a fault in the way back can first be
	// seen: until then the arm still follows through.
	recovering = 0.25
	// plainlyReady is how long before a contact it is plain whether the player was ready for
	// it, and early how long before the partner's contact, which may be heard wrongly.
	plainlyReady, early = 0.1, 0.15
	// slowest is how late a key may come after the moment that it is for, in usual
	// reactions.
	slowest = 1.5
	// latest is the delay, in usual reactions, beyond which no key is meant for the
	// moment.
	latest = 2.5
)

// plainAt is when a fault of the phase is plain to see, in seconds from the contact.
func plainAt(p club.Phase) float64 {
	switch p {
	case club.Ready:
		return -0.4
	case club.Footwork:
		return -0.25
	case club.Backswing:
		return -0.18
	case club.FollowThrough:
		return 0.14
	case club.Recovery:
		return 0.45
	}
	return 0
}

// HangOn returns the index of the stroke that a mark hangs on, among those on which
// the fault could have happened: the one that a coach has hung it on; else, by the
// fault's phase, the last before the mark, the next after it, or the nearest (the
// earlier of two equally near). A mark up to wrongSide off counts as on its own
// stroke's side. Where there is none on that side it is the nearest on the other; -1
// where there is none at all. sides is what club.TurnRecord.Sides returned.
func HangOn(r *club.TurnRecord, m club.Mark, f club.Fault, sides []club.Side) int {
	if m.StrokeID != "" {
		for i, s := range r.Strokes {
			if s.ID == m.StrokeID && f.Sides.Could(sides[i]) {
				return i
			}
		}
	}
	from := sort.Search(len(r.Strokes), func(i int) bool { return r.Strokes[i].Ticks >= m.Ticks })
	return Neighbour(r, m.Ticks, from, f, sides)
}

// Hung is the stroke on which each mark of the turn hangs, -1 for none: see HangOn.
func Hung(r *club.TurnRecord, faults map[club.ID]club.Fault, pattern club.Pattern) []int {
	sides := r.Sides(pattern)
	on := make([]int, len(r.Marks))
	for i, m := range r.Marks {
		on[i] = HangOn(r, m, faults[m.FaultID], sides)
	}
	return on
}

// Neighbour is HangOn for a moment in ticks, where from is the first stroke at or
// after it.
func Neighbour(r *club.TurnRecord, ticks int64, from int, f club.Fault, sides []club.Side) int {
	before, after := from-1, from
	for before >= 0 && !f.Sides.Could(sides[before]) {
		before--
	}
	for after < len(r.Strokes) && !f.Sides.Could(sides[after]) {
		after++
	}
	switch {
	case after == len(r.Strokes):
		return before
	case before < 0:
		return after
	}
	past, ahead := ticks-r.Strokes[before].Ticks, r.Strokes[after].Ticks-ticks
	near := func(distance, other int64) bool {
		return distance <= other && distance <= r.Base.Ticks(wrongSide)
	}
	switch {
	case f.Phase.Before() && !near(ahead, past), f.Phase.Coming() && near(past, ahead):
		return before
	case f.Phase.Before(), f.Phase.Coming():
		return after
	case ahead < past:
		return after
	}
	return before
}

// Aim says what a key meant that was pressed while the clip played.
type Aim struct {
	Stroke int   // index of the stroke, -1 for none
	Other  int   // the stroke before it that may have been meant too, -1 for none
	Ticks  int64 // when the fault was seen, as far as can be told
}

// At finds the stroke that a coach meant who pressed a fault's key at a moment
// while the clip played, with a usual reaction in seconds of clip time: the last
// stroke on which the fault could have been seen by then. A fault in preparing a
// stroke can be seen from the partner's contact before it (half way from the stroke
// before where that is not known), but not before a slow finger has done with the
// stroke before. Where the key came sooner than the usual reaction after that, and the
// stroke before is not longer ago than anybody takes, that may have been meant as well.
func At(r *club.TurnRecord, ticks int64, reaction float64, f club.Fault, sides []club.Side) Aim {
	a := Aim{Stroke: -1, Other: -1, Ticks: max(r.FirstTicks, ticks-r.Base.Ticks(reaction))}
	opened := int64(0)
	for i := range r.Strokes {
		if !f.Sides.Could(sides[i]) {
			continue
		}
		opens := opens(r, i, a.Stroke, reaction, f.Phase)
		if a.Stroke >= 0 && opens > ticks {
			break
		}
		a.Other, a.Stroke, opened = a.Stroke, i, opens
	}
	if a.Stroke < 0 {
		return a
	}
	if ticks-opened >= r.Base.Ticks(reaction) || a.Other >= 0 && ticks > over(r, a.Other, f.Phase)+r.Base.Ticks(latest*reaction) {
		a.Other = -1
	}
	from, to := reach(r, a.Stroke, f.Phase)
	a.Ticks = min(max(a.Ticks, from, r.FirstTicks), to, r.LastTicks)
	return a
}

// opens is from when on a fault of the phase can be seen on stroke i, where last is
// the one before that could have it, or -1.
func opens(r *club.TurnRecord, i, last int, reaction float64, p club.Phase) int64 {
	at, base := r.Strokes[i].Ticks, r.Base
	switch {
	case p == club.Recovery:
		return at + base.Ticks(recovering)
	case p == club.FollowThrough:
		return at
	case !p.Coming():
		return at - base.Ticks(wrongSide/2)
	case last < 0:
		return r.FirstTicks
	}
	before := r.Strokes[last].Ticks
	partner := (before + at) / 2
	if a := r.Strokes[i-1].Answer; a != nil {
		partner = r.Zero + base.Ticks(*a)
	}
	done := before + base.Ticks(slowest*reaction)
	if p == club.Ready {
		partner, done = partner-base.Ticks(early), done-base.Ticks(plainlyReady)
	}
	return min(at-base.Ticks(coming), max(partner, done))
}

// over is when a fault of the phase can be seen no more on stroke i.
func over(r *club.TurnRecord, i int, p club.Phase) int64 {
	_, to := Seen(r, i, p)
	if a := r.Strokes[i].Answer; a != nil && p == club.Recovery {
		to = min(to, r.Zero+r.Base.Ticks(*a+wrongSide))
	}
	return to
}

// reach is between which moments a fault of the phase on stroke i may be marked so
// that the mark hangs on it by itself.
func reach(r *club.TurnRecord, i int, p club.Phase) (from, to int64) {
	at := r.Strokes[i].Ticks
	switch {
	case p.Coming():
		from = r.FirstTicks
		if i > 0 {
			from = (r.Strokes[i-1].Ticks + at) / 2
		}
		return from, at
	case p.Before():
		to = r.LastTicks
		if i+1 < len(r.Strokes) {
			to = (at + r.Strokes[i+1].Ticks) / 2
		}
		return at, to
	}
	return at, at
}

// Shows is when, in ticks, a fault of the phase is plain to see on stroke i of the
// turn: being ready at the partner's contact before it where that is known, the way
// back at the partner's contact after it, else at a usual time from the contact that
// the strokes round it leave room for. It lies in the turn.
func Shows(r *club.TurnRecord, i int, p club.Phase) int64 {
	s, base := r.Strokes[i], r.Base
	from, to := reach(r, i, p)
	at := s.Ticks + base.Ticks(plainAt(p))
	switch {
	case p == club.Ready && i > 0 && r.Strokes[i-1].Answer != nil:
		at = r.Zero + base.Ticks(*r.Strokes[i-1].Answer)
	case p == club.Recovery && s.Answer != nil:
		at = r.Zero + base.Ticks(*s.Answer)
	}
	return min(max(at, from, r.FirstTicks), to, r.LastTicks)
}

// Seen is between which moments, in ticks, a fault of the phase can be seen on stroke
// i; it may reach out of the turn.
func Seen(r *club.TurnRecord, i int, p club.Phase) (from, to int64) {
	s, base := r.Strokes[i], r.Base
	seconds := map[club.Phase][2]float64{
		club.Ready: {-1, 0}, club.Footwork: {-1, 0}, club.Backswing: {-0.35, 0}, club.FollowThrough: {0, recovering}, club.Recovery: {0.2, 1},
	}[p]
	if p == club.ContactPhase {
		seconds = [2]float64{-wrongSide / 2, wrongSide / 2}
	}
	return s.Ticks + base.Ticks(seconds[0]), s.Ticks + base.Ticks(seconds[1])
}

// Window is the stretch in which a stroke is shown while a coach looks at it.
type Window struct{ From, To int64 } // ticks

// Usual times that a stroke is shown before and after its contact, and the most,
// seconds (common practice, no source).
const (
	UsualBefore = 0.4
	UsualAfter  = 0.6
	MostShown   = 3.0
)

// WindowOf is the stretch of the clip that shows stroke i for faults of those
// phases: so many seconds before and after its contact; for being ready and footwork
// from before the partner's contact, for the way back until after the partner's next
// one, but then a second from the contact at most. It lies in the turn.
func WindowOf(r *club.TurnRecord, i int, phases []club.Phase, before, after float64) Window {
	const (
		most  = 1.0 // for the partner's contact
		grace = 0.1 // round it
	)
	s, base := r.Strokes[i], r.Base
	early, late := before, after
	for _, p := range phases {
		switch {
		case (p == club.Ready || p == club.Footwork) && i > 0 && r.Strokes[i-1].Answer != nil:
			early = max(early, min(most, base.Seconds(s.Ticks-r.Zero)-*r.Strokes[i-1].Answer+grace))
		case p == club.Recovery && s.Answer != nil:
			late = max(late, min(most, *s.Answer-base.Seconds(s.Ticks-r.Zero)+grace))
		}
	}
	return Window{max(s.Ticks-base.Ticks(early), r.FirstTicks), min(s.Ticks+base.Ticks(late), r.LastTicks)}
}

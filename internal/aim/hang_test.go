package aim

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/timecode"
)

// milli is a time base of milliseconds.
func thousandths() timecode.Base { return timecode.Base{Num: 1, Den: 1000} }

// strokesOn are strokes at 100, 200 …
func strokesOn(sides ...club.Side) club.TurnRecord {
	var r club.TurnRecord
	for i, s := range sides {
		r.Strokes = append(r.Strokes, club.Stroke{ID: club.ID(fmt.Sprint("s", i)), Ticks: int64(i+1) * 100, Side: s})
	}
	return r
}

func seen(p club.Phase, s club.Sides) club.Fault { return club.Fault{Phase: p, Sides: s} }

func TestHangOn(t *testing.T) {
	r := strokesOn(club.Forehand, club.Backhand, club.Forehand, "") // at 100, 200, 300, 400
	r.Base = timecode.Base{Num: 1, Den: 100}                        // a second each
	for name, c := range map[string]struct {
		ticks int64
		fault club.Fault
		want  int
	}{
		"contact on a stroke":              {200, seen(club.ContactPhase, club.BothSides), 1},
		"contact, nearest before":          {230, seen(club.ContactPhase, club.BothSides), 1},
		"contact, nearest after":           {270, seen(club.ContactPhase, club.BothSides), 2},
		"contact, equally near: earlier":   {250, seen(club.ContactPhase, club.BothSides), 1},
		"no known phase: nearest":          {270, seen("", club.BothSides), 2},
		"before the first":                 {-50, seen(club.ContactPhase, club.BothSides), 0},
		"after the last":                   {900, seen(club.ContactPhase, club.BothSides), 3},
		"contact skips the other side":     {210, seen(club.ContactPhase, club.ForehandOnly), 2},
		"other side, tie: earlier":         {200, seen(club.ContactPhase, club.ForehandOnly), 0},
		"unknown side can be it":           {310, seen(club.ContactPhase, club.BackhandOnly), 3},
		"recovery: the stroke before":      {280, seen(club.Recovery, club.BothSides), 1},
		"follow-through: before":           {250, seen(club.FollowThrough, club.BothSides), 1},
		"recovery of a forehand":           {280, seen(club.Recovery, club.ForehandOnly), 0},
		"recovery, logged a picture late":  {292, seen(club.Recovery, club.BothSides), 2},
		"recovery before every stroke":     {20, seen(club.Recovery, club.BothSides), 0},
		"ready: the stroke that comes":     {211, seen(club.Ready, club.BothSides), 2},
		"footwork: the stroke that comes":  {220, seen(club.Footwork, club.BothSides), 2},
		"backswing: the stroke that comes": {299, seen(club.Backswing, club.BothSides), 2},
		"backswing, a picture late":        {205, seen(club.Backswing, club.BothSides), 1},
		"backswing of a backhand":          {205, seen(club.Backswing, club.BackhandOnly), 1},
		"backswing, none comes any more":   {900, seen(club.Backswing, club.BothSides), 3},
	} {
		require.Equal(t, c.want, HangOn(&r, club.Mark{Ticks: c.ticks}, c.fault, r.Sides("")), name)
	}
	contact := seen(club.ContactPhase, club.BothSides)
	require.Equal(t, 3, HangOn(&r, club.Mark{Ticks: 200, StrokeID: r.Strokes[3].ID}, contact, r.Sides("")), "hung by hand")
	require.Equal(t, 1, HangOn(&r, club.Mark{Ticks: 200, StrokeID: "gone"}, contact, r.Sides("")), "hung on a stroke that is gone")
	require.Equal(t, 0, HangOn(&r, club.Mark{Ticks: 100, StrokeID: r.Strokes[1].ID}, seen(club.ContactPhase, club.ForehandOnly), r.Sides("")), "hung where it cannot be")
	require.Equal(t, -1, HangOn(&club.TurnRecord{}, club.Mark{Ticks: 5}, contact, nil))
	f := strokesOn(club.Forehand, club.Forehand)
	require.Equal(t, -1, HangOn(&f, club.Mark{Ticks: 5}, seen(club.Ready, club.BackhandOnly), f.Sides("")))
}

// drawTurn draws a turn of strokes at least 0.25 s apart, with some of the partner's
// contacts known.
func drawTurn(t *rapid.T) club.TurnRecord {
	r := club.TurnRecord{Base: thousandths(), Zero: rapid.Int64Range(-500, 500).Draw(t, "zero")}
	at := r.Zero + rapid.Int64Range(0, 2000).Draw(t, "start")
	r.FirstTicks = at
	for i := range rapid.IntRange(0, 10).Draw(t, "strokes") {
		at += rapid.Int64Range(250, 2500).Draw(t, "gap")
		s := club.Stroke{ID: club.ID(rune('a' + i)), Ticks: at, Side: rapid.SampledFrom([]club.Side{"", club.Forehand, club.Backhand}).Draw(t, "side")}
		if rapid.Bool().Draw(t, "answered") {
			answer := float64(at-r.Zero)/1000 + rapid.Float64Range(0.05, 1.5).Draw(t, "answer")
			s.Answer = &answer
		}
		r.Strokes = append(r.Strokes, s)
	}
	r.LastTicks = at + rapid.Int64Range(0, 2000).Draw(t, "end")
	return r
}

// HangOn against the plain way: look at every stroke.
func TestHangOnAgainstLookingAtAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawTurn(t)
		ticks := rapid.Int64Range(r.FirstTicks-100, r.LastTicks+100).Draw(t, "ticks")
		f := seen(rapid.SampledFrom(append(club.Phases(), "")).Draw(t, "phase"), rapid.SampledFrom(club.SidesWords()).Draw(t, "fault"))
		sides := r.Sides("")
		away := func(i int) int64 { return max(r.Strokes[i].Ticks-ticks, ticks-r.Strokes[i].Ticks) }
		nearest, before, after := -1, -1, -1
		for i, s := range r.Strokes {
			if !f.Sides.Could(sides[i]) {
				continue
			}
			if nearest < 0 || away(i) < away(nearest) {
				nearest = i
			}
			if s.Ticks < ticks {
				before = i
			}
			if s.Ticks >= ticks && after < 0 {
				after = i
			}
		}
		want := nearest
		// A stroke within a tenth of a second, and nearer than any other, is it anyhow.
		if nearest >= 0 && away(nearest) > 100 {
			switch {
			case f.Phase.Before() && before >= 0:
				want = before
			case f.Phase.Coming() && after >= 0:
				want = after
			}
		}
		if before >= 0 && after >= 0 && away(before) == away(after) { // no nearest: tested above
			return
		}
		require.Equal(t, want, HangOn(&r, club.Mark{Ticks: ticks}, f, sides))
	})
}

// A mark at the moment where a fault shows, or where a key was aimed at, hangs on
// that stroke by itself; both lie in the turn.
func TestMarksAtTheirMomentHangOnTheirStroke(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawTurn(t)
		f := seen(rapid.SampledFrom(append(club.Phases(), "")).Draw(t, "phase"), rapid.SampledFrom(club.SidesWords()).Draw(t, "fault"))
		sides := r.Sides("")
		for i := range r.Strokes {
			at := Shows(&r, i, f.Phase)
			require.GreaterOrEqual(t, at, r.FirstTicks)
			require.LessOrEqual(t, at, r.LastTicks)
			if f.Sides.Could(sides[i]) {
				require.Equal(t, i, HangOn(&r, club.Mark{Ticks: at}, f, sides), "shows")
			}
			w := WindowOf(&r, i, club.Phases(), UsualBefore, UsualAfter)
			require.LessOrEqual(t, w.From, r.Strokes[i].Ticks)
			require.GreaterOrEqual(t, w.To, r.Strokes[i].Ticks)
			require.LessOrEqual(t, w.To-w.From, int64(2000))
		}
		meant := At(&r, rapid.Int64Range(r.FirstTicks, r.LastTicks).Draw(t, "key"), rapid.Float64Range(0, 1).Draw(t, "reaction"), f, sides)
		require.GreaterOrEqual(t, meant.Ticks, r.FirstTicks)
		require.LessOrEqual(t, meant.Ticks, r.LastTicks)
		if meant.Stroke < 0 {
			require.Less(t, meant.Other, 0)
			return
		}
		require.Less(t, meant.Other, meant.Stroke)
		require.True(t, f.Sides.Could(sides[meant.Stroke]))
		require.Equal(t, meant.Stroke, HangOn(&r, club.Mark{Ticks: meant.Ticks}, f, sides), "aimed")
	})
}

// Where a fault is marked that nobody has aimed at a frame, and between which moments it
// can be seen at all.
func TestShowsAndSeen(t *testing.T) {
	r := club.TurnRecord{Base: thousandths(), Turn: club.Turn{LastTicks: 9000}}
	for _, at := range []int64{2000, 4000, 6000} {
		answer := float64(at)/1000 + 1.4
		r.Strokes = append(r.Strokes, club.Stroke{Ticks: at, Answer: &answer})
	}
	unanswered := club.TurnRecord{Base: thousandths(), Turn: r.Turn, Strokes: []club.Stroke{{Ticks: 2000}, {Ticks: 4000}, {Ticks: 6000}}}
	for phase, want := range map[club.Phase]struct{ answered, unanswered, from, to int64 }{
		club.Ready:         {3400, 3600, 3000, 4000}, // where the partner strikes
		club.Footwork:      {3750, 3750, 3000, 4000},
		club.Backswing:     {3820, 3820, 3650, 4000},
		club.ContactPhase:  {4000, 4000, 3950, 4050},
		club.FollowThrough: {4140, 4140, 4000, 4250},
		club.Recovery:      {5000, 4450, 4200, 5000}, // where the partner strikes, but nearer to this stroke than to the next
	} {
		require.Equal(t, want.answered, Shows(&r, 1, phase), phase)
		require.Equal(t, want.unanswered, Shows(&unanswered, 1, phase), phase)
		from, to := Seen(&r, 1, phase)
		require.Equal(t, []int64{want.from, want.to}, []int64{from, to}, phase)
	}
}

func TestAt(t *testing.T) {
	r := club.TurnRecord{Base: thousandths()} // a stroke at 1, 2.2 and 3.4 s, the partner half way between
	for _, at := range []int64{1000, 2200, 3400} {
		answer := float64(at)/1000 + 0.6
		r.Strokes = append(r.Strokes, club.Stroke{Ticks: at, Answer: &answer})
	}
	r.LastTicks = 5000
	for name, c := range map[string]struct {
		key    int64
		phase  club.Phase
		stroke int
		other  int
		ticks  int64
	}{
		"contact, at once":                {2200, club.ContactPhase, 1, -1, 2200},
		"contact, 0.6 s late":             {2800, club.ContactPhase, 1, -1, 2200},
		"contact, just before the next":   {3300, club.ContactPhase, 1, -1, 2200},
		"recovery, 0.3 s after, 0.3 late": {2800, club.Recovery, 1, -1, 2400},
		"recovery, 0.3 s after, at once":  {2500, club.Recovery, 1, 0, 2200},
		"recovery, when the next is hit":  {3500, club.Recovery, 1, -1, 2800},
		"footwork, before the partner":    {2700, club.Footwork, 1, -1, 2200},
		"footwork, after the partner":     {2900, club.Footwork, 2, 1, 2800},
		"backswing, 0.6 s late":           {3900, club.Backswing, 2, -1, 3400},
		"before every stroke":             {200, club.Backswing, 0, -1, 0},
	} {
		a := At(&r, c.key, 0.4, seen(c.phase, club.BothSides), r.Sides(""))
		require.Equal(t, Aim{c.stroke, c.other, c.ticks}, a, name)
	}
	// What the other strikes before a forehand may follow a backhand.
	r.Strokes[0].Side, r.Strokes[1].Side, r.Strokes[2].Side = club.Forehand, club.Backhand, club.Forehand
	forehand := club.Fault{Phase: club.Footwork, Sides: club.ForehandOnly}
	require.Equal(t, 0, At(&r, 2700, 0.4, forehand, r.Sides("")).Stroke, "the ball is not even played")
	require.Equal(t, 2, At(&r, 2900, 0.4, forehand, r.Sides("")).Stroke)
	require.Equal(t, Aim{-1, -1, 1600}, At(&club.TurnRecord{Base: thousandths(), Turn: club.Turn{LastTicks: 9000}}, 2000, 0.4, seen(club.Ready, club.BothSides), nil))
}

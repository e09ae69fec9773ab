package club

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/timecode"
)

func TestSessionAndClipRules(t *testing.T) {
	requireProblem(t, "-", Session{Date: "2026-03-14"}.Check(), "session")
	requireProblem(t, "date", Session{}.Check(), "no date")
	requireProblem(t, "note", Session{Date: "2026-03-14", Note: strings.Repeat("x", MaxNote+1)}.Check(), "long note")
	good := Clip{Name: "a.mp4", Base: timecode.Base{Num: 1, Den: 25}}
	requireProblem(t, "-", good.Check(), "clip")
	for name, change := range map[string]func(*Clip){
		"no base": func(c *Clip) { c.Base.Num = 0 }, "frames": func(c *Clip) { c.Frames = -1 }, "bytes": func(c *Clip) { c.Bytes = -1 },
		"seconds": func(c *Clip) { c.Seconds = math.NaN() }, "width": func(c *Clip) { c.Width = -1 }, "height": func(c *Clip) { c.Height = -1 },
	} {
		c := good
		change(&c)
		requireProblem(t, "", c.Check(), name)
	}
	good.Name = ""
	requireProblem(t, "name", good.Check(), "no name")
}

func TestStrokeAndMarkRules(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Stroke)
		field  string
	}{
		"good":              {func(*Stroke) {}, "-"},
		"missed, by chance": {func(s *Stroke) { s.Outcome, s.Source, s.Confidence, s.Side = Missed, ByMachine, 0, Backhand }, "-"},
		"seen":              {func(s *Stroke) { s.Source = BySight }, "-"},
		"unknown source":    {func(s *Stroke) { s.Source = "sight" }, "source"},
		"outcome":           {func(s *Stroke) { s.Outcome = "" }, "outcome"},
		"side":              {func(s *Stroke) { s.Side = "left" }, "side"},
		"source":            {func(s *Stroke) { s.Source = "" }, "source"},
		"frame":             {func(s *Stroke) { s.Frame = -1 }, "frame"},
		"too sure":          {func(s *Stroke) { s.Confidence = 1.01 }, "confidence"},
		"below nothing":     {func(s *Stroke) { s.Confidence = -0.01 }, "confidence"},
		"no number":         {func(s *Stroke) { s.Confidence = math.NaN() }, "confidence"},
	} {
		s := Stroke{Outcome: Good, Source: ByHand, Confidence: 1}
		c.change(&s)
		requireProblem(t, c.field, s.Check(), name)
	}
	requireProblem(t, "-", Mark{Source: ByHand, Confidence: 1, Note: strings.Repeat("x", MaxNote)}.Check(), "mark")
	requireProblem(t, "note", Mark{Source: ByHand, Confidence: 1, Note: strings.Repeat("x", MaxNote+1)}.Check(), "long note")
	requireProblem(t, "frame", Mark{Frame: -1, Source: ByHand, Confidence: 1}.Check(), "frame")
}

func TestCheckTurn(t *testing.T) {
	other := Turn{ID: "o", ClipID: "c", PlayerID: "p", DrillID: "d", First: 100, Last: 200}
	elsewhere := Turn{ID: "e", ClipID: "x", First: 0, Last: 999}
	turn := func(first, last int) Turn {
		return Turn{ID: "n", ClipID: "c", PlayerID: "p", DrillID: "d", First: first, Last: last}
	}
	for name, c := range map[string]struct {
		turn  Turn
		field string
	}{
		"before":          {turn(0, 99), "-"},
		"after":           {turn(201, 999), "-"},
		"one frame":       {turn(99, 99), "-"},
		"touches first":   {turn(0, 100), "first"},
		"touches last":    {turn(200, 300), "first"},
		"inside":          {turn(120, 130), "first"},
		"around":          {turn(50, 250), "first"},
		"backwards":       {turn(50, 49), "first"},
		"before the clip": {turn(-1, 5), "first"},
		"past the end":    {turn(500, 1000), "first"},
		"no player":       {Turn{DrillID: "d"}, "player"},
		"no drill":        {Turn{PlayerID: "p"}, "drill"},
		"itself, moved":   {Turn{ID: "o", ClipID: "c", PlayerID: "p", DrillID: "d", First: 150, Last: 250}, "-"},
	} {
		requireProblem(t, c.field, CheckTurn(c.turn, 1000, []Turn{other, elsewhere}), name)
	}
	requireProblem(t, "first", CheckTurn(turn(0, 0), 0, nil), "clip not counted")
}

func TestCovers(t *testing.T) {
	turn := Turn{First: 10, Last: 12}
	for frame, want := range map[int]bool{9: false, 10: true, 11: true, 12: true, 13: false} {
		require.Equal(t, want, turn.Covers(frame), frame)
	}
}

func TestTurnSecondsFromItsTicks(t *testing.T) {
	r := TurnRecord{Turn: Turn{FirstTicks: 1000, LastTicks: 91000}, Base: timecode.Base{Num: 1, Den: 90000}}
	require.Equal(t, 1.0, r.Seconds())
	// The last picture has a length too, and so has a turn of one.
	r.Picture = Clip{Frames: 50, Seconds: 2}.Picture()
	require.InDelta(t, 1.04, r.Seconds(), 1e-12)
	r.LastTicks = r.FirstTicks
	require.InDelta(t, 0.04, r.Seconds(), 1e-12)
	require.Zero(t, Clip{}.Picture())
}

func record(sides ...Side) TurnRecord {
	var r TurnRecord
	for i, s := range sides {
		r.Strokes = append(r.Strokes, Stroke{ID: ID(fmt.Sprint("s", i)), Ticks: int64(i+1) * 100, Side: s})
	}
	return r
}

func TestSides(t *testing.T) {
	r := record("", Forehand, "", "")
	require.Equal(t, []Side{Backhand, Forehand, Backhand, Backhand}, r.Sides("B"))
	require.Equal(t, []Side{Forehand, Forehand, Backhand, Forehand}, r.Sides("FFB"))
	require.Equal(t, []Side{"", Forehand, "", ""}, r.Sides(""))
	require.Empty(t, TurnRecord{}.Sides("F"))
}

func TestStreak(t *testing.T) {
	for text, want := range map[string][2]int{
		"": {0, 0}, "g": {1, 1}, "m": {0, 0}, "ggg": {3, 3}, "gggm": {3, 0}, "ggmggg": {3, 3}, "gggmgg": {3, 2}, "mm": {0, 0},
	} {
		var r TurnRecord
		for _, c := range text {
			r.Strokes = append(r.Strokes, Stroke{Outcome: map[rune]Outcome{'g': Good, 'm': Missed}[c]})
		}
		longest, current := r.Streak()
		require.Equal(t, want, [2]int{longest, current}, text)
	}
}

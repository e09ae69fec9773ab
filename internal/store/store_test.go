package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/sighting"
	"strokeledger/internal/timecode"
)

// open opens a library for a test and closes it at its end.
func open(t testing.TB, dir string, o Options) *Library {
	t.Helper()
	l, err := Open(context.Background(), dir, o)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

func fresh(t testing.TB) *Library {
	return open(t, filepath.Join(t.TempDir(), "club"), Options{Create: true})
}

// tester is what helpers need of a test or of a round that rapid plays.
type tester interface {
	require.TestingT
	Helper()
}

func must(t tester, l *Library, edits ...Edit) Change {
	t.Helper()
	c, err := l.Do(context.Background(), "a", "edit", edits...)
	require.NoError(t, err)
	return c
}

// Rows of an invented club; n tells them apart.
func coach(n int) club.Coach {
	return club.Coach{ID: id("coach", n), Name: fmt.Sprint("Coach ", n)}
}
func player(n int) club.Player {
	return club.Player{ID: id("player", n), Name: fmt.Sprint("Player ", n), Hand: club.LeftHand}
}
func drill(n int) club.Drill {
	return club.Drill{ID: id("drill", n), Name: fmt.Sprint("Drill ", n), Method: club.Regular, Pattern: "FB", Placement: club.Diagonal, Ball: club.Multiball, Rung: 1, Streak: 10}
}
func fault(n int) club.Fault {
	return club.Fault{ID: id("fault", n), Code: fmt.Sprint("F", n), Label: fmt.Sprint("Fault ", n), Phase: club.Ready, Sides: club.BothSides, Weight: 2}
}
func session(n int) club.Session {
	return club.Session{ID: id("session", n), Date: club.Date(fmt.Sprintf("2026-03-%02d", n+1))}
}
func clip(n, session int) club.Clip {
	return club.Clip{ID: id("clip", n), SessionID: id("session", session), Name: "a.mp4", Path: "/films/a.mp4", Fingerprint: fmt.Sprint("print", n),
		Bytes: 7, Frames: 1000, Base: timecode.Base{Num: 1, Den: 12800}, Seconds: 20, Width: 1920, Height: 1080}
}

// longClip is clip 0 with room for an entry at a frame of its own each.
func longClip() club.Clip {
	c := clip(0, 0)
	c.Frames = 10_000_000
	return c
}
func turn(n, clip, player, drill, first, last int) club.Turn {
	return club.Turn{ID: id("turn", n), ClipID: id("clip", clip), PlayerID: id("player", player), DrillID: id("drill", drill),
		First: first, Last: last, FirstTicks: int64(first) * 256, LastTicks: int64(last) * 256}
}
func stroke(n, clip, frame int) club.Stroke {
	return club.Stroke{ID: id("stroke", n), ClipID: id("clip", clip), Frame: frame, Ticks: int64(frame) * 256, Outcome: club.Good, Source: club.ByHand, Confidence: 1, CoachID: id("coach", 0)}
}
func mark(n, clip, fault, frame int) club.Mark {
	return club.Mark{ID: id("mark", n), ClipID: id("clip", clip), FaultID: id("fault", fault), CoachID: id("coach", 0), Frame: frame, Ticks: int64(frame) * 256,
		Source: club.ByHand, Confidence: 1, Made: time.Date(2026, 3, 14, 15, 9, 26, 535897000, time.UTC)}
}
func look(n, clip, first, last, fault int) club.Look {
	return club.Look{ID: id("look", n), ClipID: id("clip", clip), CoachID: id("coach", 0), First: first, Last: last,
		FirstTicks: int64(first) * 256, LastTicks: int64(last) * 256, Faults: []club.ID{id("fault", fault)}, Made: time.Date(2026, 3, 14, 16, 0, 0, 0, time.UTC)}
}

// ruler is pulled onto the lines where its clip has an even number.
func ruler(clip, frame int) sighting.Ruler {
	r := sighting.Ruler{ID: id("clip", clip), ClipID: id("clip", clip), CoachID: id("coach", 0), Frame: frame, Ticks: int64(frame) * 256, Width: 1920, Height: 1080, Wide: clip > 0,
		Clicked: sighting.Outline{Corners: [4]sighting.Place{{X: 700.1, Y: 600}, {X: 200, Y: 620.25}, {X: 900, Y: 400}, {X: 1300, Y: 390}}, Tops: []sighting.Place{{X: 500, Y: 450}}, SD: 2}}
	if clip%2 == 0 {
		onLines := r.Clicked.In(1.001, 0.999)
		r.Snapped, r.Support, r.Good = &onLines, 0.875, true
	}
	return r
}

// pairing lines a clip up with another one.
func pairing(clip, on int) alignment.Pairing {
	return alignment.Pairing{ID: id("clip", clip), ClipID: id("clip", clip), OnID: id("clip", on), CoachID: id("coach", 0),
		Offset: -12.345678, Drift: 42.5e-6, OffsetHalf: .0015, DriftHalf: 2e-6, Matched: 812}
}
func adjustment(clip, rotation int) picture.Adjustment {
	return picture.Adjustment{ID: id("clip", clip), ClipID: id("clip", clip), Rotation: rotation, Mirror: clip > 0, Brightness: 10, Contrast: -20, Gamma: 30}
}

func pair(n, left, right, frame int) picture.Pair {
	return picture.Pair{ID: id("pair", n), CoachID: id("coach", 0), Name: fmt.Sprint("before and after ", n), ClipID: id("clip", left), OtherID: id("clip", right),
		Frame: frame, Ticks: int64(frame) * 256, OtherFrame: frame + 3, OtherTicks: int64(frame+3) * 256,
		Seen: picture.View{Times: 2.5, X: 0.5, Y: 0.25}, OtherSeen: picture.View{Times: 1, X: 0.5, Y: 0.5, Mirror: true}, Over: n > 0, Divided: 0.5}
}

// drawing is an angle that is shown on two frames before its own and three after it.
func drawing(n, clip, frame int) picture.Drawing {
	return picture.Drawing{ID: id("drawing", n), ClipID: id("clip", clip), CoachID: id("coach", 0), MarkID: id("mark", n),
		Frame: frame, Ticks: int64(frame) * 256, First: frame - 2, FirstTicks: int64(frame-2) * 256, Last: frame + 3, LastTicks: int64(frame+3) * 256,
		Kind: picture.Angle, Places: []picture.Point{{X: 0.5, Y: 0.5}, {X: 0.25, Y: 0.5}, {X: 0.5, Y: 0.125}}}
}

func id(kind string, n int) club.ID { return club.ID(fmt.Sprintf("%s-%04d", kind, n)) }

// filled is a library with two of each definition, two sessions, three clips.
func filled(t testing.TB) *Library {
	l := fresh(t)
	fill(t, l)
	return l
}

func fill(t tester, l *Library) {
	must(t, l, Put(coach(0)), Put(coach(1)), Put(player(0)), Put(player(1)), Put(drill(0)), Put(drill(1)), Put(fault(0)), Put(fault(1)),
		Put(session(0)), Put(session(1)), Put(clip(0, 0)), Put(clip(1, 0)), Put(clip(2, 1)))
}

func TestRowsComeBackAsTheyWere(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	full := club.Player{ID: "p", Name: `Robert "); DROP TABLE mark;--`, Alias: "\u202eאבג 🏓", Hand: club.RightHand, Group: "U12\x00x", Note: "line\nline", Retired: true}
	machine := club.Stroke{ID: "s", ClipID: id("clip", 0), Frame: 999, Ticks: -5, Side: club.Backhand, Outcome: club.Missed, Source: club.ByMachine, Confidence: 0.125}
	must(t, l, Put(full), Put(machine), Put(mark(0, 0, 1, 5)), Put(turn(0, 0, 0, 1, 0, 10)))

	got, err := Get[club.Player](ctx, l, "p")
	require.NoError(t, err)
	require.Equal(t, full, got)
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Equal(t, Ledger{[]club.Turn{turn(0, 0, 0, 1, 0, 10)}, []club.Stroke{machine}, []club.Mark{mark(0, 0, 1, 5)}, nil, nil, nil, nil, nil}, led)
	cat, err := l.Catalogue(ctx)
	require.NoError(t, err)
	require.Equal(t, club.Catalogue{Coaches: []club.Coach{coach(0), coach(1)}, Players: []club.Player{player(0), player(1), full},
		Drills: []club.Drill{drill(0), drill(1)}, Faults: []club.Fault{fault(0), fault(1)}}, cat)
	found, ok, err := l.ClipByFingerprint(ctx, "print1")
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, clip(1, 0), found)
	_, ok, err = l.ClipByFingerprint(ctx, "other")
	require.NoError(t, err)
	require.False(t, ok)
	sessions, err := l.Sessions(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.Session{session(0), session(1)}, sessions)
	clips, err := l.Clips(ctx)
	require.NoError(t, err)
	require.Len(t, clips, 3)
	count, err := l.Count(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Equal(t, Count{Turns: 1, Strokes: 1, Marks: 1, Unlooked: 1}, count)
	byID, err := l.MarksByID(ctx, []club.ID{id("mark", 0), "none"})
	require.NoError(t, err)
	require.Equal(t, []club.Mark{mark(0, 0, 1, 5)}, byID)
	_, err = Get[club.Mark](ctx, l, "none")
	require.ErrorIs(t, err, ErrUnknown)
}

func TestDoTellsWhatItTouched(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	require.Equal(t, Change{Seq: 2, Label: "edit", Clips: []club.ID{id("clip", 1)}, Frame: 7}, must(t, l, Put(mark(0, 1, 0, 7))))
	require.Equal(t, Change{Seq: 3, Label: "edit", Catalogue: true, Frame: -1}, must(t, l, Put(player(5))))
	require.Equal(t, Change{Label: "edit", Frame: -1}, must(t, l, Put(player(5))), "an edit that changes nothing leaves no step")
	undone, err := l.Undo(ctx, "b")
	require.NoError(t, err)
	require.Equal(t, Change{Seq: 4, Label: "edit", Catalogue: true, Frame: -1}, undone)
	undo, redo, err := l.History(ctx)
	require.NoError(t, err)
	require.Equal(t, []string{"edit", "edit"}, []string{undo, redo})
	must(t, l, Put(player(6)))
	_, err = l.Redo(ctx, "b")
	require.ErrorIs(t, err, ErrNothing)
	require.EqualError(t, err, "There is nothing to redo.")
}

func TestSettingsAndIndexAreKept(t *testing.T) {
	ctx := context.Background()
	l := fresh(t)
	for _, want := range []string{"one", "two"} {
		require.NoError(t, l.SetSetting(ctx, "k", want))
		got, err := l.Setting(ctx, "k")
		require.NoError(t, err)
		require.Equal(t, want, got)
		require.NoError(t, l.PutIndex(ctx, "print", []byte(want)))
		data, ok, err := l.Index(ctx, "print")
		require.NoError(t, err)
		require.True(t, ok)
		require.Equal(t, want, string(data))
	}
	_, ok, err := l.Index(ctx, "other")
	require.NoError(t, err)
	require.False(t, ok)
	_, err = l.Undo(ctx, "a")
	require.ErrorIs(t, err, ErrNothing)
}

func TestOnlyTheOwnerReads(t *testing.T) {
	l := filled(t)
	info, err := os.Stat(l.Dir())
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
	entries, err := os.ReadDir(l.Dir())
	require.NoError(t, err)
	require.Len(t, entries, 4, "the ledger, its log, the index of that, and who has it open")
	for _, e := range entries {
		info, err := e.Info()
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), e.Name())
	}
}

func TestRecordJoinsWhatATurnCovers(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l,
		Put(turn(0, 0, 0, 0, 100, 200)), Put(turn(1, 0, 1, 1, 201, 300)), Put(turn(2, 2, 0, 1, 0, 50)),
		Put(stroke(3, 0, 150)), Put(stroke(2, 0, 100)), Put(stroke(1, 0, 200)), Put(stroke(0, 0, 201)), Put(stroke(4, 0, 99)), Put(stroke(5, 2, 50)),
		Put(mark(0, 0, 0, 150)), Put(mark(1, 0, 1, 150)), Put(mark(2, 0, 1, 999)))
	must(t, l, Remove[club.Stroke](id("stroke", 3)))

	first := club.TurnRecord{Turn: turn(0, 0, 0, 0, 100, 200), Date: "2026-03-01", Base: clip(0, 0).Base, Picture: clip(0, 0).Picture(),
		Strokes: []club.Stroke{stroke(2, 0, 100), stroke(1, 0, 200)}, Marks: []club.Mark{mark(0, 0, 0, 150), mark(1, 0, 1, 150)}}
	second := club.TurnRecord{Turn: turn(1, 0, 1, 1, 201, 300), Date: "2026-03-01", Base: clip(0, 0).Base, Picture: clip(0, 0).Picture(), Strokes: []club.Stroke{stroke(0, 0, 201)}}
	third := club.TurnRecord{Turn: turn(2, 2, 0, 1, 0, 50), Date: "2026-03-02", Base: clip(2, 1).Base, Picture: clip(2, 1).Picture(), Strokes: []club.Stroke{stroke(5, 2, 50)}}
	for name, c := range map[string]struct {
		filter Filter
		want   []club.TurnRecord
	}{
		"all":           {Filter{}, []club.TurnRecord{first, second, third}},
		"player":        {Filter{Players: []club.ID{id("player", 0)}}, []club.TurnRecord{first, third}},
		"both players":  {Filter{Players: []club.ID{id("player", 1), id("player", 0)}}, []club.TurnRecord{first, second, third}},
		"drill":         {Filter{Drills: []club.ID{id("drill", 1)}}, []club.TurnRecord{second, third}},
		"one of each":   {Filter{Players: []club.ID{id("player", 0)}, Drills: []club.ID{id("drill", 1)}}, []club.TurnRecord{third}},
		"from":          {Filter{From: "2026-03-02"}, []club.TurnRecord{third}},
		"to":            {Filter{To: "2026-03-01"}, []club.TurnRecord{first, second}},
		"player and to": {Filter{Players: []club.ID{id("player", 0)}, To: "2026-03-01"}, []club.TurnRecord{first}},
		"nobody":        {Filter{Players: []club.ID{"nobody"}}, []club.TurnRecord{}},
	} {
		got, err := l.Record(ctx, c.filter)
		require.NoError(t, err, name)
		require.Equal(t, c.want, got, name)
	}
}

package desk_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/store"
)

const clips = "../../testdata/clips/"

// bench is a new library with two clips and one player.
type bench struct {
	*desk.Desk
	dir    string
	clip   club.ID
	player club.Player
	cat    club.Catalogue
}

func newBench(t *testing.T) *bench {
	t.Helper()
	ctx := t.Context()
	b := &bench{dir: filepath.Join(t.TempDir(), "library")}
	b.reopen(t)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{clips + "a01_baseline.mp4", clips + "a02_vfr_phone.mp4"}, nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say)
	b.clip = added[0].ClipID
	b.player, err = b.Catalogue.SavePlayer(ctx, club.Player{Name: "Ines Varga", Hand: club.RightHand})
	require.NoError(t, err)
	b.cat, err = b.Library.Catalogue(ctx)
	require.NoError(t, err)
	return b
}

func (b *bench) reopen(t *testing.T) {
	t.Helper()
	if b.Desk != nil {
		require.NoError(t, b.Close())
	}
	var err error
	b.Desk, err = desk.Open(t.Context(), b.dir, library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { b.Desk.Close() })
}

func (b *bench) ledger(t *testing.T) store.Ledger {
	t.Helper()
	led, err := b.Library.OfClip(t.Context(), b.clip)
	require.NoError(t, err)
	return led
}

// look keeps a look of a coach through frames of the clip, for faults.
func (b *bench) look(t *testing.T, first, last int, coach club.ID, faults ...club.ID) {
	t.Helper()
	require.NoError(t, b.PutLook(t.Context(), club.Look{ClipID: b.clip, CoachID: coach, First: first, Last: last, Faults: faults}))
}

func TestMainJob(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	fault, drill := b.cat.Faults[0], b.cat.Drills[0]
	turn, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: drill.ID, First: 5, Last: 70})
	require.NoError(t, err)
	for _, frame := range []int{10, 20, 30, 40} {
		_, err := b.Strokes.Add(ctx, b.clip, frame, club.Good)
		require.NoError(t, err)
	}
	m, err := b.Marks.Add(ctx, b.clip, 21, fault.ID)
	require.NoError(t, err)
	require.Equal(t, int64(21*512), m.Ticks, "a01 has 512 ticks a frame (manifest)")

	s, err := b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, []int{1, 4}, []int{s.Players[0].All.Looked.NoTurns, s.Players[0].All.Looked.NoStrokes})
	for _, l := range s.Players[0].All.Faults {
		require.Nil(t, l.PerStroke, "nobody has looked through the turn")
	}
	_, err = b.Looks.Through(ctx, turn.ID, nil)
	require.NoError(t, err)
	s, err = b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Len(t, s.Players, 1)
	line := s.Players[0].All.Faults[0]
	require.Equal(t, fault.Code, line.Code)
	require.Equal(t, 1, line.PerStroke.X)
	require.Equal(t, 4, line.PerStroke.N)
	require.False(t, line.PerStroke.Known(), "one turn says nothing of how far turns differ")
	require.Equal(t, []club.ID{m.ID}, line.MarkIDs)

	rows, err := b.Summary.MarkRows(ctx, line.MarkIDs)
	require.NoError(t, err)
	require.Equal(t, 21, rows[0].Frame)
	require.InDelta(t, 0.84, rows[0].Seconds, 1e-9)
	require.Equal(t, "Ines Varga", rows[0].Player)
	require.Equal(t, drill.Name, rows[0].Drill)

	for _, f := range []publish.Format{publish.Text, publish.CSV, publish.JSON, publish.HTML} {
		var out bytes.Buffer
		require.NoError(t, b.Documents.Export(ctx, summary.Query{}, f, &out))
		require.Contains(t, out.String(), "IV", f)
		require.NotContains(t, out.String(), "Varga", "%s leaves the team, so it shows initials", f)
		out.Reset()
		require.NoError(t, b.Documents.Export(ctx, summary.Query{Names: true}, f, &out))
		require.Contains(t, out.String(), "Ines Varga", f)
	}
}

func TestUndoSurvivesRestart(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	m, err := b.Marks.Add(ctx, b.clip, 7, b.cat.Faults[1].ID)
	require.NoError(t, err)
	b.reopen(t)
	require.Equal(t, []club.Mark{m}, b.ledger(t).Marks)

	ch, err := b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, 7, ch.Frame)
	require.Empty(t, b.ledger(t).Marks)
	b.reopen(t)
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Contains(t, st.Redo, "frame 7")
	_, err = b.Library.Redo(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.Mark{m}, b.ledger(t).Marks)
}

func TestOthersAreTold(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	other, err := desk.Open(ctx, b.dir, library.Options{})
	require.NoError(t, err)
	defer other.Close()
	look := func() bool {
		changed, err := b.Library.Others(ctx)
		require.NoError(t, err)
		return changed
	}
	look()
	_, err = b.Marks.Add(ctx, b.clip, 7, b.cat.Faults[1].ID)
	require.NoError(t, err)
	require.False(t, look(), "its own change")
	_, err = b.Marks.Add(ctx, b.clip, 8, b.cat.Faults[1].ID)
	require.NoError(t, err)
	_, err = other.Marks.Add(ctx, b.clip, 9, b.cat.Faults[1].ID)
	require.NoError(t, err)
	require.True(t, look(), "the other's change")
	require.False(t, look())
}

func TestNewLibraryHasNothingToUndo(t *testing.T) {
	d, err := desk.Open(t.Context(), filepath.Join(t.TempDir(), "library"), library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	_, err = d.Library.Undo(t.Context())
	require.ErrorIs(t, err, store.ErrNothing)
}

func TestMarksChange(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	late, early := b.cat.Faults[0].ID, b.cat.Faults[1].ID
	m, err := b.Marks.Add(ctx, b.clip, 3, late)
	require.NoError(t, err)

	_, err = b.Marks.Add(ctx, b.clip, 3, late)
	requireProblem(t, err, "frame")
	_, err = b.Marks.Add(ctx, b.clip, 75, late)
	requireProblem(t, err, "frame")
	_, err = b.Marks.Add(ctx, b.clip, -1, late)
	requireProblem(t, err, "frame")
	_, err = b.Marks.Add(ctx, b.clip, 4, "nobody's")
	requireProblem(t, err, "")

	n, err := b.Marks.Save(ctx, m.ID, early, 9, "elbow <b>&")
	require.NoError(t, err)
	require.Equal(t, m.ID, n.ID)
	require.Equal(t, int64(9*512), n.Ticks)
	require.Equal(t, []club.Mark{n}, b.ledger(t).Marks)
	_, err = b.Marks.Save(ctx, m.ID, early, 9, strings.Repeat("x", club.MaxNote+1))
	requireProblem(t, err, "note")

	require.NoError(t, b.Marks.Remove(ctx, m.ID))
	require.Empty(t, b.ledger(t).Marks)
	require.ErrorIs(t, b.Marks.Remove(ctx, m.ID), store.ErrUnknown)
}

func TestStrokesChange(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	s, err := b.Strokes.Add(ctx, b.clip, 12, club.Missed)
	require.NoError(t, err)
	require.Empty(t, s.Side, "left to the pattern of the drill")
	_, err = b.Strokes.Add(ctx, b.clip, 12, club.Good)
	requireProblem(t, err, "frame")
	_, err = b.Strokes.Add(ctx, b.clip, 13, "lucky")
	requireProblem(t, err, "outcome")
	s, err = b.Strokes.Save(ctx, s.ID, 12, club.Backhand, club.Good)
	require.NoError(t, err)
	require.Equal(t, []club.Stroke{s}, b.ledger(t).Strokes)
	require.NoError(t, b.Strokes.Remove(ctx, s.ID))
	require.Empty(t, b.ledger(t).Strokes)
}

func TestAMarkWithItsNote(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Marks.AddNoted(ctx, b.clip, 12, b.cat.Faults[0].ID, strings.Repeat("x", 1e5))
	requireProblem(t, err, "note")
	require.Empty(t, b.ledger(t).Marks, "not without it")
	m, err := b.Marks.AddNoted(ctx, b.clip, 12, b.cat.Faults[0].ID, "too late")
	require.NoError(t, err)
	require.Equal(t, []club.Mark{m}, b.ledger(t).Marks)
	require.Equal(t, "too late", m.Note)
}

func TestTurnsChange(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn := club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 40}
	saved, err := b.Turns.Save(ctx, turn)
	require.NoError(t, err)
	require.Equal(t, int64(40*512), saved.LastTicks)

	over := turn
	over.First, over.Last = 40, 60
	_, err = b.Turns.Save(ctx, over)
	requireProblem(t, err, "first")
	over.First, over.Last = 41, 75
	_, err = b.Turns.Save(ctx, over)
	requireProblem(t, err, "first")
	over.Last, over.PlayerID = 60, ""
	_, err = b.Turns.Save(ctx, over)
	requireProblem(t, err, "player")

	_, err = b.Marks.Add(ctx, b.clip, 30, b.cat.Faults[0].ID)
	require.NoError(t, err)
	require.NoError(t, b.Turns.Remove(ctx, saved.ID))
	require.Len(t, b.ledger(t).Marks, 1, "a mark stays when its turn goes")
}

func TestMovedClipIsFoundAgain(t *testing.T) {
	ctx := t.Context()
	root := t.TempDir()
	film := filepath.Join(root, "card", "a.mp4")
	copyFile(t, clips+"a01_baseline.mp4", film)
	d, err := desk.Open(ctx, filepath.Join(root, "library"), library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	added, err := d.Sessions.Add(ctx, "2026-03-14", []string{film}, nil)
	require.NoError(t, err)
	id := added[0].ClipID

	again, err := d.Sessions.Add(ctx, "2026-03-15", []string{clips + "a01_baseline.mp4"}, nil)
	require.NoError(t, err)
	require.Equal(t, id, again[0].ClipID)
	require.Contains(t, again[0].Say, "already")

	moved := filepath.Join(root, "elsewhere", "b.mp4")
	require.NoError(t, os.MkdirAll(filepath.Dir(moved), 0o700))
	require.NoError(t, os.Rename(film, moved))
	rows, err := d.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	require.Equal(t, id, rows.Sessions[0].Clips[0].ID)
	absent, err := d.Place.Absent(ctx, []club.ID{id, "none"})
	require.NoError(t, err)
	require.Equal(t, []place.Absent{{ClipID: id}}, absent)
	_, found, err := d.Check(ctx)
	require.NoError(t, err)
	require.Len(t, found, 1)

	_, err = d.Relink.Relink(ctx, id, clips+"a02_vfr_phone.mp4")
	requireProblem(t, err, "path")
	row, err := d.Relink.Relink(ctx, id, moved)
	require.NoError(t, err)
	require.False(t, row.Clip.Missing)

	// A clip that moved along with the library is found without asking.
	require.NoError(t, os.MkdirAll(filepath.Join(root, "clips"), 0o700))
	require.NoError(t, os.Rename(moved, filepath.Join(root, "clips", "b.mp4")))
	c, release, err := d.Footage.Open(ctx, id)
	require.NoError(t, err)
	defer release()
	_, err = c.JPEG(ctx, 74, 160)
	require.NoError(t, err, "dropped from the pool and opened at its new place")
}

func TestFilesThatCannotBeStepped(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	before, err := b.Library.State(ctx)
	require.NoError(t, err)
	paths := []string{clips + "a38_empty.mp4", clips + "a39_text.mp4", clips + "a20_cover_audio_only.m4a", clips + "a15_no_moov.mp4", clips + "none.mp4", clips}
	added, err := b.Sessions.Add(ctx, "2026-03-14", paths, nil)
	require.NoError(t, err)
	for _, row := range added {
		require.Empty(t, row.ClipID)
		require.Regexp(t, `^\S.*\.$`, row.Say)
		require.NotContains(t, row.Say, "\n")
	}
	after, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, before, after, "nothing was changed")
	_, err = b.Sessions.Add(ctx, "14.3.2026", paths, nil)
	requireProblem(t, err, "date")
}

func TestReviewWithoutTheFile(t *testing.T) {
	ctx := t.Context()
	root := t.TempDir()
	film := filepath.Join(root, "a.mp4")
	copyFile(t, clips+"a01_baseline.mp4", film)
	dir := filepath.Join(root, "library")
	d, err := desk.Open(ctx, dir, library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	added, err := d.Sessions.Add(ctx, "2026-03-14", []string{film}, nil)
	require.NoError(t, err)
	require.NoError(t, os.Remove(film))
	_, _, err = d.Footage.Open(ctx, added[0].ClipID)
	require.ErrorIs(t, err, clip.ErrGone)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	m, err := d.Marks.Add(ctx, added[0].ClipID, 10, cat.Faults[0].ID)
	require.NoError(t, err, "the cached index still knows the frames")
	require.Equal(t, int64(5120), m.Ticks)
}

func TestEnvelopeShowsContacts(t *testing.T) {
	b := newBench(t)
	peaks, err := b.Listening.Envelope(t.Context(), b.clip, 0, 0, 300)
	require.NoError(t, err)
	require.Equal(t, make([]float32, 300), peaks, "nothing is heard yet")
	b.listenToEnd(t, b.clip)
	peaks, err = b.Listening.Envelope(t.Context(), b.clip, 0, 3, 300) // 10 ms each
	require.NoError(t, err)
	require.Len(t, peaks, 300)
	for _, at := range []int{40, 120, 200} { // manifest: contacts at 0.4, 1.2 and 2.0 s
		loud := max(peaks[at-1], peaks[at], peaks[at+1])
		require.Greater(t, loud, 5*peaks[at-20], "contact at %d0 ms", at)
	}
}

func TestCoaches(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	only := b.cat.Coaches[0]
	only.Retired = true
	_, err := b.Catalogue.SaveCoach(ctx, only)
	requireProblem(t, err, "retired")
	second, err := b.Catalogue.SaveCoach(ctx, club.Coach{Name: "Second"})
	require.NoError(t, err)
	require.NoError(t, b.Library.SetCoach(ctx, second.ID))
	m, err := b.Marks.Add(ctx, b.clip, 1, b.cat.Faults[0].ID)
	require.NoError(t, err)
	require.Equal(t, second.ID, m.CoachID)
	b.reopen(t)
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, second.ID, st.CoachID)
}

// A clip in use stays open however many others are asked for meanwhile.
func TestManyClipsAtOnce(t *testing.T) {
	ctx := t.Context()
	d, err := desk.Open(ctx, filepath.Join(t.TempDir(), "library"), library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	var paths []string
	for _, name := range []string{"a01_baseline.mp4", "a02_vfr_phone.mp4", "a05_rot90cw.mov", "a06_rot180.mp4", "a08_sar_4_3.mp4", "a12_120fps.mp4"} {
		paths = append(paths, clips+name)
	}
	added, err := d.Sessions.Add(ctx, "2026-03-14", paths, nil)
	require.NoError(t, err)
	held, release, err := d.Footage.Open(ctx, added[0].ClipID)
	require.NoError(t, err)
	done := make(chan error)
	for i := range 12 {
		go func() {
			c, release, err := d.Footage.Open(ctx, added[i%len(added)].ClipID)
			if err == nil {
				_, err = c.JPEG(ctx, i, 160)
				release()
			}
			done <- err
		}()
	}
	for range 12 {
		require.NoError(t, <-done)
	}
	_, err = held.JPEG(ctx, 30, 160)
	require.NoError(t, err)
	release()
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	_, _, err = d.Footage.Open(cancelled, "nobody's")
	require.Error(t, err)
}

func requireProblem(t *testing.T, err error, field string) {
	t.Helper()
	p, ok := club.AsProblem(err)
	require.True(t, ok, "want a problem, got %v", err)
	require.Equal(t, field, p.Field)
	require.Regexp(t, `^\S.*\.$`, p.Say)
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o700))
	data, err := os.ReadFile(from)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(to, data, 0o600))
}

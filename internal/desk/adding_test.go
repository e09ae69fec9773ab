package desk_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/session"
)

// days lists the sessions with the names of their clips.
func (b *bench) days(t *testing.T) map[club.Date][]string {
	t.Helper()
	page, err := b.Sessions.List(t.Context(), session.Page{})
	require.NoError(t, err)
	got := map[club.Date][]string{}
	for _, s := range page.Sessions {
		got[s.Date] = []string{}
		for _, c := range s.Clips {
			got[s.Date] = append(got[s.Date], c.Name)
		}
	}
	return got
}

// Films of two days get two sessions, and all of it is one step of undo.
func TestAddOnIsOneStep(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	before := b.days(t)
	paths := []string{clips + "a12_120fps.mp4", clips + "a05_rot90cw.mov", clips + "a12_120fps.mp4", clips + "nothing.mp4", clips + "a01_baseline.mp4"}
	got, err := b.Sessions.AddOn(ctx, []string{"2026-03-14", "2026-03-15", "2026-03-15", "2026-03-15", "2026-03-15"}, paths, nil)
	require.NoError(t, err)
	require.Equal(t, got[0].ClipID, got[2].ClipID, "one file twice is one clip")
	require.Contains(t, got[2].Say, "in the library already")
	require.Empty(t, got[3].ClipID)
	require.NotEmpty(t, got[3].Say)
	require.Equal(t, b.clip, got[4].ClipID)
	require.Equal(t, map[club.Date][]string{"2026-03-14": {"a01_baseline.mp4", "a02_vfr_phone.mp4", "a12_120fps.mp4"}, "2026-03-15": {"a05_rot90cw.mov"}}, b.days(t))
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, "add 2 clips", st.Undo)
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, before, b.days(t))
	_, err = b.Sessions.AddOn(ctx, []string{"2026-03-14", "soon"}, paths[:2], nil)
	requireProblem(t, err, "date")
	require.Equal(t, before, b.days(t))
}

// A clip gets a title and goes to another day, with all that is entered on it.
func TestChangeClip(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Marks.Add(ctx, b.clip, 1, b.cat.Faults[0].ID)
	require.NoError(t, err)
	row, err := b.Sessions.Change(ctx, b.clip, " Forehand, first try ", "2026-03-20")
	require.NoError(t, err)
	require.Equal(t, "Forehand, first try", row.Name)
	require.Equal(t, map[club.Date][]string{"2026-03-14": {"a02_vfr_phone.mp4"}, "2026-03-20": {"Forehand, first try"}}, b.days(t))
	led, err := b.Library.OfClip(ctx, b.clip)
	require.NoError(t, err)
	require.Len(t, led.Marks, 1)
	require.NoError(t, err)
	_, err = b.Sessions.Change(ctx, b.clip, "", "2026-03-14")
	require.NoError(t, err)
	require.Equal(t, map[club.Date][]string{"2026-03-14": {"a01_baseline.mp4", "a02_vfr_phone.mp4"}}, b.days(t), "the session that was left empty is gone")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Len(t, b.days(t), 2)
	_, err = b.Sessions.Change(ctx, b.clip, strings.Repeat("n", 201), "2026-03-14")
	requireProblem(t, err, "title")
	_, err = b.Sessions.Change(ctx, b.clip, "x", "soon")
	requireProblem(t, err, "date")
}

// Where one missing clip of a folder is found, the others are looked for beside it; a title stays.
func TestRelinkFindsTheFolder(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	old, now := filepath.Join(t.TempDir(), "camera"), filepath.Join(t.TempDir(), "far", "away")
	require.NoError(t, os.MkdirAll(old, 0o700))
	require.NoError(t, os.MkdirAll(filepath.Dir(now), 0o700))
	var paths []string
	for _, name := range []string{"a12_120fps.mp4", "a05_rot90cw.mov", "a06_rot180.mp4"} {
		raw, err := os.ReadFile(clips + name)
		require.NoError(t, err)
		paths = append(paths, filepath.Join(old, name))
		require.NoError(t, os.WriteFile(paths[len(paths)-1], raw, 0o600))
	}
	added, err := b.Sessions.Add(ctx, "2026-03-15", paths, nil)
	require.NoError(t, err)
	_, err = b.Sessions.Change(ctx, added[1].ClipID, "Turned", "2026-03-15")
	require.NoError(t, err)
	require.NoError(t, os.Rename(old, now))
	require.NoError(t, os.WriteFile(filepath.Join(now, "a06_rot180.mp4"), []byte("another film"), 0o600))
	got, err := b.Relink.Relink(ctx, added[0].ClipID, filepath.Join(now, "a12_120fps.mp4"))
	require.NoError(t, err)
	require.Equal(t, 1, got.Others, "the third is another film now")
	row, err := b.Library.Clip(ctx, added[1].ClipID)
	require.NoError(t, err)
	require.Equal(t, []string{filepath.Join(now, "a05_rot90cw.mov"), "Turned"}, []string{row.Path, row.Name})
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	row, err = b.Library.Clip(ctx, added[1].ClipID)
	require.NoError(t, err)
	require.Equal(t, paths[1], row.Path, "one step of undo")
}

func TestPlayersOfClips(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	other, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: "Zoe", Hand: club.LeftHand})
	require.NoError(t, err)
	for i, player := range []club.ID{other.ID, b.player.ID, other.ID} {
		_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: player, DrillID: b.cat.Drills[0].ID, First: 20 * i, Last: 20*i + 9})
		require.NoError(t, err)
	}
	page, err := b.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	require.Equal(t, []club.ID{other.ID, b.player.ID}, page.Sessions[0].Clips[0].Players)
	require.Empty(t, page.Sessions[0].Clips[1].Players)
}

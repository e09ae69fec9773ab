package desk_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
)

// added is a new library with one file in it.
func added(t *testing.T, film string) (*desk.Desk, club.ID) {
	t.Helper()
	d, err := desk.Open(t.Context(), filepath.Join(t.TempDir(), "library"), library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })
	rows, err := d.Sessions.Add(t.Context(), "2026-03-14", []string{film}, nil)
	require.NoError(t, err)
	require.Empty(t, rows[0].Say)
	return d, rows[0].ClipID
}

func TestChoosingAnotherVideo(t *testing.T) {
	d, id := added(t, clips+"a27_two_videos.mkv")
	ctx := t.Context()
	show := func() (stream, width int) {
		v, err := d.Footage.View(ctx, id, nil)
		require.NoError(t, err)
		require.Equal(t, v.Info.Width, v.Clip.Width, "the row says what is shown")
		return v.Info.Stream, v.Info.Width
	}
	stream, width := show()
	require.Equal(t, 1, stream, "the default one")
	require.NoError(t, d.Footage.Choose(ctx, id, footage.Choice{Video: 1}))
	other, otherWidth := show()
	require.Equal(t, 0, other)
	require.NotEqual(t, width, otherWidth)
	requireProblem(t, d.Footage.Choose(ctx, id, footage.Choice{Video: 3}), "video")

	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Marks.Add(ctx, id, 3, cat.Faults[0].ID)
	require.NoError(t, err)
	requireProblem(t, d.Footage.Choose(ctx, id, footage.Choice{Video: 2}), "video")
	require.NoError(t, d.Footage.Choose(ctx, id, footage.Choice{Video: 1}), "the one that it shows")
	stream, _ = show()
	require.Equal(t, 0, stream)
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	require.NoError(t, d.PutLook(ctx, club.Look{ClipID: id, Last: 3, Faults: []club.ID{cat.Faults[0].ID}}))
	requireProblem(t, d.Footage.Choose(ctx, id, footage.Choice{Video: 2}), "video")
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	require.NoError(t, d.Footage.Choose(ctx, id, footage.Choice{Video: 2}), "back to the file's own")
	stream, _ = show()
	require.Equal(t, 1, stream)
}

func TestChoosingAnotherSound(t *testing.T) {
	d, id := added(t, clips+"a37_two_audio.mkv")
	ctx := t.Context()
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Marks.Add(ctx, id, 3, cat.Faults[0].ID)
	require.NoError(t, err)
	detected := func() int {
		v, err := d.Footage.View(ctx, id, nil)
		require.NoError(t, err)
		require.Len(t, v.Info.Sounds, 2)
		return v.Info.ChosenSound
	}
	was := detected()
	require.NoError(t, d.Footage.Choose(ctx, id, footage.Choice{Sound: 2 - was}), "marks do not mind")
	require.Equal(t, 1-was, detected())
}

// What was heard in one sound is not taken for what another holds.
func TestAnotherSoundIsHeardAnew(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	rows, err := b.Sessions.Add(ctx, "2026-03-14", []string{clips + "a37_two_audio.mkv"}, nil)
	require.NoError(t, err)
	id := rows[0].ClipID
	var waves [2][]float32
	for i := range waves {
		require.NoError(t, b.Footage.Choose(ctx, id, footage.Choice{Sound: i + 1}))
		h, err := b.Listening.Progress(ctx, id)
		require.NoError(t, err)
		require.Equal(t, listening.NotStarted, h.State)
		require.Equal(t, listening.Finished, b.listenToEnd(t, id).State)
		waves[i], err = b.Listening.Envelope(ctx, id, 0, 0, 100)
		require.NoError(t, err)
	}
	require.NotEqual(t, waves[0], waves[1])
	b.reopen(t)
	again, err := b.Listening.Envelope(ctx, id, 0, 0, 100)
	require.NoError(t, err)
	require.Equal(t, waves[1], again, "the one that was chosen is kept")
}

// A recording that is marked while it runs keeps its marks and gets the rest,
// while the bench is open and at the next start.
func TestMarkedRecordingThatGrows(t *testing.T) {
	whole, err := os.ReadFile(clips + "a03_start_10s.ts")
	require.NoError(t, err)
	film := filepath.Join(t.TempDir(), "match.ts")
	write := func(share int) { require.NoError(t, os.WriteFile(film, whole[:len(whole)*share/10], 0o600)) }
	write(4)
	d, id := added(t, film)
	ctx := t.Context()
	first, err := d.Footage.View(ctx, id, nil)
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	mark, err := d.Marks.Add(ctx, id, 5, cat.Faults[0].ID)
	require.NoError(t, err)
	grown, err := d.Footage.Grown(ctx, id)
	require.NoError(t, err)
	require.False(t, grown)

	write(7)
	grown, err = d.Footage.Grown(ctx, id)
	require.NoError(t, err)
	require.True(t, grown)
	ix, err := d.Footage.ReadOn(ctx, id)
	require.NoError(t, err)
	require.Greater(t, ix.Len(), first.Index.Len())
	row, err := d.Footage.Row(ctx, id)
	require.NoError(t, err)
	require.Equal(t, ix.Len(), row.Frames)
	require.False(t, row.Missing)
	grown, err = d.Footage.Grown(ctx, id)
	require.NoError(t, err)
	require.False(t, grown)
	_, err = d.Marks.Add(ctx, id, ix.Len()-1, cat.Faults[0].ID)
	require.NoError(t, err)

	require.NoError(t, d.Close())
	write(10)
	d, err = desk.Open(ctx, d.Library.Dir, library.Options{})
	require.NoError(t, err)
	defer d.Close()
	last, err := d.Footage.View(ctx, id, nil)
	require.NoError(t, err)
	require.Greater(t, last.Index.Len(), ix.Len())
	led, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	require.Len(t, led.Marks, 2)
	require.Equal(t, mark.Ticks, last.Index.Ticks(5))
	row, err = d.Footage.Row(ctx, id)
	require.NoError(t, err)
	require.Equal(t, last.Index.Len(), row.Frames)
}

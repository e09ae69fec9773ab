package desk_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
)

// encode makes another film of a clip with Debian's ffmpeg.
func encode(t *testing.T, from, to string, args ...string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o700))
	all := append([]string{"-v", "error", "-y", "-i", from}, append(args, to)...)
	out, err := exec.Command("ffmpeg", all...).CombinedOutput()
	require.NoError(t, err, string(out))
}

// marked is a library with a01 in a folder of its own, a turn, a stroke with its
// ready, and marks.
func marked(t *testing.T) (d *desk.Desk, film string, id club.ID) {
	t.Helper()
	d, _, film, id = oneClip(t)
	ctx := t.Context()
	p, err := d.Catalogue.SavePlayer(ctx, club.Player{Name: "Ines Varga", Hand: club.RightHand})
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Turns.Save(ctx, club.Turn{ClipID: id, PlayerID: p.ID, DrillID: cat.Drills[0].ID, First: 3, Last: 71})
	require.NoError(t, err)
	_, err = d.Strokes.Add(ctx, id, 20, club.Good)
	require.NoError(t, err)
	for _, frame := range []int{21, 40, 74} {
		_, err = d.Marks.Add(ctx, id, frame, cat.Faults[0].ID)
		require.NoError(t, err)
	}
	return d, film, id
}

// The same pictures encoded anew in place: the marks are shown by nobody until
// the coach has said that it is the same film, and then stand where they stood.
func TestFilmEncodedAnewInPlace(t *testing.T) {
	d, film, id := marked(t)
	ctx := t.Context()
	before, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	require.NoError(t, d.Close()) // the film that is open shows the old one still
	encode(t, clips+"a01_baseline.mp4", film, "-c:v", "libx264", "-crf", "35", "-video_track_timescale", "90000", "-c:a", "aac", "-b:a", "48k")
	d, err = desk.Open(ctx, d.Library.Dir, library.Options{})
	require.NoError(t, err)
	defer d.Close()
	_, _, err = d.Footage.Open(ctx, id)
	requireProblem(t, err, "path")

	r, err := d.Relink.Relink(ctx, id, film)
	require.NoError(t, err)
	require.NotNil(t, r.Alike)
	require.Zero(t, r.Alike.Moved)
	require.Contains(t, r.Alike.Say, "length and sound")
	require.Contains(t, r.Alike.Say, "Every entry keeps its frame.")
	same, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	require.Equal(t, before, same, "asking changes nothing")

	row, err := d.Relink.Adopt(ctx, id, film)
	require.NoError(t, err)
	require.False(t, row.Missing)
	after, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	for i, m := range after.Marks {
		require.Equal(t, before.Marks[i].Frame, m.Frame)
		require.InDelta(t, float64(before.Marks[i].Ticks)/12800, row.Base.Seconds(m.Ticks-row.FirstTicks), 0.001)
	}
	_, release, err := d.Footage.Open(ctx, id)
	require.NoError(t, err)
	release()
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	back, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	require.Equal(t, before, back)
}

// Half the frame rate: every entry goes to the picture nearest to its moment, and
// the coach is told how far that is.
func TestFilmWithOtherFramesIsAskedAbout(t *testing.T) {
	d, film, id := marked(t)
	ctx := t.Context()
	was, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	_, err = d.Looks.Through(ctx, was.Turns[0].ID, nil)
	require.NoError(t, err)
	slower := filepath.Join(filepath.Dir(film), "slower.mkv")
	encode(t, clips+"a01_baseline.mp4", slower, "-r", "12.5", "-c:v", "libx264", "-c:a", "aac")
	r, err := d.Relink.Relink(ctx, id, slower)
	require.NoError(t, err)
	require.NotNil(t, r.Alike)
	require.Equal(t, 6, r.Alike.Moved, "the turn, the stroke, three marks and the look")
	require.LessOrEqual(t, r.Alike.Most, 0.081)
	require.Contains(t, r.Alike.Say, "6 entries")
	row, err := d.Relink.Adopt(ctx, id, slower)
	require.NoError(t, err)
	led, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	for i, frame := range []int{21, 40, 74} {
		require.InDelta(t, float64(frame)/25, row.Base.Seconds(led.Marks[i].Ticks-row.FirstTicks), r.Alike.Most+1e-9)
	}
	turn, look := led.Turns[0], led.Looks[0]
	require.Equal(t, []int64{int64(turn.First), int64(turn.Last), turn.FirstTicks, turn.LastTicks}, []int64{int64(look.First), int64(look.Last), look.FirstTicks, look.LastTicks})
	ledger, files, err := d.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, append(ledger, files...))
}

// Another sound, another length, or a film that is in the library already, is
// another film.
func TestFilmThatIsNotAlike(t *testing.T) {
	d, film, id := marked(t)
	ctx := t.Context()
	dir := filepath.Dir(film)
	for name, args := range map[string][]string{
		"shorter.mp4": {"-t", "2", "-c:v", "libx264", "-c:a", "aac"},
		"mute.mp4":    {"-an", "-c:v", "libx264"},
		"other.mp4":   {"-c:v", "libx264", "-c:a", "aac", "-af", "areverse"},
	} {
		path := filepath.Join(dir, name)
		encode(t, clips+"a01_baseline.mp4", path, args...)
		_, err := d.Relink.Relink(ctx, id, path)
		requireProblem(t, err, "path")
		_, err = d.Relink.Adopt(ctx, id, path)
		requireProblem(t, err, "path")
	}
	added, err := d.Sessions.Add(ctx, "2026-03-15", []string{clips + "a12_120fps.mp4"}, nil)
	require.NoError(t, err)
	require.NotEmpty(t, added[0].ClipID)
	_, err = d.Relink.Relink(ctx, id, clips+"a12_120fps.mp4")
	requireProblem(t, err, "path")
}

// A file that was renamed, whose drive was mounted under another name, or whose
// folder was renamed, is found by its bytes without asking.
func TestFilmIsFoundUnderAnotherName(t *testing.T) {
	for name, to := range map[string]string{
		"renamed":           "card/DCIM/holiday.mp4",
		"another drive":     "drive 2/DCIM/a.mp4",
		"beside the ledger": "clips/b.mp4",
	} {
		t.Run(name, func(t *testing.T) {
			ctx, root := t.Context(), t.TempDir()
			film := filepath.Join(root, "card", "DCIM", "a.mp4")
			copyFile(t, clips+"a01_baseline.mp4", film)
			d, err := desk.Open(ctx, filepath.Join(root, "library"), library.Options{Create: true})
			require.NoError(t, err)
			defer d.Close()
			added, err := d.Sessions.Add(ctx, "2026-03-14", []string{film}, nil)
			require.NoError(t, err)
			to := filepath.Join(root, to)
			require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o700))
			require.NoError(t, os.Rename(film, to))
			if name == "another drive" {
				require.NoError(t, os.RemoveAll(filepath.Join(root, "card")))
			}
			row, err := d.Footage.Row(ctx, added[0].ClipID)
			require.NoError(t, err)
			require.Equal(t, to, row.Path)
			require.False(t, row.Missing)
		})
	}
}

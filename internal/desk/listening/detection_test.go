package listening_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/demo/hall"
	"strokeledger/internal/desk/listening"
)

// A rally that is drawn, encoded, decoded and heard: every contact within 10 ms of
// when its sound reaches the camera, on clip time, with its kind and its side.
func TestDetectInAFilm(t *testing.T) {
	scene := *demo.Make(1).Scenes[0]
	scene.Frames = 10 * demo.Rate
	path := filepath.Join(t.TempDir(), scene.File)
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, film.Write(t.Context(), &scene, path, nil))

	var truth []demo.Contact
	var moments []float64
	for _, c := range scene.Contacts {
		if c.Kind != demo.OnOther && scene.SoundArrives(c) < scene.Seconds(scene.Frames)-.1 {
			truth, moments = append(truth, c), append(moments, scene.SoundArrives(c))
		}
	}
	require.Greater(t, len(truth), 10)
	last := 0.0
	all, err := listening.Detect(t.Context(), path, func(done, end float64) {
		require.Greater(t, done, last)
		require.InDelta(t, 10, end, .1)
		last = done
	})
	require.NoError(t, err)
	require.InDelta(t, 10, last, .1)
	found, at := played(all)
	pairs := contact.Match(moments, at, .010)
	require.Len(t, pairs, len(truth))
	require.Len(t, found, len(truth))
	for _, p := range pairs {
		require.EqualValues(t, truth[p[0]].Kind, found[p[1]].Kind, "at %.2f s", moments[p[0]])
		require.EqualValues(t, truth[p[0]].Who, found[p[1]].Who, "at %.2f s", moments[p[0]])
	}
}

func played(all []contact.Contact) (found []contact.Contact, at []float64) {
	for _, c := range all {
		if c.Kind != contact.Other {
			found, at = append(found, c), append(at, c.Seconds)
		}
	}
	return found, at
}

// A plain sound file counts from its first sample, at any rate; one at a rate too
// low to tell much is raised.
func TestDetectInASoundFile(t *testing.T) {
	dir := t.TempDir()
	const rate = 44100
	sound := hall.Make(hall.Clean, 11, 25, rate)
	var truth []float64
	for _, c := range sound.Truth {
		truth = append(truth, c.Seconds)
	}
	for name, args := range map[string][]string{
		"plain.wav": nil, "stereo.flac": {"-ac", "2"}, "talk.m4a": {"-c:a", "aac", "-b:a", "96k"}, "high.wav": {"-ar", "96000"},
	} {
		path := filepath.Join(dir, name)
		writeSound(t, path, sound, args...)
		all, err := listening.Detect(t.Context(), path, nil)
		require.NoError(t, err, name)
		_, at := played(all)
		f, _, _ := contact.Score(truth, at, .010)
		require.GreaterOrEqual(t, f, .95, name)
	}
	low := filepath.Join(dir, "low.wav")
	writeSound(t, low, sound, "-ar", "8000")
	_, err := listening.Detect(t.Context(), low, nil)
	require.NoError(t, err)
}

func TestDetectWhereNothingCanBe(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "notes.txt")
	require.NoError(t, os.WriteFile(text, []byte("no sound in here\n"), 0o600))
	_, err := listening.Detect(t.Context(), text, nil)
	require.ErrorIs(t, err, clip.ErrNotMedia)
	_, err = listening.Detect(t.Context(), filepath.Join(dir, "gone.wav"), nil)
	require.ErrorIs(t, err, clip.ErrGone)
	_, err = listening.Detect(t.Context(), filepath.Join("..", "..", "..", "testdata", "clips", "a08_sar_4_3.mp4"), nil)
	problem, ok := club.AsProblem(err)
	require.True(t, ok, err)
	require.Equal(t, "file", problem.Field)
}

func TestUnsureWhereRacketAndTableSoundAlike(t *testing.T) {
	for condition, unsure := range map[hall.Condition]bool{hall.Alike: true, hall.MuchDuller: false} {
		path := filepath.Join(t.TempDir(), "sound.wav")
		writeSound(t, path, hall.Make(condition, 6001, 40, 48000))
		found, err := listening.Detect(t.Context(), path, nil)
		require.NoError(t, err)
		require.NotEmpty(t, found)
		require.Equal(t, unsure, found.Unsure(), condition)
	}
}

// writeSound writes one channel as FFmpeg makes it of the file's name and more arguments.
func writeSound(t *testing.T, path string, sound hall.Recording, args ...string) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, binary.Write(&b, binary.LittleEndian, sound.Samples))
	cmd := exec.Command("ffmpeg", append(append([]string{"-v", "error", "-f", "f32le", "-ar", strconv.Itoa(sound.Rate), "-ac", "1", "-i", "-"}, args...), path)...)
	cmd.Stdin = &b
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
}

package film

import (
	"context"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/demo"
)

// short is the start of a scene, long enough for its first rally.
func short(t *testing.T, scene int, seconds float64) *demo.Scene {
	s := *demo.Make(1).Scenes[scene]
	s.Frames = int(seconds * demo.Rate)
	require.Greater(t, s.Seconds(s.Frames), s.Contacts[3].Seconds)
	return &s
}

func TestFilmHoldsTheScene(t *testing.T) {
	s := short(t, 0, 3)
	path := filepath.Join(t.TempDir(), s.File)
	var last, calls int
	require.NoError(t, Write(context.Background(), s, path, func(done, total int) {
		require.Greater(t, done, last)
		require.Equal(t, s.Frames, total)
		last, calls = done, calls+1
	}))
	require.Equal(t, s.Frames, last)
	require.Equal(t, 6, calls)

	// Ticks in the ledger are the file's own.
	require.Equal(t, av.TickBase(demo.PictureBase()), demo.FileBase())
	out, err := exec.Command("ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "stream=time_base:frame=pts", "-of", "csv=p=0", path).Output()
	require.NoError(t, err)
	lines := strings.Fields(string(out))
	require.Len(t, lines, s.Frames+1)
	for n := range s.Frames {
		require.Equal(t, s.Ticks(n), atoi(t, strings.Trim(lines[n], ",")), "picture %d", n)
	}
	require.Equal(t, demo.FileBase().String(), strings.Trim(lines[s.Frames], ","))

	pictures := decode(t, path)
	require.Len(t, pictures, s.Frames)
	for _, n := range []int{0, 71, s.Frames - 1} {
		require.Less(t, difference(still(s, n), pictures[n]), 3.0, "picture %d, mean difference of a channel", n)
	}
	require.Greater(t, difference(still(s, 71), pictures[80]), 0.25, "another picture differs")
	decoded(t, s, path)
}

// decoded checks that each contact of the film begins when its sound reaches the
// camera: within a millisecond, ten times better than the 10 ms that one can ask
// of a phone.
func decoded(t *testing.T, s *demo.Scene, path string) {
	raw, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-f", "s16le", "-ac", "1", "-").Output()
	require.NoError(t, err)
	sound := make([]float64, len(raw)/2)
	for i := range sound {
		sound[i] = float64(int16(uint16(raw[2*i])|uint16(raw[2*i+1])<<8)) / 32768
	}
	checked := 0
	for _, c := range s.Contacts {
		at := s.SoundArrives(c)
		if at > s.Seconds(s.Frames)-0.05 {
			break
		}
		peak := loudest(sound, at-0.005, at+0.02)
		require.Greater(t, peak, 0.03, "%s at %.3f s is heard", c.Kind, at)
		for i := int((at - 0.03) * demo.SoundRate); ; i++ {
			if math.Abs(sound[i]) > peak/3 {
				require.InDelta(t, at, float64(i)/demo.SoundRate, 0.001, "%s at %.3f s", c.Kind, at)
				break
			}
		}
		checked++
	}
	require.Greater(t, checked, 4)
	require.Less(t, loudest(sound, 0, 0.2), 0.02, "the hall is quiet before the first ball")
	require.Greater(t, loudest(sound, 0, 0.2), 0.0005, "but not dead")
}

func loudest(s []float64, from, to float64) (peak float64) {
	for i := max(0, int(from*demo.SoundRate)); i < int(to*demo.SoundRate); i++ {
		peak = max(peak, math.Abs(s[i]))
	}
	return peak
}

// A racket is bright and a table dull: what tells them apart is in the films too.
func TestRacketAndTableSoundDifferent(t *testing.T) {
	s := short(t, 0, 6)
	sound := track(s)
	ratio := map[string][]float64{}
	for _, c := range s.Contacts {
		from := int(s.SoundArrives(c) * demo.SoundRate)
		if c.Kind == demo.OnOther || from+480 > len(sound) {
			continue
		}
		var all, high float64
		for i := from + 1; i < from+480; i++ {
			// The difference of neighbours is a high-pass.
			d := float64(sound[i] - sound[i-1])
			all += float64(sound[i]) * float64(sound[i])
			high += d * d
		}
		ratio[c.Kind] = append(ratio[c.Kind], high/all)
	}
	for _, r := range ratio[demo.OnRacket] {
		for _, b := range ratio[demo.OnTable] {
			require.Greater(t, r, 4*b)
		}
	}
}

func TestFilmStopsWhenAsked(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	scenes := []*demo.Scene{short(t, 0, 4), short(t, 1, 4)}
	err := WriteAll(ctx, scenes, dir, func(done, total int) {
		require.Equal(t, 400, total)
		if done >= 50 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)

	require.NoError(t, WriteAll(context.Background(), []*demo.Scene{short(t, 0, 3), short(t, 1, 3)}, dir, nil))
	for _, s := range scenes {
		require.FileExists(t, filepath.Join(dir, s.File))
	}
}

func TestSamePictureEveryTime(t *testing.T) {
	one, two := demo.Make(5), demo.Make(5)
	for _, n := range []int{0, 300, 620} {
		require.Equal(t, still(one.Scenes[2], n).Pix, still(two.Scenes[2], n).Pix)
	}
	require.Equal(t, track(one.Scenes[2]), track(two.Scenes[2]))
}

// A film for tests of measuring has every picture in its place; those that are not
// measured repeat another.
func TestOnlyWhatIsMeasuredIsDrawn(t *testing.T) {
	s := short(t, 0, 4)
	path := filepath.Join(t.TempDir(), s.File)
	require.NoError(t, WriteMeasured(context.Background(), s, path))
	pictures := decode(t, path)
	require.Len(t, pictures, s.Frames)
	drawn, last := 0, 0
	for n := range s.Frames {
		if s.Measured(n) {
			last = n
			drawn++
		}
		if n%5 == 0 {
			require.Less(t, difference(still(s, last), pictures[n]), 3.0, "picture %d", n)
		}
	}
	require.Less(t, drawn, s.Frames*2/3)
	require.Greater(t, drawn, s.Frames/5)
}

// decode is every picture of a film as RGB, by FFmpeg's own reading of its tags.
func decode(t *testing.T, path string) []*image.RGBA {
	raw, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-sws_flags", "accurate_rnd+full_chroma_int",
		"-vf", "scale=in_color_matrix=bt709:in_range=tv:out_range=pc", "-pix_fmt", "rgba", "-f", "rawvideo", "-").Output()
	require.NoError(t, err)
	const size = demo.Width * demo.Height * 4
	require.Zero(t, len(raw)%size)
	var all []*image.RGBA
	for ; len(raw) > 0; raw = raw[size:] {
		all = append(all, &image.RGBA{Pix: raw[:size:size], Stride: demo.Width * 4, Rect: image.Rect(0, 0, demo.Width, demo.Height)})
	}
	return all
}

func difference(a, b *image.RGBA) float64 {
	sum := 0.0
	for i := range a.Pix {
		if i%4 != 3 {
			sum += math.Abs(float64(a.Pix[i]) - float64(b.Pix[i]))
		}
	}
	return sum / float64(len(a.Pix)*3/4)
}

func atoi(t *testing.T, s string) int64 {
	var v int64
	for _, c := range s {
		require.True(t, c >= '0' && c <= '9', s)
		v = 10*v + int64(c-'0')
	}
	return v
}

// still is one picture of a scene, as Write would encode it.
func still(s *demo.Scene, frame int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, demo.Width, demo.Height))
	newPainter(s).paint(img, frame)
	return img
}

package av

import (
	"encoding/json"
	"image"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/timecode"
)

// patches are full-range sRGB colours that tell the two matrices and the two
// ranges apart.
func patches() []color.RGBA {
	return []color.RGBA{{255, 0, 0, 255}, {0, 255, 0, 255}, {0, 0, 255, 255}, {255, 255, 255, 255}, {0, 0, 0, 255}, {200, 120, 40, 255}}
}

func patchPicture(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	colours := patches()
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, colours[x*len(colours)/w])
		}
	}
	return img
}

// clicks is silence with a click of one millisecond at each time.
func clicks(rate int, seconds float64, channels int, at ...float64) []float32 {
	s := make([]float32, int(seconds*float64(rate))*channels)
	for _, t := range at {
		for i := range rate / 1000 {
			for c := range channels {
				s[(int(math.Round(t*float64(rate)))+i)*channels+c] = float32(0.8 * math.Cos(float64(i)*math.Pi/4))
			}
		}
	}
	return s
}

func TestFilmHasEveryPictureAndColour(t *testing.T) {
	path := filepath.Join(t.TempDir(), "colours ß 1.mp4")
	rate := timecode.Base{Num: 1, Den: 50}
	f, err := Create(path, FilmOptions{Width: 480, Height: 270, Rate: rate, CRF: 12})
	require.NoError(t, err)
	defer f.Abort()
	img := patchPicture(480, 270)
	const count = 77 // not a whole number of groups
	for range count {
		require.NoError(t, f.Picture(img))
	}
	_, err = os.Stat(path)
	require.ErrorIs(t, err, os.ErrNotExist, "the name appears only when the film is whole")
	require.NoError(t, f.Close())
	require.NoError(t, f.Close(), "closing twice")
	require.Error(t, f.Picture(img), "a closed film takes nothing")

	probe := ffprobe(t, path)
	require.Len(t, probe.Streams, 1)
	v := probe.Streams[0]
	require.Equal(t, strconv.Itoa(count), v.NbReadFrames)
	require.Equal(t, []string{"h264", "yuv420p", "tv", "bt709", "bt709", "bt709", "50/1"},
		[]string{v.CodecName, v.PixFmt, v.ColorRange, v.ColorSpace, v.ColorPrimaries, v.ColorTransfer, v.AvgFrameRate})
	require.Equal(t, TickBase(rate).String(), v.TimeBase)
	require.Equal(t, "0", probe.Frames[0]["pts"])
	for n, frame := range probe.Frames {
		require.Equal(t, strconv.FormatInt(timecode.Rescale(int64(n), rate, TickBase(rate)), 10), frame["pts"], "picture %d", n)
	}

	// FFmpeg's own reading of the tags, with exact colour arithmetic.
	raw, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-frames:v", "1", "-sws_flags", "accurate_rnd+full_chroma_int",
		"-vf", "scale=in_color_matrix=bt709:in_range=tv:out_range=pc", "-pix_fmt", "rgb24", "-f", "rawvideo", "-").Output()
	require.NoError(t, err)
	for i, want := range patches() {
		at := (135*480 + 40 + 80*i) * 3
		for c, w := range []uint8{want.R, want.G, want.B} {
			require.InDelta(t, float64(w), float64(raw[at+c]), 3, "patch %d channel %d is %v", i, c, raw[at:at+3])
		}
	}
}

func TestFilmKeepsSoundOnThePicturesClock(t *testing.T) {
	for _, channels := range []int{1, 2} {
		path := filepath.Join(t.TempDir(), "clicks.mp4")
		f, err := Create(path, FilmOptions{Width: 64, Height: 64, Rate: timecode.Base{Num: 1001, Den: 30000}, SoundRate: 48000, SoundChannels: channels})
		require.NoError(t, err)
		defer f.Abort()
		at := []float64{0.05, 0.5, 1.337, 1.95}
		samples := clicks(48000, 2, channels, at...)
		img := image.NewRGBA(image.Rect(0, 0, 64, 64))
		for i := range 60 {
			require.NoError(t, f.Picture(img))
			// Odd portions: the film gathers whole AAC frames itself.
			from, to := i*len(samples)/60/channels*channels, (i+1)*len(samples)/60/channels*channels
			require.NoError(t, f.Samples(samples[from:to]))
		}
		require.NoError(t, f.Close())

		got := decodeMono(t, path)
		require.InDelta(t, 96000, len(got), 1024, "samples; AAC keeps whole frames of 1024")
		for _, want := range at {
			// The priming of AAC is 1024 samples, 21 ms: a film that forgot it fails.
			require.InDelta(t, want, onset(got, want), 0.001, "click")
		}
	}
}

// onset is the time of the first loud sample near a time.
func onset(s []float32, near float64) float64 {
	from := max(0, int((near-0.045)*48000))
	for i := from; i < len(s) && i < from+4320; i++ {
		if math.Abs(float64(s[i])) > 0.3 {
			return float64(i) / 48000
		}
	}
	return math.NaN()
}

func TestFilmTellsNothingOfItsMaker(t *testing.T) {
	path := filepath.Join(t.TempDir(), "plain.mp4")
	made := time.Date(2026, 9, 8, 17, 30, 0, 0, time.UTC)
	f, err := Create(path, FilmOptions{Width: 64, Height: 64, Rate: timecode.Base{Num: 1, Den: 25}, SoundRate: 48000, Recorded: made})
	require.NoError(t, err)
	defer f.Abort()
	for range 30 {
		require.NoError(t, f.Picture(image.NewRGBA(image.Rect(0, 0, 64, 64))))
		require.NoError(t, f.Samples(make([]float32, 1920)))
	}
	require.NoError(t, f.Close())
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, name := range []string{"Lavf", "Lavc", "x264", "encoder"} {
		require.NotContains(t, string(raw), name)
	}
	probe := ffprobe(t, path)
	require.Equal(t, "2026-09-08T17:30:00.000000Z", probe.Format.Tags["creation_time"])
}

func TestFilmLeavesNothingBehindWhenGivenUp(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "kept.mp4")
	require.NoError(t, os.WriteFile(path, []byte("before"), 0o600))
	o := FilmOptions{Width: 64, Height: 64, Rate: timecode.Base{Num: 1, Den: 25}, SoundRate: 48000}

	f, err := Create(path, o)
	require.NoError(t, err)
	require.NoError(t, f.Picture(image.NewRGBA(image.Rect(0, 0, 64, 64))))
	f.Abort()
	f.Abort()
	require.Error(t, f.Close())

	f, err = Create(path, o)
	require.NoError(t, err)
	require.ErrorContains(t, f.Picture(image.NewRGBA(image.Rect(0, 0, 32, 32))), "32 x 32")
	require.ErrorContains(t, f.Samples(make([]float32, 8)), "32 x 32", "the first failure stays")
	require.ErrorContains(t, f.Close(), "32 x 32")

	f, err = Create(path, o)
	require.NoError(t, err)
	require.ErrorContains(t, f.Close(), "no picture")

	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "before", string(kept))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "temporary files are gone")

	for _, bad := range []FilmOptions{{Width: 63, Height: 64, Rate: o.Rate}, {Width: 64, Height: 64}, {Width: 64, Height: 64, Rate: o.Rate, SoundRate: 48000, SoundChannels: 3}} {
		_, err := Create(path, bad)
		require.Error(t, err)
	}
	_, err = Create(filepath.Join(dir, "nowhere", "x.mp4"), o)
	require.ErrorIs(t, err, os.ErrNotExist)
}

// Films that are opened and closed again and again must not keep C memory.
func TestFilmsFreeTheirMemory(t *testing.T) {
	dir := t.TempDir()
	img := patchPicture(640, 360)
	once := func() {
		f, err := Create(filepath.Join(dir, "again.mp4"), FilmOptions{Width: 640, Height: 360, Rate: timecode.Base{Num: 1, Den: 50}, SoundRate: 48000, Threads: 1})
		require.NoError(t, err)
		for range 3 {
			require.NoError(t, f.Picture(img))
			require.NoError(t, f.Samples(make([]float32, 960)))
		}
		require.NoError(t, f.Close())
	}
	for range 10 {
		once()
	}
	before := resident(t)
	for range 60 {
		once()
	}
	// Films that kept their encoders would hold over 5 MB each, 300 in all; what
	// the allocator keeps for later varies by some ten.
	require.Less(t, resident(t)-before, 100<<20, "bytes kept after 60 films")
}

func resident(t *testing.T) int {
	raw, err := os.ReadFile("/proc/self/statm")
	require.NoError(t, err)
	pages, err := strconv.Atoi(strings.Fields(string(raw))[1])
	require.NoError(t, err)
	return pages * os.Getpagesize()
}

type probed struct {
	Streams []struct {
		CodecName      string `json:"codec_name"`
		PixFmt         string `json:"pix_fmt"`
		ColorRange     string `json:"color_range"`
		ColorSpace     string `json:"color_space"`
		ColorPrimaries string `json:"color_primaries"`
		ColorTransfer  string `json:"color_transfer"`
		AvgFrameRate   string `json:"avg_frame_rate"`
		TimeBase       string `json:"time_base"`
		NbReadFrames   string `json:"nb_read_frames"`
	}
	Frames []map[string]string
	Format struct{ Tags map[string]string }
}

func ffprobe(t *testing.T, path string) probed {
	out, err := exec.Command("ffprobe", "-v", "error", "-count_frames", "-show_streams", "-show_format", "-of", "json", path).Output()
	require.NoError(t, err)
	var p probed
	require.NoError(t, json.Unmarshal(out, &p))
	out, err = exec.Command("ffprobe", "-v", "error", "-select_streams", "v:0", "-show_entries", "frame=pts", "-of", "csv=p=0", path).Output()
	require.NoError(t, err)
	for _, line := range strings.Fields(string(out)) {
		p.Frames = append(p.Frames, map[string]string{"pts": strings.Trim(line, ",")})
	}
	return p
}

func decodeMono(t *testing.T, path string) []float32 {
	raw, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-ac", "1", "-ar", "48000", "-f", "s16le", "-").Output()
	require.NoError(t, err)
	s := make([]float32, len(raw)/2)
	for i := range s {
		s[i] = float32(int16(uint16(raw[2*i])|uint16(raw[2*i+1])<<8)) / 32768
	}
	return s
}

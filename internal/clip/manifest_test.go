package clip_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
)

const testdata = "../../testdata"

// manifest is the truth about the shared clips, made together with them.
type manifest struct {
	Cases []*footage `json:"cases"`
}

type footage struct {
	read map[string]int // numbers already read from JPEG files, by their bytes

	ID       string `json:"id"`
	File     string `json:"file"`
	Outcome  string `json:"outcome"`
	Reason   string `json:"reason"`
	Recorded string `json:"recorded_at_utc"`
	Video    *struct {
		Stream     int              `json:"stream_index"`
		Base       string           `json:"time_base"`
		Display    [2]int           `json:"display_size"`
		Coded      [2]int           `json:"coded_size"`
		Rotation   int              `json:"rotation_cw"`
		Mirrored   bool             `json:"mirrored"`
		IDs        []int            `json:"frame_ids"`
		Times      []float64        `json:"frame_times"`
		Leading    []int            `json:"optional_leading_ids"`
		Damaged    []int            `json:"damaged_ids"`
		Patch      map[string][]int `json:"patch_rgb"`
		FramesOver int              `json:"frames_if_complete"`
	} `json:"video"`
	Audio []struct {
		Stream    int       `json:"stream_index"`
		First     float64   `json:"first_sample_time"`
		Seconds   float64   `json:"decoded_seconds"`
		Contacts  []float64 `json:"contact_times"`
		Tolerance float64   `json:"tolerance"`
		Default   bool      `json:"default"`
	} `json:"audio"`
}

func cases(t testing.TB) []*footage {
	b, err := os.ReadFile(filepath.Join(testdata, "manifest.json"))
	require.NoError(t, err)
	var m manifest
	require.NoError(t, json.Unmarshal(b, &m))
	require.Len(t, m.Cases, 45)
	return m.Cases
}

func (f *footage) path() string { return filepath.Join(testdata, f.File) }

func (f *footage) open(t testing.TB, o clip.Options) *clip.Clip {
	c, err := clip.Open(context.Background(), f.path(), o)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	require.NoError(t, c.Indexed(context.Background()))
	return c
}

func (f *footage) damaged(id int) bool {
	for _, d := range f.Video.Damaged {
		if d == id {
			return true
		}
	}
	return false
}

// number reads the number burned into a picture: 16 cells over the full width in
// the top quarter, 1 0 1, twelve bits, odd parity, and their complement below.
func number(img image.Image) (int, error) {
	b := img.Bounds()
	bright := func(x, y float64) int {
		px := color.GrayModel.Convert(img.At(b.Min.X+int(x*float64(b.Dx())), b.Min.Y+int(y*float64(b.Dy())))).(color.Gray)
		if px.Y > 128 {
			return 1
		}
		return 0
	}
	var bits [16]int
	ones := 0
	for i := range bits {
		x := (float64(i) + .5) / 16
		bits[i] = bright(x, .125)
		if bright(x, .375) == bits[i] {
			return 0, fmt.Errorf("cell %d equals its complement", i)
		}
	}
	id := 0
	for _, bit := range bits[3:15] {
		id = id<<1 | bit
		ones += bit
	}
	if bits[0] != 1 || bits[1] != 0 || bits[2] != 1 || (ones+bits[15])%2 != 1 {
		return 0, fmt.Errorf("not a number: %v", bits)
	}
	if bright(.25, .875) != 0 || bright(.75, .875) != 1 {
		return 0, errors.New("the bottom is not dark on the left and bright on the right")
	}
	return id, nil
}

func TestEveryCaseOpensOrSaysWhyNot(t *testing.T) {
	kinds := map[string]error{"a15": clip.ErrUnfinished, "a20": clip.ErrNoVideo, "a38": clip.ErrEmpty, "a39": clip.ErrNotMedia}
	for _, f := range cases(t) {
		t.Run(f.ID, func(t *testing.T) {
			c, err := clip.Open(context.Background(), f.path(), clip.Options{})
			if f.Outcome == "clear_error" {
				require.ErrorIs(t, err, kinds[f.ID])
				require.Regexp(t, `^[^\n]+[.]$`, err.Error())
				return
			}
			require.NoError(t, err)
			defer c.Close()
			require.NoError(t, c.Indexed(context.Background()))
			info, v := c.Info(), f.Video
			require.Equal(t, v.Display, [2]int{info.Width, info.Height}, "shown size")
			require.Equal(t, v.Coded, [2]int{info.CodedWidth, info.CodedHeight}, "coded size")
			require.Equal(t, v.Rotation, info.Rotation)
			require.Equal(t, v.Mirrored, info.Mirrored)
			require.Equal(t, v.Base, info.Base.String())
			if f.Recorded != "" {
				at, err := clip.Recorded(context.Background(), f.path())
				require.NoError(t, err)
				require.True(t, at.Equal(info.RecordedAt), at)
				require.Equal(t, f.Recorded, info.RecordedAt.UTC().Format("2006-01-02T15:04:05Z07:00"))
			}
			checkTimes(t, f, c)
		})
	}
}

// checkTimes compares count and times with the manifest.
func checkTimes(t *testing.T, f *footage, c *clip.Clip) {
	v, x := f.Video, c.Index()
	lead := x.Len() - len(v.IDs)
	switch {
	case f.Outcome == "opens_partial":
		require.Contains(t, []int{0, 1}, lead, "at most one more picture")
		lead = 0
	case len(v.Leading) > 0:
		require.Contains(t, []int{0, len(v.Leading)}, lead)
	default:
		require.Zero(t, lead, "frame count %d", x.Len())
	}
	base := c.Info().Base
	tolerance := max(.001, .51*base.Seconds(1))
	for i, want := range v.Times {
		n := i + lead
		require.InDelta(t, want, x.FileSeconds(n), tolerance, "file time of frame %d", n)
		require.InDelta(t, want-v.Times[0], x.Seconds(n)-x.Seconds(lead), tolerance, "clip time of frame %d", n)
		if x.Seconds(n) > x.Seconds(max(0, n-1)) && (n+1 == x.Len() || x.Seconds(n+1) > x.Seconds(n)) {
			require.Equal(t, n, x.FrameAt(x.Seconds(n)))
		}
	}
	require.Zero(t, x.Seconds(0))
	require.Greater(t, x.EndSeconds(), x.Seconds(x.Len()-1))
}

func TestEveryFrameShowsItsOwnNumber(t *testing.T) {
	for _, f := range cases(t) {
		if f.Outcome == "clear_error" {
			continue
		}
		t.Run(f.ID, func(t *testing.T) {
			count := f.open(t, clip.Options{}).Index().Len()
			rnd := rand.New(rand.NewPCG(1, uint64(len(f.ID))))
			f.read = map[string]int{}
			walks := map[string][]int{"in order": nil, "backwards": nil, "jumps": nil}
			for n := range count {
				walks["in order"] = append(walks["in order"], n)
				walks["backwards"] = append(walks["backwards"], count-1-n)
			}
			for range 200 {
				walks["jumps"] = append(walks["jumps"], rnd.IntN(count))
			}
			for name, walk := range walks {
				t.Run(name, func(t *testing.T) {
					c := f.open(t, clip.Options{})
					for _, n := range walk {
						f.check(t, c, n)
					}
				})
			}
		})
	}
}

// check reads the number out of frame n, from the JPEG and now and then from the
// exact picture.
func (f *footage) check(t *testing.T, c *clip.Clip, n int) {
	ctx := context.Background()
	lead := 0
	if len(f.Video.Leading) > 0 {
		lead = c.Index().Len() - len(f.Video.IDs)
	}
	if n-lead >= len(f.Video.IDs) {
		return // the one more picture of a file that was cut off
	}
	want := 0
	if n < lead {
		want = f.Video.Leading[n]
	} else {
		want = f.Video.IDs[n-lead]
	}
	if f.damaged(want) {
		_, err := c.JPEG(ctx, n, 0)
		require.NoError(t, err)
		return
	}
	data, err := c.JPEG(ctx, n, 0)
	require.NoError(t, err, "frame %d", n)
	got, known := f.read[string(data)]
	if !known {
		img, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, f.Video.Display, [2]int{img.Bounds().Dx(), img.Bounds().Dy()})
		got, err = number(img)
		require.NoError(t, err, "frame %d", n)
		f.read[string(data)] = got
	}
	require.Equal(t, want, got, "JPEG of frame %d", n)
	if n%7 == 0 {
		exact, err := c.Image(ctx, n)
		require.NoError(t, err)
		got, err := number(exact)
		require.NoError(t, err)
		require.Equal(t, want, got, "picture of frame %d", n)
		got, err = number(onScreen(t, c, n))
		require.NoError(t, err)
		require.Equal(t, want, got, "pixels of frame %d", n)
	}
}

// onScreen is what the window shows of frame n in full size.
func onScreen(t *testing.T, c *clip.Clip, n int) image.Image {
	t.Helper()
	look := c.Look()
	pixels, err := c.Screen(context.Background(), n, look)
	require.NoError(t, err)
	require.Len(t, pixels, 4*look.Width*look.Height)
	img := image.NewRGBA(image.Rect(0, 0, look.Width, look.Height))
	for i := 0; i < len(pixels); i += 4 {
		img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = pixels[i+2], pixels[i+1], pixels[i], 255
	}
	return img
}

func TestColours(t *testing.T) {
	for _, f := range cases(t) {
		if f.Outcome != "opens" || f.Video.Patch == nil {
			continue
		}
		t.Run(f.ID, func(t *testing.T) {
			c := f.open(t, clip.Options{})
			exact, err := c.Image(context.Background(), 3)
			require.NoError(t, err)
			data, err := c.JPEG(context.Background(), 3, 0)
			require.NoError(t, err)
			small, err := jpeg.Decode(bytes.NewReader(data))
			require.NoError(t, err)
			for i, name := range []string{"red", "green", "blue"} {
				want := f.Video.Patch[name]
				for _, img := range []image.Image{exact, small, onScreen(t, c, 3)} {
					r, g, b, _ := img.At(320*(2*i+1)/6, 180*9/16).RGBA()
					for k, got := range []uint32{r >> 8, g >> 8, b >> 8} {
						// The manifest allows 8: the coding is lossy.
						require.LessOrEqual(t, math.Abs(float64(got)-float64(want[k])), 8., "%s of %T: %d %d %d", name, img, r>>8, g>>8, b>>8)
					}
				}
			}
		})
	}
}

func TestSoundStandsOnThePicturesClock(t *testing.T) {
	for _, f := range cases(t) {
		if len(f.Audio) == 0 {
			continue
		}
		t.Run(f.ID, func(t *testing.T) {
			info := f.open(t, clip.Options{}).Info()
			require.Len(t, info.Sounds, len(f.Audio))
			for i, a := range f.Audio {
				s := info.Sounds[i]
				require.Equal(t, a.Stream, s.Stream)
				zero := f.Video.Times[0]
				// Priming may be told as an earlier start (note of a13), one AAC block.
				require.InDelta(t, a.First-zero, s.FirstSeconds, .0225, "first sample")
				c := f.open(t, clip.Options{Sound: i + 1})
				samples, first, err := c.Samples(context.Background(), -10, 100, 0)
				require.NoError(t, err)
				require.InDelta(t, s.FirstSeconds, first, 1e-3)
				require.InDelta(t, a.Seconds, float64(len(samples))/float64(s.Rate), .05)
				if a.Default {
					require.Equal(t, i, info.ChosenSound)
				}
				for _, want := range a.Contacts {
					require.InDelta(t, want-zero, onset(samples, first, s.Rate, want-zero), a.Tolerance, "contact, whole sound")
					part, at, err := c.Samples(context.Background(), want-zero-.1, want-zero+.1, 48000)
					require.NoError(t, err)
					require.InDelta(t, want-zero, onset(part, at, 48000, want-zero), a.Tolerance, "contact, a part of the sound")
				}
			}
		})
	}
}

// onset is when the sound within 0.1 s of a time first passes a fifth of its peak.
func onset(samples []float32, first float64, rate int, near float64) float64 {
	at := func(i int) float64 { return first + float64(i)/float64(rate) }
	peak := 0.
	for i, s := range samples {
		if math.Abs(at(i)-near) < .1 {
			peak = max(peak, math.Abs(float64(s)))
		}
	}
	for i, s := range samples {
		if math.Abs(at(i)-near) < .1 && math.Abs(float64(s)) > peak/5 {
			return at(i)
		}
	}
	return math.NaN()
}

package reel_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/reel"
	"strokeledger/internal/timecode"
)

const clips = "../../../testdata/clips"

// source opens a shared clip, and counts who has it open.
func source(name string, open *atomic.Int32) reel.Source {
	return func(ctx context.Context) (reel.Footage, reel.Times, func(), error) {
		c, err := clip.Open(ctx, filepath.Join(clips, name), clip.Options{})
		if err != nil {
			return nil, nil, nil, err
		}
		if err := c.Indexed(ctx); err != nil {
			c.Close()
			return nil, nil, nil, err
		}
		if open != nil {
			open.Add(1)
		}
		return c, c.Index(), func() {
			if open != nil {
				open.Add(-1)
			}
			c.Close()
		}, nil
	}
}

// film is what ffprobe and ffmpeg, not this program, read of a finished film.
type film struct {
	Streams []struct {
		CodecName  string            `json:"codec_name"`
		CodecType  string            `json:"codec_type"`
		Width      int               `json:"width"`
		Height     int               `json:"height"`
		PixFmt     string            `json:"pix_fmt"`
		Rate       string            `json:"r_frame_rate"`
		SampleRate string            `json:"sample_rate"`
		Channels   int               `json:"channels"`
		Frames     string            `json:"nb_read_frames"`
		Tags       map[string]string `json:"tags"`
	} `json:"streams"`
	Format struct {
		Duration string            `json:"duration"`
		Tags     map[string]string `json:"tags"`
	} `json:"format"`
}

func probe(t *testing.T, path string) (f film) {
	t.Helper()
	out, err := exec.Command("ffprobe", "-v", "error", "-count_frames", "-show_streams", "-show_format", "-of", "json", path).Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(out, &f))
	return f
}

// luma decodes all pictures of a film to grey.
func luma(t *testing.T, path string, w, h int) [][]byte {
	t.Helper()
	out, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-f", "rawvideo", "-pix_fmt", "gray", "-").Output()
	require.NoError(t, err)
	require.Zero(t, len(out)%(w*h))
	var list [][]byte
	for ; len(out) > 0; out = out[w*h:] {
		list = append(list, out[:w*h])
	}
	return list
}

// number reads the number burned into the shared clips: 16 cells over the full
// width of the picture in its top quarter, 1 0 1, twelve bits, odd parity.
func number(grey []byte, w int, place image.Rectangle) (int, error) {
	var bits [16]int
	ones := 0
	for i := range bits {
		x := place.Min.X + int((float64(i)+.5)/16*float64(place.Dx()))
		y := place.Min.Y + int(.125*float64(place.Dy()))
		if grey[y*w+x] > 128 {
			bits[i] = 1
		}
	}
	id := 0
	for _, b := range bits[3:15] {
		id = id<<1 | b
		ones += b
	}
	if bits[0] != 1 || bits[1] != 0 || bits[2] != 1 || (ones+bits[15])%2 != 1 {
		return 0, fmt.Errorf("not a number: %v", bits)
	}
	return id, nil
}

// Each piece shows exactly the frames that were planned, whatever its clip's
// shape, rate and sound; counted and read by FFmpeg.
func TestFilmShowsTheFramesPlanned(t *testing.T) {
	const w, h = 640, 360
	rate := timecode.Base{Num: 1, Den: 50}
	for _, c := range []struct {
		name   string
		moment int
	}{
		{"a01_baseline.mp4", 30}, {"a01_baseline.mp4", 0}, {"a01_baseline.mp4", 1 << 20}, {"a05_rot90cw.mov", 12}, {"a07_mirror.mp4", 9},
		{"a08_sar_4_3.mp4", 10}, {"a12_120fps.mp4", 60}, {"a13_audio_late.mp4", 20}, {"a02_vfr_phone.mp4", 33}, {"a24_gop600.mp4", 201},
		{"a22_one_frame.mp4", 0}, {"a11_hevc10_hlg.mov", 7}, {"a21_vp9_odd.webm", 13},
	} {
		t.Run(fmt.Sprintf("%s at %d", c.name, c.moment), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "out.mp4")
			footage, err := clip.Open(context.Background(), filepath.Join(clips, c.name), clip.Options{})
			require.NoError(t, err)
			defer footage.Close()
			require.NoError(t, footage.Indexed(context.Background()))
			x := footage.Index()
			moment := min(c.moment, x.Len()-1)
			at := x.Seconds(moment)
			piece := reel.Piece{
				Source: source(c.name, nil), From: at - 0.5, To: at + 0.3, Moment: moment,
				Drawn:   []picture.Drawing{{Kind: picture.Line, First: moment + 1, Last: moment + 1, Places: []picture.Point{{X: 0.2, Y: 0.8}, {X: 0.6, Y: 0.9}}}},
				Caption: reel.Caption{Code: "LATE", Title: "Late return to ready", Foot: "M. S."},
			}
			o := reel.Options{Width: w, Height: h, Rate: rate, Slow: 4, Around: 0.1, Hold: 0.2}
			want, band := reel.Plan(piece, x, o), reel.Band([]reel.Piece{piece}, o)
			n, err := reel.Write(context.Background(), path, []reel.Piece{piece}, o)
			require.NoError(t, err)
			require.Equal(t, len(want), n)

			f := probe(t, path)
			require.Len(t, f.Streams, 2)
			v, a := f.Streams[0], f.Streams[1]
			require.Equal(t, []any{"h264", "yuv420p", w, h, "50/1", strconv.Itoa(n)}, []any{v.CodecName, v.PixFmt, v.Width, v.Height - band, v.Rate, v.Frames})
			require.Equal(t, []any{"aac", "48000", 1}, []any{a.CodecName, a.SampleRate, a.Channels})
			seconds, err := strconv.ParseFloat(f.Format.Duration, 64)
			require.NoError(t, err)
			require.InDelta(t, float64(n)/50, seconds, 0.03, "sound as long as the pictures")

			place := middle(footage.Info().Width, footage.Info().Height, w, h)
			pictures := luma(t, path, w, h+band)
			require.Len(t, pictures, n)
			ids := ids(t, footage)
			for i, grey := range pictures {
				got, err := number(grey, w, place)
				require.NoError(t, err, "picture %d", i)
				require.Equal(t, ids[want[i]], got, "picture %d of the film", i)
			}
			// The moment stands still for the time asked for, and so does what is drawn on one frame.
			held := map[int]int{}
			for _, n := range want {
				held[n]++
			}
			require.GreaterOrEqual(t, held[moment], 1+10, "once as filmed, then held for 0.2 s")
			if moment+1 < x.Len() && x.Seconds(moment+1)-at < o.Around {
				require.GreaterOrEqual(t, held[moment+1], 10)
			}
		})
	}
}

// middle is where a picture of one shape stands in another, within two pixels.
func middle(w, h, outW, outH int) image.Rectangle {
	scale := math.Min(float64(outW)/float64(w), float64(outH)/float64(h))
	sw, sh := int(float64(w)*scale), int(float64(h)*scale)
	return image.Rect((outW-sw)/2, (outH-sh)/2, (outW+sw)/2, (outH+sh)/2)
}

// ids is the number burned into each frame.
func ids(t *testing.T, c *clip.Clip) []int {
	t.Helper()
	list := make([]int, c.Index().Len())
	for n := range list {
		img, err := c.Image(context.Background(), n)
		require.NoError(t, err)
		grey := make([]byte, img.Rect.Dx()*img.Rect.Dy())
		for i := range grey {
			p := img.Pix[4*i:]
			grey[i] = byte((int(p[0]) + 2*int(p[1]) + int(p[2])) / 4)
		}
		list[n], err = number(grey, img.Rect.Dx(), img.Rect)
		require.NoError(t, err)
	}
	return list
}

// Clips of every shape, with and without sound, become one film.
func TestPiecesOfAllKindsBecomeOneFilm(t *testing.T) {
	var open atomic.Int32
	var pieces []reel.Piece
	for i, name := range []string{"a05_rot90cw.mov", "a12_120fps.mp4", "a33_gray.mkv", "a37_two_audio.mkv", "a09_mbaff_tff.ts", "a31_no_pts.avi"} {
		pieces = append(pieces, reel.Piece{
			Source: source(name, &open), From: 0.1, To: 0.7, Moment: 5 + i,
			Drawn: []picture.Drawing{
				{Kind: []picture.DrawingKind{picture.Arrow, picture.Circle}[i%2], First: 5 + i, Last: 5 + i, Places: []picture.Point{{X: 0.2, Y: 0.8}, {X: 0.6, Y: 0.6}}},
				{Kind: picture.Angle, First: 1, Last: 4, Places: []picture.Point{{X: 0.2, Y: 0.8}, {X: 0.6, Y: 0.6}, {X: 0.3, Y: -1}}},
				{Kind: picture.Text, First: 2, Last: 9, Places: []picture.Point{{X: 1, Y: 1}}, Text: "Füße früher — 足を早く"},
			},
			Caption: reel.Caption{
				Code: "ELBOW", Title: "Unstable elbow, which wanders from the body in the backswing and comes back too late for the next ball, again and again",
				Cue: "肘を動かさない — Ellbogen ruhig, der Unterarm öffnet sich wie eine Tür", Foot: "M. S. · Rückhand diagonal · 2 March 2026",
			},
		})
	}
	last := 0
	path := filepath.Join(t.TempDir(), "all.mp4")
	o := reel.Options{
		Width: 640, Height: 360, Rate: timecode.Base{Num: 1, Den: 25}, Around: 0.2, Closing: []string{"Made with Strokeledger", "Definitions"},
		Progress: func(done, total int) {
			require.GreaterOrEqual(t, done, last)
			require.LessOrEqual(t, done, total)
			last = done
		},
	}
	n, err := reel.Write(context.Background(), path, pieces, o)
	require.NoError(t, err)
	require.Zero(t, open.Load(), "every clip was let go")
	require.Equal(t, n, last)
	f := probe(t, path)
	require.Equal(t, strconv.Itoa(n), f.Streams[0].Frames)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "for the owner alone")

	// The index stands before the pictures: the film can be shown while it is copied.
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Less(t, bytes.Index(raw, []byte("moov")), bytes.Index(raw, []byte("mdat")))
	// Nothing tells of place, device or encoder.
	for k := range f.Format.Tags {
		require.Contains(t, []string{"major_brand", "minor_version", "compatible_brands"}, k)
	}
	for _, s := range f.Streams {
		for k, v := range s.Tags {
			require.Contains(t, []string{"language", "handler_name", "vendor_id"}, k, v)
		}
	}
	for _, word := range []string{"x264", "Lavf", "Lavc", "FFmpeg", "loci", "\xa9xyz"} {
		require.NotContains(t, string(raw), word)
	}
}

// What is written stands below the pictures: nothing of them is covered, whatever it is.
func TestCaptionsCoverNothing(t *testing.T) {
	const w, h = 640, 360
	film := func(c reel.Caption) (pictures [][]byte, band int) {
		path := filepath.Join(t.TempDir(), "film.mp4")
		pieces := []reel.Piece{{Source: source("a01_baseline.mp4", nil), From: 0.1, To: 0.3, Moment: 5, Caption: c}}
		o := reel.Options{Width: w, Height: h, Rate: timecode.Base{Num: 1, Den: 25}, Around: 0.1, Hold: 0.2}
		_, err := reel.Write(context.Background(), path, pieces, o)
		require.NoError(t, err)
		band = reel.Band(pieces, o)
		return luma(t, path, w, h+band), band
	}
	plain, low := film(reel.Caption{})
	written, high := film(reel.Caption{Code: "NEAR", Title: "Standing too close", Cue: strings.Repeat("One step back from the table. ", 9), Foot: "M. S. · 2 March 2026"})
	require.Greater(t, high, low, "room for the text")
	require.Equal(t, len(plain), len(written))
	for i := range plain {
		apart, bright := 0, 0
		for at := range w * h {
			apart = max(apart, int(written[i][at])-int(plain[i][at]), int(plain[i][at])-int(written[i][at]))
		}
		for _, v := range written[i][w*h:] {
			if v > 180 {
				bright++
			}
		}
		require.Less(t, apart, 60, "picture %d is covered", i) // the encoder alone makes 30
		require.Greater(t, bright, 500, "picture %d has no caption", i)
	}
}

// A part fills the film, as it is in the clip's own picture and upright.
func TestFilmOfAPart(t *testing.T) {
	for _, name := range []string{"a01_baseline.mp4", "a05_rot90cw.mov", "a07_mirror.mp4", "a11_hevc10_hlg.mov"} {
		t.Run(name, func(t *testing.T) {
			footage, err := clip.Open(context.Background(), filepath.Join(clips, name), clip.Options{})
			require.NoError(t, err)
			defer footage.Close()
			require.NoError(t, footage.Indexed(context.Background()))
			const moment, side = 8, 96
			img, err := footage.Image(context.Background(), moment)
			require.NoError(t, err)
			at := image.Pt(img.Rect.Dx()/2-30, img.Rect.Dy()/2-60)
			part := image.Rectangle{Min: at.Div(2).Mul(2), Max: at.Div(2).Mul(2).Add(image.Pt(side, side))}
			path := filepath.Join(t.TempDir(), "out.mp4")
			pieces := []reel.Piece{{Source: source(name, nil), From: 0, To: 0.5, Moment: moment, Part: part}}
			o := reel.Options{Width: side, Height: side, Rate: timecode.Base{Num: 1, Den: 25}, Around: 0.1, Hold: 0.2, Silent: true}
			want := reel.Plan(pieces[0], footage.Index(), o)
			_, err = reel.Write(context.Background(), path, pieces, o)
			require.NoError(t, err)
			band := reel.Band(pieces, o)
			pictures := luma(t, path, side, side+band)
			apart := func(shift int) (mean float64) {
				grey := pictures[slices.Index(want, moment)]
				for y := range side {
					for x := range side {
						c := img.RGBAAt(part.Min.X+x+shift, part.Min.Y+y)
						luma := .2126*float64(c.R) + .7152*float64(c.G) + .0722*float64(c.B)
						mean += math.Abs(luma-float64(grey[y*side+x])) / side / side
					}
				}
				return mean
			}
			require.Less(t, apart(0), 6., "the part")
			require.Greater(t, apart(-40), 2*apart(0), "and no other")
		})
	}
}

func TestSoundStaysWithItsPicture(t *testing.T) {
	// The shared clip sounds at known times; the film repeats them shifted by its start.
	var truth struct {
		Cases []struct {
			File  string
			Audio []struct {
				Contacts []float64 `json:"contact_times"`
			}
			Video struct {
				Times []float64 `json:"frame_times"`
			}
		}
	}
	b, err := os.ReadFile("../../../testdata/manifest.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, &truth))
	found := 0
	for _, c := range truth.Cases {
		if filepath.Base(c.File) != "a01_baseline.mp4" {
			continue
		}
		path := filepath.Join(t.TempDir(), "sound.mp4")
		_, err := reel.Write(context.Background(), path, []reel.Piece{{Source: source("a01_baseline.mp4", nil), From: 0.4, To: 100, Moment: -1}},
			reel.Options{Width: 640, Height: 360, Rate: timecode.Base{Num: 1, Den: 25}})
		require.NoError(t, err)
		raw, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-f", "s16le", "-ac", "1", "-ar", "48000", "-").Output()
		require.NoError(t, err)
		for _, at := range c.Audio[0].Contacts {
			want := at - c.Video.Times[0] - 0.4
			if want < 0.05 {
				continue
			}
			found++
			loud := -1.0
			for i := int((want - 0.04) * 48000); i < int((want+0.04)*48000); i++ {
				if v := int16(uint16(raw[2*i]) | uint16(raw[2*i+1])<<8); v > 4000 || v < -4000 {
					loud = float64(i) / 48000
					break
				}
			}
			require.InDelta(t, want, loud, 0.003, "contact at %v", at)
		}
	}
	require.Positive(t, found)
}

func TestFilmStopsAndLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.mp4")
	require.NoError(t, os.WriteFile(path, []byte("before"), 0o600))
	o := reel.Options{Width: 640, Height: 360, Rate: timecode.Base{Num: 1, Den: 25}}
	var open atomic.Int32
	good := reel.Piece{Source: source("a01_baseline.mp4", &open), To: 3, Moment: 20}
	untouched := func() {
		t.Helper()
		list, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, list, 1)
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, "before", string(b))
		require.Zero(t, open.Load())
	}
	ctx, cancel := context.WithCancel(context.Background())
	stopping := o
	stopping.Progress = func(int, int) { cancel() }
	_, err := reel.Write(ctx, path, []reel.Piece{good, good, good}, stopping)
	require.ErrorIs(t, err, context.Canceled)
	untouched()

	trouble := errors.New("trouble")
	bad := reel.Piece{Source: func(context.Context) (reel.Footage, reel.Times, func(), error) { return nil, nil, nil, trouble }}
	_, err = reel.Write(context.Background(), path, []reel.Piece{good, bad, good}, o)
	require.ErrorIs(t, err, trouble)
	untouched()

	_, err = reel.Write(context.Background(), path, []reel.Piece{{Source: source("a01_baseline.mp4", &open), From: 500, To: 501, Moment: -1}}, o)
	require.ErrorIs(t, err, reel.ErrNothing)
	untouched()
	_, err = reel.Write(context.Background(), filepath.Join(dir, "absent", "out.mp4"), []reel.Piece{good}, o)
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestFormatSuitsMostPieces(t *testing.T) {
	hd := reel.Shape{Width: 1920, Height: 1080, Rate: 50}
	phone := reel.Shape{Width: 1080, Height: 1920, Rate: 29.87}
	for _, c := range []struct {
		shapes []reel.Shape
		w, h   int
		rate   string
	}{
		{[]reel.Shape{hd, phone, hd}, 1920, 1080, "1/50"},
		{[]reel.Shape{phone, hd, phone}, 1080, 1920, "1001/30000"},
		{[]reel.Shape{{3840, 2160, 239.76}}, 1920, 1080, "1001/60000"},
		{[]reel.Shape{{320, 180, 25}}, 640, 360, "1/25"},
		{[]reel.Shape{{1281, 721, 12}}, 1282, 722, "1/25"},
		{[]reel.Shape{{2, 2000, 60}}, 2, 1920, "1/60"},
		{nil, 1280, 720, "1/25"},
	} {
		w, h, rate := reel.Format(c.shapes)
		require.Equal(t, []any{c.w, c.h, c.rate}, []any{w, h, rate.String()}, "%v", c.shapes)
	}
}

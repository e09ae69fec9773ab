package reel_test

import (
	"context"
	"image"
	"math"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/reel"
	"strokeledger/internal/timecode"
)

// Beside each picture stands the one of the other clip that was taken at the same time,
// whatever the rates of both and where they vary; counted and read by FFmpeg.
func TestFilmOfTwoShowsTheSameMoments(t *testing.T) {
	const w, h = 968, 270 // two of 480 with the ground between them
	rate := timecode.Base{Num: 1, Den: 50}
	for _, c := range []struct {
		one, other      string
		moment, besides int
		left            bool
	}{
		{"a01_baseline.mp4", "a02_vfr_phone.mp4", 30, 33, false}, {"a12_120fps.mp4", "a01_baseline.mp4", 60, 20, true},
		{"a02_vfr_phone.mp4", "a12_120fps.mp4", 33, 50, false}, {"a01_baseline.mp4", "a01_baseline.mp4", 40, 5, false},
		{"a01_baseline.mp4", "a07_mirror.mp4", 3, 9, false},
	} {
		t.Run(c.one+" beside "+c.other, func(t *testing.T) {
			ctx := context.Background()
			var films [2]*clip.Clip
			for i, name := range []string{c.one, c.other} {
				f, err := clip.Open(ctx, filepath.Join(clips, name), clip.Options{})
				require.NoError(t, err)
				defer f.Close()
				require.NoError(t, f.Indexed(ctx))
				films[i] = f
			}
			x, y := films[0].Index(), films[1].Index()
			at := x.Seconds(c.moment)
			var open atomic.Int32
			path := filepath.Join(t.TempDir(), "out.mp4")
			_, err := reel.Write(ctx, path, []reel.Piece{{
				Source: source(c.one, &open), From: at - 0.4, To: at + 0.4, Moment: c.moment,
				Beside: &reel.Beside{Source: source(c.other, &open), Moment: c.besides, Left: c.left, Drawn: []picture.Drawing{
					{Kind: picture.Line, First: c.besides + 1, Last: c.besides + 1, Places: []picture.Point{{X: 0.2, Y: 0.8}, {X: 0.6, Y: 0.9}}}}},
			}}, reel.Options{Width: w, Height: h, Rate: rate, Silent: true, Hold: 0.4, Around: 0.1})
			require.NoError(t, err)
			require.Zero(t, open.Load())

			made := probe(t, path)
			height := made.Streams[0].Height
			left, right := reel.Boxes(w, h)
			own, other := left, right
			if c.left {
				own, other = right, left
			}
			drawn, passed := c.besides+1, true // whether the piece has no picture to which it is the nearest
			for n := range x.Len() {
				moment := x.Seconds(n) - at + y.Seconds(c.besides)
				if y.Seconds(drawn-1)+y.Seconds(drawn) <= 2*moment && 2*moment <= y.Seconds(drawn)+y.Seconds(drawn+1) {
					passed = false
				}
			}
			pictures := luma(t, path, w, height)
			require.Greater(t, len(pictures), 20)
			met, held := false, 0
			for i, grey := range pictures {
				a, err := number(grey, w, shownIn(own, films[0]))
				require.NoError(t, err, "picture %d", i)
				b, err := number(grey, w, shownIn(other, films[1]))
				require.NoError(t, err, "picture %d", i)
				met = met || a == c.moment && b == c.besides
				if b == drawn {
					held++
				}
				// No other picture of the other clip is nearer to that moment, but where something
				// is drawn on one that would not be met.
				moment := x.Seconds(a) - at
				apart := func(k int) float64 { return math.Abs(y.Seconds(k) - y.Seconds(c.besides) - moment) }
				for k := range y.Len() {
					if b == drawn && passed {
						require.Less(t, apart(b), y.Seconds(b+2)-y.Seconds(b), "picture %d", i)
						break
					}
					require.LessOrEqual(t, apart(b), apart(k)+2e-6, "picture %d: %d stands beside %d, and %d is nearer", i, b, a, k)
				}
			}
			require.True(t, met, "the two frames that are one moment stand beside each other")
			require.GreaterOrEqual(t, held, 20, "what is drawn on one frame of the other stands still")
		})
	}
}

// shownIn is where a clip's picture lies in a box.
func shownIn(box image.Rectangle, c *clip.Clip) image.Rectangle {
	l := c.Look()
	scale := min(float64(box.Dx())/float64(l.Width), float64(box.Dy())/float64(l.Height))
	w, h := int(float64(l.Width)*scale), int(float64(l.Height)*scale)
	at := box.Min.Add(image.Pt((box.Dx()-w)/2, (box.Dy()-h)/2))
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
}

package av

import (
	"errors"
	"image"
	"image/color"
	"math"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/timecode"
)

// shared is the path of a clip that other tests use as well.
func shared(name string) string { return filepath.Join("../../../testdata/clips", name) }

// firstPicture decodes the first picture of a clip.
func firstPicture(t testing.TB, path string) (*Picture, Look) {
	t.Helper()
	s, err := OpenSource(path)
	require.NoError(t, err)
	defer s.Close()
	for _, st := range s.Streams() {
		if st.Kind != Video || st.Cover {
			continue
		}
		s.Choose(st.Index)
		d, err := NewDecoder(s, 1)
		require.NoError(t, err)
		defer d.Close()
		for {
			p, err := d.Receive()
			if err == nil {
				t.Cleanup(p.Close)
				return p, LookOf(st)
			}
			require.ErrorIs(t, err, ErrAgain)
			if _, err := s.Next(); errors.Is(err, ErrEnd) {
				d.Drain()
				continue
			}
			_ = d.Feed(s, 0)
		}
	}
	t.Fatal("no video")
	return nil, Look{}
}

// rgb reads one point of a film picture by the formulas of ITU-R BT.709 and BT.1886 range.
func (c *FilmPicture) rgb(x, y int) [3]float64 {
	n := c.native()
	sample := func(plane, x, y int) float64 {
		return float64(*(*uint8)(unsafe.Add(unsafe.Pointer(n.data[plane]), y*int(n.linesize[plane])+x)))
	}
	l := (sample(0, x, y) - 16) / 219 * 255
	cb, cr := (sample(1, x/2, y/2)-128)/224*255, (sample(2, x/2, y/2)-128)/224*255
	clamp := func(v float64) float64 { return min(255, max(0, v)) }
	return [3]float64{clamp(l + 1.5748*cr), clamp(l - 0.1873*cb - 0.4681*cr), clamp(l + 1.8556*cb)}
}

// A film picture shows what the view shows, whatever the clip's turn, mirror, pixel shape,
// colours and depth.
func TestFilmPicturesShowWhatIsShown(t *testing.T) {
	for _, name := range []string{
		"a01_baseline.mp4", "a05_rot90cw.mov", "a06_rot180.mp4", "a07_mirror.mp4", "a08_sar_4_3.mp4", "a09_mbaff_tff.ts",
		"a11_hevc10_hlg.mov", "a18_mjpeg.avi", "a21_vp9_odd.webm", "a23_prores.mov", "a33_gray.mkv", "a34_alpha.mov",
		"a35a_bt709.mp4", "a35b_bt601.mp4", "a35c_full.mp4",
	} {
		t.Run(name, func(t *testing.T) {
			p, look := firstPicture(t, shared(name))
			f, err := NewFitter(640, 480, 0)
			require.NoError(t, err)
			defer f.Close()
			c, err := f.Fit(p, look)
			require.NoError(t, err)
			defer c.Close()
			at := f.Place(look)
			require.InDelta(t, float64(look.Width)/float64(look.Height), float64(at.Dx())/float64(at.Dy()), 0.03, "shape")
			shown := look
			shown.Width, shown.Height = at.Dx(), at.Dy()
			view := NewView()
			defer view.Close()
			img, err := view.RGBA(p, shown)
			require.NoError(t, err)
			off, points := 0.0, 0
			for y := 4; y < at.Dy(); y += 9 {
				for x := 4; x < at.Dx(); x += 9 {
					want, got := img.RGBAAt(x, y), c.rgb(at.Min.X+x, at.Min.Y+y)
					for i, w := range []uint8{want.R, want.G, want.B} {
						off += math.Abs(float64(w) - got[i])
						points++
					}
				}
			}
			require.Less(t, off/float64(points), 4.0, "mean distance of a colour")
			for _, q := range []image.Point{{0, 0}, {639, 479}} {
				if !q.In(at) {
					require.Equal(t, [3]float64{}, c.rgb(q.X, q.Y), "black beside the picture")
				}
			}
		})
	}
}

func TestOverlayBlends(t *testing.T) {
	p, look := firstPicture(t, shared("a35a_bt709.mp4"))
	f, err := NewFitter(320, 240, 0)
	require.NoError(t, err)
	defer f.Close()
	c, err := f.Fit(p, look)
	require.NoError(t, err)
	below := c.rgb(101, 101)
	copied, err := f.Fit(p, look)
	require.NoError(t, err)
	defer copied.Close()
	img := image.NewRGBA(image.Rect(0, 0, 61, 31))
	for y := range 31 {
		for x := range 61 {
			if x < 30 {
				img.Set(x, y, color.RGBA{200, 40, 90, 255})
			} else {
				img.Set(x, y, color.RGBA{0, 0, 0, 128})
			}
		}
	}
	o := NewOverlay(img, image.Pt(81, 91))
	require.NoError(t, c.Lay(o))
	for i, w := range []float64{200, 40, 90} {
		require.InDelta(t, w, c.rgb(90, 100)[i], 4)
	}
	got := c.rgb(121, 101)
	half := copied.rgb(121, 101)
	for i := range got {
		require.InDelta(t, half[i]/2, got[i], 4)
	}
	require.Equal(t, copied.rgb(60, 100), c.rgb(60, 100), "beside it")
	require.Equal(t, below, copied.rgb(101, 101), "the other is its own")
	require.Error(t, c.Lay(NewOverlay(img, image.Pt(300, 0))))
	// The memory of a closed film picture is used again, without what was in it.
	c.Close()
	again, err := f.Fit(p, look)
	require.NoError(t, err)
	require.Same(t, c, again)
	require.Equal(t, below, again.rgb(101, 101))
	// Nor does what was laid beside the picture stay.
	bar := image.Pt(60, 4)
	require.False(t, bar.In(f.Place(look)), "a bar is above the picture")
	require.NoError(t, again.Lay(NewOverlay(img, image.Pt(56, 0))))
	require.NotEqual(t, [3]float64{}, again.rgb(bar.X, bar.Y))
	again.Close()
	third, err := f.Fit(p, look)
	require.NoError(t, err)
	require.Same(t, again, third)
	require.Equal(t, [3]float64{}, third.rgb(bar.X, bar.Y))
	third.Close()
	blank, err := f.Blank()
	require.NoError(t, err)
	defer blank.Close()
	require.Equal(t, [3]float64{}, blank.rgb(160, 120))
}

func TestFilmOfPictures(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cels.mp4")
	p, look := firstPicture(t, shared("a35b_bt601.mp4"))
	f, err := NewFitter(320, 240, 0)
	require.NoError(t, err)
	defer f.Close()
	film, err := Create(path, FilmOptions{Width: 320, Height: 240, Rate: timecode.Base{Num: 1, Den: 25}, CRF: 10})
	require.NoError(t, err)
	defer film.Abort()
	c, err := f.Fit(p, look)
	require.NoError(t, err)
	for range 30 {
		require.NoError(t, film.Append(c), "the same picture again and again")
	}
	c.Close()
	require.NoError(t, film.Close())
	probe := ffprobe(t, path)
	require.Equal(t, strconv.Itoa(30), probe.Streams[0].NbReadFrames)
	raw, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-frames:v", "1", "-sws_flags", "accurate_rnd+full_chroma_int",
		"-vf", "scale=in_color_matrix=bt709:in_range=tv:out_range=pc", "-pix_fmt", "rgb24", "-f", "rawvideo", "-").Output()
	require.NoError(t, err)
	c2, err := f.Fit(p, look)
	require.NoError(t, err)
	defer c2.Close()
	for y := 8; y < 240; y += 24 {
		for x := 8; x < 320; x += 24 {
			want := c2.rgb(x, y)
			for i := range 3 {
				require.InDelta(t, want[i], float64(raw[(y*320+x)*3+i]), 30, "point %d,%d", x, y)
			}
		}
	}
}

package av

import (
	"errors"
	"image"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkPicture is the work on one decoded picture of 1920 x 1080: for the
// screen, for a still, for a film.
func BenchmarkPicture(b *testing.B) {
	const width, height = 1920, 1080
	usual := []string{"-pix_fmt", "yuv420p", "-c:v", "libx264", "-preset", "ultrafast", "-color_range", "tv"}
	for _, kind := range []struct {
		name    string
		options []string
		quarter int
	}{
		{"bt709", append(usual, "-colorspace", "bt709"), 0},
		{"turned", append(usual, "-colorspace", "bt709"), 1},
		{"interlaced", append(usual, "-colorspace", "bt709", "-vf", "tinterlace=interleave_top,setfield=tff", "-flags", "+ilme+ildct"), 0},
		{"hlg", []string{"-pix_fmt", "yuv420p10le", "-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none",
			"-color_trc", "arib-std-b67", "-colorspace", "bt2020nc", "-color_primaries", "bt2020"}, 0},
	} {
		b.Run(kind.name, func(b *testing.B) {
			path := filepath.Join(b.TempDir(), "one.mp4")
			args := append([]string{"-v", "error", "-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=50:d=0.2,noise=alls=12:allf=t"}, kind.options...)
			out, err := exec.Command("ffmpeg", append(args, path)...).CombinedOutput()
			require.NoError(b, err, string(out))
			p, look := firstPicture(b, path)
			look.Quarter = kind.quarter
			if look.Quarter&1 == 1 {
				look.Width, look.Height = look.Height, look.Width
			}
			view := NewView()
			defer view.Close()
			fitter, err := NewFitter(width, height, 0)
			require.NoError(b, err)
			defer fitter.Close()
			words := NewOverlay(image.NewRGBA(image.Rect(0, 0, width, 200)), image.Pt(0, height-200))
			b.Run("screen", func(b *testing.B) {
				for b.Loop() {
					if _, err := view.JPEG(p, look, 85); err != nil {
						b.Fatal(err)
					}
				}
			})
			b.Run("still", func(b *testing.B) {
				for b.Loop() {
					if _, err := view.RGBA(p, look); err != nil {
						b.Fatal(err)
					}
				}
			})
			b.Run("film", func(b *testing.B) {
				for b.Loop() {
					c, err := fitter.Fit(p, look)
					if err = errors.Join(err, c.Lay(words)); err != nil {
						b.Fatal(err)
					}
					c.Close()
				}
			})
		})
	}
}

package av

import (
	"bytes"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A picture for which the first buffer is too small is whole, and nothing is kept of
// one that broke off after the buffer had grown.
func TestJPEGOfNoiseFreesWhatGrew(t *testing.T) {
	const side = 256
	program := filepath.Join(t.TempDir(), "grown")
	flags, err := exec.Command("pkg-config", "--cflags", "--libs", "libavutil", "libavcodec", "libavformat", "libswscale", "libswresample", "libjpeg").Output()
	require.NoError(t, err)
	args := append([]string{"-g", "-fsanitize=address", "-o", program, "testdata/grown.c"}, strings.Fields(string(flags))...)
	out, err := exec.Command("cc", args...).CombinedOutput()
	require.NoError(t, err, string(out))

	random := rand.New(rand.NewPCG(1, 2))
	want := image.NewYCbCr(image.Rect(0, 0, side, side), image.YCbCrSubsampleRatio420)
	for _, plane := range [][]byte{want.Y, want.Cb, want.Cr} {
		for i := range plane {
			plane[i] = byte(255 * random.IntN(2))
		}
	}
	run := exec.Command(program)
	run.Env = append(run.Environ(), "ASAN_OPTIONS=detect_leaks=1")
	run.Stdin = bytes.NewReader(bytes.Join([][]byte{want.Y, want.Cb, want.Cr}, nil))
	var said bytes.Buffer
	run.Stderr = &said
	file, err := run.Output()
	require.NoError(t, err, said.String())

	require.Greater(t, len(file), 2<<16, "the buffer has grown twice")
	img, err := jpeg.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	got, ok := img.(*image.YCbCr)
	require.True(t, ok)
	for i := range want.Y {
		require.InDelta(t, want.Y[i], got.Y[i], 4, "luma %d", i)
	}
}

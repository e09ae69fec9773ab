package clip

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRealTimeOfSlowMotion(t *testing.T) {
	for _, c := range []struct {
		note, clip          string
		capture, slow, took float64 // seconds in the hall between frames 0 and 24
	}{
		{"240", plainClip, 240, 9.6, 24. / 240}, // 25 a second are played
		{"240.000000", plainClip, 240, 9.6, 24. / 240},
		{"25", plainClip, 25, 1, 24. / 25},
		{"120", "../../testdata/clips/a12_120fps.mp4", 120, 1, 24. / 120}, // plays in real time
		{"many", plainClip, 0, 1, 24. / 25},
		{"-1", plainClip, 0, 1, 24. / 25},
	} {
		path := filepath.Join(t.TempDir(), "slow.mp4")
		ffmpeg(t, "-i", c.clip, "-c", "copy", "-movflags", "use_metadata_tags", "-metadata", "com.android.capture.fps="+c.note, path)
		clip, err := Open(context.Background(), path, Options{})
		require.NoError(t, err)
		defer clip.Close()
		require.NoError(t, clip.Indexed(context.Background()))
		require.Equal(t, c.capture, clip.Info().Capture, c.note)
		require.InDelta(t, c.slow, clip.Slowness(), 1e-3, c.note)
		require.InDelta(t, c.took, clip.Index().Seconds(24)/clip.Slowness(), 1e-3, c.note)
	}
}

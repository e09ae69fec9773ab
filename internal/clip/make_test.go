package clip

import (
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
)

func ffmpeg(t testing.TB, args ...string) {
	out, err := exec.Command("ffmpeg", append([]string{"-v", "error", "-y"}, args...)...).CombinedOutput()
	require.NoError(t, err, string(out))
}

package clip

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

// over is a context that is done, but that nothing waits for: what stops is only
// what asks it.
type over struct{ context.Context }

func (over) Err() error { return context.Canceled }

// A film whose order of pictures only a decoder knows is closed while its list is
// made: the picture that had just come out is given back.
func TestScanThatIsStoppedGivesItsPictureBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "large.avi") // 12 MB a picture
	ffmpeg(t, "-f", "lavfi", "-i", "color=gray:s=3840x2160:r=25", "-frames:v", "2", "-pix_fmt", "yuv420p", "-c:v", "rawvideo", path)
	src, err := av.OpenSource(path)
	require.NoError(t, err)
	stream := src.Streams()[0]
	src.Close()
	stopped := func(rounds int) {
		for range rounds {
			err := scanByDecoding(over{context.Background()}, &av.Watch{}, path, stream, ending{}, func(*Index) {})
			require.ErrorIs(t, err, context.Canceled)
		}
	}
	stopped(1)
	before := resident(t)
	stopped(40)
	// AddressSanitizer holds back up to 256 MB of what was freed.
	require.Less(t, resident(t)-before, 300, "MB, of 40 pictures of 12 MB")
}

// resident is how much memory this process takes, in MB.
func resident(t *testing.T) int {
	data, err := os.ReadFile("/proc/self/statm") // pages: all, resident, ...
	require.NoError(t, err)
	var all, here int
	_, err = fmt.Sscan(string(data), &all, &here)
	require.NoError(t, err)
	return here * os.Getpagesize() >> 20
}

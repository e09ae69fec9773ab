package clip_test

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
)

func descriptors(t *testing.T) int {
	list, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	return len(list)
}

// goroutinesDownTo waits until goroutines that were told to end are gone.
func goroutinesDownTo(want int) int {
	for range 100 {
		if runtime.NumGoroutine() <= want {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	return runtime.NumGoroutine()
}

func TestOpeningAndClosingLeavesNothing(t *testing.T) {
	all := cases(t)
	round := func() {
		for _, f := range all {
			c, err := clip.Open(context.Background(), f.path(), clip.Options{})
			if err != nil {
				continue
			}
			_, err = c.JPEG(context.Background(), 0, 160)
			require.NoError(t, err)
			_, _, err = c.Samples(context.Background(), 0, .1, 0)
			require.NoError(t, err)
			require.NoError(t, c.Close())
			require.NoError(t, c.Close(), "twice")
			_, err = c.JPEG(context.Background(), 0, 100)
			require.ErrorIs(t, err, clip.ErrClosed)
		}
	}
	round()
	files, routines := descriptors(t), goroutinesDownTo(2)
	round()
	round() // 41 clips and 4 refusals each
	require.Equal(t, routines, goroutinesDownTo(routines))
	require.Equal(t, files, descriptors(t))
}

func TestClosingInTheMiddleOfWork(t *testing.T) {
	f := cases(t)[23] // one key frame for 600 frames
	require.Equal(t, "a24", f.ID)
	for i := range 20 {
		c, err := clip.Open(context.Background(), f.path(), clip.Options{})
		require.NoError(t, err)
		var wait sync.WaitGroup
		for k := range 4 {
			wait.Go(func() {
				_, err := c.JPEG(context.Background(), 599-k*100, 160)
				if err != nil {
					require.ErrorIs(t, err, clip.ErrClosed)
				}
			})
		}
		time.Sleep(time.Duration(i) * time.Millisecond)
		require.NoError(t, c.Close())
		wait.Wait()
	}
}

func TestRequestThatNobodyWaitsForIsDropped(t *testing.T) {
	c := cases(t)[23].open(t, clip.Options{})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := c.JPEG(ctx, 590, 160)
	require.ErrorIs(t, err, context.Canceled)
	_, err = c.JPEG(context.Background(), 3, 160)
	require.NoError(t, err)
}

func TestManyAtOnceGetTheirOwnPicture(t *testing.T) {
	f := cases(t)[0]
	c := f.open(t, clip.Options{})
	var wait sync.WaitGroup
	for k := range 8 {
		wait.Go(func() {
			for i := range 75 {
				n := (i*(2*k+1) + 9*k) % 75
				img, err := c.Image(context.Background(), n)
				require.NoError(t, err)
				got, err := number(img)
				require.NoError(t, err)
				require.Equal(t, n, got)
			}
		})
	}
	wait.Wait()
}

func TestFrameThatIsNotThere(t *testing.T) {
	c := cases(t)[0].open(t, clip.Options{})
	for _, n := range []int{-1, 75, 1 << 40} {
		_, err := c.JPEG(context.Background(), n, 0)
		require.ErrorIs(t, err, clip.ErrFrame)
		require.EqualError(t, err, "There is no frame "+strconv.Itoa(n)+": the clip has frames 0 to 74.")
	}
}

func TestFileThatCannotBeReached(t *testing.T) {
	_, err := clip.Open(context.Background(), filepath.Join(t.TempDir(), "gone.mp4"), clip.Options{})
	require.ErrorIs(t, err, clip.ErrGone)
	_, err = clip.Open(context.Background(), t.TempDir(), clip.Options{})
	require.ErrorIs(t, err, clip.ErrNotMedia)
}

func TestSecondOpeningUsesTheKeptIndex(t *testing.T) {
	f := cases(t)[23]
	data, err := f.open(t, clip.Options{}).Index().MarshalBinary()
	require.NoError(t, err)
	var x clip.Index
	require.NoError(t, x.UnmarshalBinary(data))
	c, err := clip.Open(context.Background(), f.path(), clip.Options{Index: &x})
	require.NoError(t, err)
	defer c.Close()
	require.Same(t, &x, c.Index())
	require.Equal(t, f.open(t, clip.Options{}).Info(), c.Info())
	f.read = map[string]int{}
	for _, n := range []int{599, 0, 300, 301, 299} {
		f.check(t, c, n)
	}
}

func TestTheOtherVideoCanBeChosen(t *testing.T) {
	for _, f := range cases(t) {
		if f.ID != "a27" {
			continue
		}
		info := f.open(t, clip.Options{}).Info()
		require.Len(t, info.Videos, 2)
		require.True(t, info.Videos[1].Default)
		require.Equal(t, 1, info.Stream)
		other := f.open(t, clip.Options{Video: 1}).Info()
		require.Equal(t, 0, other.Stream)
		require.NotEqual(t, info.Width, other.Width)
	}
}

// A second opening goes by what the first found out, for every kind of file, and
// an index of the one video is not taken for another's.
func TestSecondOpeningIsLikeTheFirst(t *testing.T) {
	for _, f := range cases(t) {
		first, err := clip.Open(context.Background(), f.path(), clip.Options{})
		if err != nil {
			continue
		}
		require.NoError(t, first.Indexed(context.Background()))
		data, err := first.Index().MarshalBinary()
		require.NoError(t, err)
		var x clip.Index
		require.NoError(t, x.UnmarshalBinary(data))
		second, err := clip.Open(context.Background(), f.path(), clip.Options{Index: &x})
		require.NoError(t, err, f.ID)
		require.Same(t, &x, second.Index(), f.ID)
		n := x.Len() - 1
		want, err := first.Image(context.Background(), n)
		require.NoError(t, err, f.ID)
		got, err := second.Image(context.Background(), n)
		require.NoError(t, err, f.ID)
		require.Equal(t, want.Pix, got.Pix, f.ID)
		require.Equal(t, first.Info(), second.Info(), f.ID)
		wanted, at, err := first.Samples(context.Background(), .1, .3, 0)
		require.NoError(t, err, f.ID)
		samples, from, err := second.Samples(context.Background(), .1, .3, 0)
		require.NoError(t, err, f.ID)
		require.Equal(t, at, from, f.ID)
		require.Equal(t, wanted, samples, f.ID)
		for place := range first.Info().Videos {
			if v := first.Info().Videos[place]; v.Stream != first.Info().Stream {
				other, err := clip.Open(context.Background(), f.path(), clip.Options{Index: &x, Video: place + 1})
				require.NoError(t, err, f.ID)
				require.NotSame(t, &x, other.Index(), f.ID)
				require.Equal(t, v.Stream, other.Info().Stream)
				require.NoError(t, other.Close())
			}
		}
		require.NoError(t, first.Close())
		require.NoError(t, second.Close())
	}
}

// The outside reference: FFmpeg's own program lists the same packets.
func TestTimesAgreeWithFfprobe(t *testing.T) {
	for _, f := range cases(t) {
		switch f.ID {
		case "a01", "a02", "a12", "a21", "a23", "a24", "a32", "a42":
		default:
			continue
		}
		out, err := exec.Command("ffprobe", "-v", "error", "-select_streams", "v:0", "-show_entries", "packet=pts", "-of", "csv=p=0", f.path()).Output()
		require.NoError(t, err)
		rows, err := csv.NewReader(strings.NewReader(strings.ReplaceAll(string(out), ",\n", "\n"))).ReadAll()
		require.NoError(t, err)
		listed := map[string]bool{}
		for _, row := range rows {
			listed[row[0]] = true
		}
		x := f.open(t, clip.Options{}).Index()
		require.Equal(t, len(rows), x.Len(), f.ID)
		for n := range x.Len() {
			require.True(t, listed[strconv.FormatInt(x.Ticks(n), 10)], "%s frame %d", f.ID, n)
		}
	}
}

// Published check M6: clicks of 4 kHz at 0.5, 1.5 and 2.5 s through AAC in MP4
// start there when the edit list is applied, 21.3 ms late when it is not.
func TestPrimingOfAACIsDropped(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clicks.mp4")
	out, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=320x180:r=25:d=3", "-f", "lavfi", "-i",
		"aevalsrc=between(mod(t\\,1)\\,0.5\\,0.51)*0.8*sin(2*PI*4000*t):s=48000:d=3", "-c:v", "libx264", "-c:a", "aac", "-b:a", "192k", path).CombinedOutput()
	require.NoError(t, err, string(out))
	c, err := clip.Open(context.Background(), path, clip.Options{})
	require.NoError(t, err)
	defer c.Close()
	require.InDelta(t, 0, c.Info().Sounds[0].FirstSeconds, 1e-4)
	whole, first, err := c.Samples(context.Background(), 0, 3, 0)
	require.NoError(t, err)
	for _, want := range []float64{2.5, .5, 1.5} {
		require.InDelta(t, want, onset(whole, first, 48000, want), 1e-3)
		for _, rate := range []int{44100, 48000} {
			part, at, err := c.Samples(context.Background(), want-.2, want+.2, rate)
			require.NoError(t, err)
			require.InDelta(t, want-.2, at, 1/float64(rate))
			require.InDelta(t, .4*float64(rate), float64(len(part)), 1)
			require.InDelta(t, want, onset(part, at, rate, want), 1e-3)
		}
	}
	require.False(t, math.IsNaN(first))
}

func TestSinglePictureIsNoFilm(t *testing.T) {
	for _, name := range []string{"still.png", "still.jpg", "still.bmp", "still.webp"} {
		path := filepath.Join(t.TempDir(), name)
		out, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc=s=64x48", "-frames:v", "1", path).CombinedOutput()
		require.NoError(t, err, string(out))
		_, err = clip.Open(context.Background(), path, clip.Options{})
		require.ErrorIs(t, err, clip.ErrNoVideo, name)
		require.ErrorContains(t, err, "is a single picture, not a film: choose a film file.", name)
	}
}

// TestFiveHundredClips opens and closes clips and counts threads and memory as well. The long form is
//
//	STROKELEDGER_CLIPS=500 go test -race ./internal/clip -run FiveHundredClips
func TestFiveHundredClips(t *testing.T) {
	count := 100
	if n, err := strconv.Atoi(os.Getenv("STROKELEDGER_CLIPS")); err == nil {
		count = n
	}
	all := cases(t)
	use := func(from, to int) {
		for i := from; i < to; i++ {
			c, err := clip.Open(context.Background(), all[i%len(all)].path(), clip.Options{})
			if err != nil {
				continue
			}
			_, err = c.JPEG(context.Background(), i%max(1, c.Index().Len()), 160)
			require.NoError(t, err)
			require.NoError(t, c.Close())
		}
	}
	use(0, len(all)) // what is made once and kept
	files, routines, threads, memory := descriptors(t), goroutinesDownTo(2), status(t, "Threads"), status(t, "VmRSS")
	use(0, count)
	require.Equal(t, routines, goroutinesDownTo(routines))
	require.Equal(t, files, descriptors(t))
	// The Go runtime keeps a thread for each call that was under way at once; FFmpeg's
	// own end with their decoder.
	require.LessOrEqual(t, status(t, "Threads"), threads+8)
	require.Less(t, status(t, "VmRSS")-memory, 60_000, "kB, with the detector's own")
}

// status is a number of this process's status.
func status(t *testing.T, key string) int {
	data, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	for line := range strings.Lines(string(data)) {
		if f := strings.Fields(line); f[0] == key+":" {
			n, err := strconv.Atoi(f[1])
			require.NoError(t, err)
			return n
		}
	}
	t.Fatal("no " + key)
	return 0
}

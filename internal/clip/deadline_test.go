package clip

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

// drive is a file on a drive that hangs when it is told to.
type drive struct {
	t        *testing.T
	answerer *os.File
	gate     *os.File
	*deadline
}

const shortly = 300 * time.Millisecond

func newDrive(t *testing.T, path string) *drive {
	gate, answerer, err := os.Pipe()
	require.NoError(t, err)
	d := &drive{t, answerer, gate, &deadline{path, &av.Watch{Gate: gate}, shortly, nil}}
	t.Cleanup(func() {
		d.watch.Waiting() // takes turns with what was left behind and has ended
		gate.Close()
		answerer.Close()
	})
	d.answer()
	return d
}

func (d *drive) answer() {
	_, err := d.answerer.Write([]byte{1})
	require.NoError(d.t, err)
}

func (d *drive) hang() {
	_, err := d.gate.Read(make([]byte, 1))
	require.NoError(d.t, err)
}

// requireSlow checks that work is given up in time, with a sentence.
func (d *drive) requireSlow(work func() error) {
	d.t.Helper()
	start := time.Now()
	err := work()
	require.Less(d.t, time.Since(start), 10*shortly)
	require.ErrorIs(d.t, err, ErrSlow)
	require.EqualError(d.t, err, `The drive with "`+d.path+`" does not answer: check that it is connected, then try again.`)
}

// noLeak waits until no more goroutines and descriptors are in use than before.
func noLeak(t *testing.T) func() {
	count := func() (int, int) {
		files, err := os.ReadDir("/proc/self/fd")
		require.NoError(t, err)
		return runtime.NumGoroutine(), len(files)
	}
	routines, files := count()
	return func() {
		t.Helper()
		for range 300 {
			r, f := count()
			if r <= routines && f <= files {
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
		r, f := count()
		require.Equal(t, [2]int{routines, files}, [2]int{r, f}, "goroutines, descriptors")
	}
}

const longGroupClip, plainClip = "../../testdata/clips/a24_gop600.mp4", "../../testdata/clips/a01_baseline.mp4"

func TestDriveThatHangsWhenOpening(t *testing.T) {
	d := newDrive(t, plainClip)
	check := noLeak(t)
	d.hang()
	d.requireSlow(func() error {
		_, err := Open(context.Background(), plainClip, Options{deadline: d.deadline})
		return err
	})
	c, err := Open(context.Background(), plainClip, Options{})
	require.NoError(t, err, "the rest of the program goes on")
	require.NoError(t, c.Close())
	d.answer()
	check()
}

func TestDriveThatHangsWhenAskedForTheTime(t *testing.T) {
	const timed = "../../testdata/clips/a43_recorded_at_utc.mp4"
	d := newDrive(t, timed)
	check := noLeak(t)
	d.hang()
	d.requireSlow(func() error { _, err := d.recorded(context.Background()); return err })
	at, err := Recorded(context.Background(), timed)
	require.NoError(t, err, "the rest of the program goes on")
	d.answer()
	require.Equal(t, "2024-05-29T22:30:24Z", at.Format(time.RFC3339))
	check()
}

func longerThanOneReading(t *testing.T) string {
	path := filepath.Join(t.TempDir(), "long.mkv")
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=s=640x360:r=25:d=20,noise=alls=30:allf=t", "-f", "lavfi", "-i", "sine=d=20",
		"-c:v", "mjpeg", "-q:v", "3", "-c:a", "pcm_s16le", path)
	return path
}

func TestDriveThatHangsInTheMiddle(t *testing.T) {
	path := longerThanOneReading(t)
	for name, asked := range map[string]func(c *Clip) error{
		"picture": func(c *Clip) error { _, err := c.JPEG(context.Background(), 450, 100); return err },
		"sound":   func(c *Clip) error { _, _, err := c.Samples(context.Background(), 18, 19, 0); return err },
	} {
		t.Run(name, func(t *testing.T) {
			d := newDrive(t, path)
			check := noLeak(t)
			c, err := Open(context.Background(), path, Options{deadline: d.deadline})
			require.NoError(t, err)
			require.NoError(t, c.Indexed(context.Background()))
			_, err = c.JPEG(context.Background(), 3, 100)
			require.NoError(t, err)
			d.hang()
			d.requireSlow(func() error { return asked(c) })
			d.requireSlow(func() error { return asked(c) })
			_, err = c.JPEG(context.Background(), 3, 100)
			require.NoError(t, err, "what was read before is still there")
			d.answer()
			require.NoError(t, again(func() error { return asked(c) }), "it goes on by itself")

			d.hang()
			_, _ = c.JPEG(context.Background(), 200, 100)
			start := time.Now()
			require.NoError(t, c.Close())
			require.Less(t, time.Since(start), 10*shortly)
			d.answer()
			check()
		})
	}
}

// again asks until a drive that has been told to answer has done so.
func again(ask func() error) (err error) {
	for range 20 {
		if err = ask(); err == nil {
			return nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}

func TestDriveThatHangsWhileScanning(t *testing.T) {
	d := newDrive(t, longGroupClip)
	c, err := Open(context.Background(), longGroupClip, Options{deadline: d.deadline})
	require.NoError(t, err)
	defer c.Close()
	require.NoError(t, c.Indexed(context.Background()))
	d.hang()
	ended := make(chan struct{}) // what is left behind
	d.requireSlow(func() error {
		return c.try(context.Background(), func() {
			defer close(ended)
			_ = scan(context.Background(), c.watch, c.path, c.stream, func(*Index) {})
		})
	})
	d.answer()
	<-ended
}

// The file is taken away, then it is back: a recipe from public reports.
func TestFileThatIsEmptiedWhileOpen(t *testing.T) {
	path := longerThanOneReading(t)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	c, err := Open(context.Background(), path, Options{})
	require.NoError(t, err)
	defer c.Close()
	require.NoError(t, c.Indexed(context.Background()))
	require.NoError(t, os.Truncate(path, 0))
	_, err = c.JPEG(context.Background(), 400, 100)
	require.ErrorIs(t, err, ErrEmpty)
	back := path + ".back" // another file of that name, as after a drive was plugged in again
	require.NoError(t, os.WriteFile(back, whole, 0o600))
	require.NoError(t, os.Rename(back, path))
	_, err = c.JPEG(context.Background(), 400, 100)
	require.NoError(t, err, "it can be read again")
}

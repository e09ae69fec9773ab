package clip_test

import (
	"context"
	"fmt"
	"image"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/clip/av"
)

// Each benchmark prints rows of the table that build/bench.sh clip makes. Ratios
// are against FFmpeg's own programs, or a plain loop over the same binding, on the
// same clip in turn with ours, and the median of some such pairs: other work on the
// machine slows both. The clips are made once and kept in the folder
// STROKELEDGER_BENCH_CLIPS.

const viewWidth = 1280

// films are the clips by name and how ffmpeg makes them.
var films = []struct {
	name, file string
	args       []string
}{
	{"1080p60 H.264", "hd.mp4", []string{ // 20 s at 10 Mbit/s, a key frame every 250
		"-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=60:d=20,noise=alls=12:allf=t",
		"-f", "lavfi", "-i", "sine=f=440:r=48000:d=20", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "10M",
		"-maxrate", "12M", "-bufsize", "20M", "-g", "250", "-keyint_min", "250", "-sc_threshold", "0", "-bf", "3",
		"-pix_fmt", "yuv420p", "-c:a", "aac", "-shortest"}},
	{"2160p60 HEVC", "uhd.mp4", []string{
		"-f", "lavfi", "-i", "testsrc2=s=3840x2160:r=60:d=4,noise=alls=4:allf=t", "-c:v", "libx265", "-preset", "ultrafast", "-b:v", "30M",
		"-x265-params", "log-level=none:keyint=120:min-keyint=120:scenecut=0:bframes=3", "-pix_fmt", "yuv420p"}},
	{"1080i25 MPEG-TS", "fields.ts", []string{
		"-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=50:d=20,noise=alls=8:allf=t,tinterlace=mode=interleave_top,setfield=tff",
		"-f", "lavfi", "-i", "sine=f=440:r=48000:d=20", "-c:v", "libx264", "-preset", "veryfast", "-flags", "+ilme+ildct", "-x264-params", "tff=1",
		"-b:v", "17M", "-maxrate", "20M", "-bufsize", "20M", "-g", "50", "-bf", "2", "-pix_fmt", "yuv420p", "-c:a", "mp2", "-shortest"}},
}

// film makes a clip with ffmpeg, or finds it made.
func film(b *testing.B, file string, args []string) string {
	dir := os.Getenv("STROKELEDGER_BENCH_CLIPS")
	if dir == "" {
		dir = b.TempDir()
	}
	path := filepath.Join(dir, file)
	if _, err := os.Stat(path); err == nil {
		return path
	}
	part := filepath.Join(dir, "part-"+file)
	out, err := exec.Command("ffmpeg", append(append([]string{"-v", "error", "-y"}, args...), part)...).CombinedOutput()
	require.NoError(b, err, string(out))
	require.NoError(b, os.Rename(part, path))
	return path
}

func matchFilm(b *testing.B) string { return film(b, films[0].file, films[0].args) }

// each runs a benchmark on every clip.
func each(b *testing.B, run func(b *testing.B, name, path string)) {
	for _, f := range films {
		b.Run(strings.ReplaceAll(f.name, " ", "_"), func(b *testing.B) {
			path := film(b, f.file, f.args)
			b.ResetTimer()
			for b.Loop() {
				run(b, f.name, path)
			}
		})
	}
}

// row prints a row of the table: what was measured on which clip, the figure to
// reach as "≤ 8 ms" or "≥ 0.55 ×", "" where none is set for it, and what came out.
func row(clip, what, goal string, got float64) {
	met, unit := "", ""
	if f := strings.Fields(goal); len(f) > 1 {
		limit, err := strconv.ParseFloat(f[1], 64)
		if err != nil {
			panic(err)
		}
		met = "missed"
		if f[0] == "≤" && got <= limit || f[0] == "≥" && got >= limit {
			met = "met"
		}
		unit = strings.Join(f[2:], " ")
	} else {
		unit = goal
		goal = ""
	}
	digits := 2
	if unit != "×" {
		digits = 1
	}
	fmt.Printf("\n| %s | %s | %s | %.*f %s | %s |\n", clip, what, goal, digits, got, unit, met)
}

// median of pairs of ours and theirs, as ratios.
func median(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}

func opened(b *testing.B, path string) *clip.Clip {
	c, err := clip.Open(context.Background(), path, clip.Options{})
	require.NoError(b, err)
	require.NoError(b, c.Indexed(context.Background()))
	return c
}

func show(b *testing.B, c *clip.Clip, n int) time.Duration {
	start := time.Now()
	_, err := c.JPEG(context.Background(), n, viewWidth)
	require.NoError(b, err)
	return time.Since(start)
}

func percentile(d []time.Duration, p float64) float64 {
	slices.Sort(d)
	return float64(d[int(p*float64(len(d)-1))]) / 1e6
}

var took = regexp.MustCompile(`rtime=([0-9.]+)s`)

func BenchmarkInOrder(b *testing.B) {
	each(b, func(b *testing.B, name, path string) {
		var ratios, speeds []float64
		for range 5 {
			c := opened(b, path)
			count := c.Index().Len()
			start := time.Now()
			for n := range count {
				show(b, c, n)
			}
			ours := time.Since(start).Seconds()
			require.NoError(b, c.Close())
			out, err := exec.Command("ffmpeg", "-benchmark", "-threads", "2", "-i", path, "-map", "0:v", "-f", "null", "-").CombinedOutput()
			require.NoError(b, err)
			m := took.FindSubmatch(out)
			require.NotNil(b, m)
			theirs, err := strconv.ParseFloat(string(m[1]), 64)
			require.NoError(b, err)
			ratios, speeds = append(ratios, theirs/ours), append(speeds, float64(count)/ours)
		}
		row(name, "pictures ready for the page in order, against `ffmpeg -f null`", "≥ 0.55 ×", median(ratios))
		row(name, "the same, pictures a second", "", median(speeds))
	})
}

// held steps 30 times a second.
func held(b *testing.B, c *clip.Clip, from, by, count int) (took []time.Duration) {
	tick := time.NewTicker(time.Second / 30)
	defer tick.Stop()
	for i := 1; i <= count; i++ {
		took = append(took, show(b, c, from+i*by))
		<-tick.C
	}
	return took
}

func BenchmarkHeld(b *testing.B) {
	each(b, func(b *testing.B, name, path string) {
		c := opened(b, path)
		last := c.Index().Len() - 1
		show(b, c, 50)
		row(name, "a step forward, key held, 95 of 100", "≤ 8 ms", percentile(held(b, c, 50, 1, min(300, last-50)), .95))
		require.NoError(b, c.Close())
		c = opened(b, path)
		from := min(1100, last-20)
		show(b, c, from)
		time.Sleep(time.Second)
		d := held(b, c, from, -1, min(600, from))
		row(name, "a step back, key held, across groups, 95 of 100", "≤ 8 ms", percentile(d, .95))
		row(name, "the same, the worst", "≤ 120 ms", percentile(d, 1))
		require.NoError(b, c.Close())
	})
}

// BenchmarkZoomed steps while a part is looked at in the clip's own pixels, as large as a
// picture on a screen of 1366 x 768 at one to one, and while one is made smaller to that.
func BenchmarkZoomed(b *testing.B) {
	path := matchFilm(b)
	for b.Loop() {
		for _, part := range []image.Rectangle{image.Rect(400, 200, 400+1062, 200+598), image.Rect(100, 40, 100+1600, 40+900)} {
			c := opened(b, path)
			look := c.Look().Cut(part, 1062)
			var took []time.Duration
			for n := 50; n < 350; n++ {
				start := time.Now()
				_, err := c.JPEGLook(context.Background(), n, look)
				require.NoError(b, err)
				if n > 60 {
					took = append(took, time.Since(start))
				}
				time.Sleep(time.Until(start.Add(time.Second / 30))) // a held key
			}
			row(films[0].name, fmt.Sprintf("a step, key held, a part of %d × %d seen as %d × %d, 95 of 100", part.Dx(), part.Dy(), look.Width, look.Height), "≤ 8 ms", percentile(took, .95))
			require.NoError(b, c.Close())
		}
	}
}

// BenchmarkBeside steps two pictures at once, each as large as half of a screen of
// 1366 x 768: a step is over when both are there. Two moments of one clip are of two that
// are open, as here; of one, its decoder would run to and fro.
func BenchmarkBeside(b *testing.B) {
	path := matchFilm(b)
	for b.Loop() {
		one, other := opened(b, path), opened(b, path)
		row(films[0].name, "a joint step of two, key held, 95 of 100", "≤ 12 ms", percentile(jointSteps(b, one, other), .95))
		require.NoError(b, one.Close())
		require.NoError(b, other.Close())
	}
}

func jointSteps(b *testing.B, one, other *clip.Clip) (took []time.Duration) {
	for n := 50; n < 350; n++ {
		start := time.Now()
		var ready sync.WaitGroup
		for i, c := range []*clip.Clip{one, other} {
			ready.Go(func() {
				_, err := c.JPEGLook(context.Background(), n+600*i, c.Look().Within(680))
				require.NoError(b, err)
			})
		}
		ready.Wait()
		if n > 60 {
			took = append(took, time.Since(start))
		}
		time.Sleep(time.Until(start.Add(time.Second / 30))) // a held key
	}
	return took
}

// plainJump is what a loop over the same binding does without any of our care:
// seek, then decode every picture up to the wanted one.
func plainJump(b *testing.B, src *av.Source, dec *av.Decoder, ticks int64) {
	require.NoError(b, src.SeekTime(ticks))
	dec.Flush()
	for {
		p, err := dec.Receive()
		if err == nil {
			at := p.Number()
			p.Close()
			if at >= ticks {
				return
			}
			continue
		}
		packet, err := src.Next()
		if err != nil {
			dec.Drain()
			return
		}
		require.NoError(b, dec.Feed(src, packet.PTS))
	}
}

func BenchmarkJump(b *testing.B) {
	each(b, func(b *testing.B, name, path string) {
		c := opened(b, path)
		rnd := rand.New(rand.NewPCG(2, 3))
		src, err := av.OpenSource(path)
		require.NoError(b, err)
		src.Choose(c.Info().Stream)
		dec, err := av.NewDecoder(src, 2)
		require.NoError(b, err)
		var ours, plain time.Duration
		const jumps = 6
		rounds := 5
		if strings.HasPrefix(name, "2160p") {
			rounds = 2 // each takes long enough
		}
		for range rounds { // in turn, each six without a rest in which the clip would make neighbours ready
			var places []int
			for range jumps {
				places = append(places, rnd.IntN(c.Index().Len()))
			}
			for _, n := range places {
				ours += show(b, c, n)
			}
			time.Sleep(50 * time.Millisecond)
			start := time.Now()
			for _, n := range places {
				plainJump(b, src, dec, c.Index().Ticks(n))
			}
			plain += time.Since(start)
		}
		dec.Close()
		src.Close()
		require.NoError(b, c.Close())
		goal := "≤ 0.7 ×"
		if strings.HasSuffix(path, ".ts") {
			goal = "×" // short groups: what there is to skip is little, and a picture for the page is made as well
		}
		row(name, "exact jump to a random frame, against seeking and decoding plainly", goal, float64(ours)/float64(plain))
		row(name, "the same, each", "ms", float64(ours)/1e6/float64(jumps*rounds))
	})
}

// BenchmarkHour opens an hour of the match film, stream-copied.
func BenchmarkHour(b *testing.B) {
	dir := b.TempDir()
	path := filepath.Join(dir, "hour.mp4")
	out, err := exec.Command("ffmpeg", "-v", "error", "-stream_loop", "179", "-i", matchFilm(b), "-c", "copy", path).CombinedOutput()
	require.NoError(b, err, string(out))
	probe := func() float64 {
		start := time.Now()
		_, err := exec.Command("ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "packet=pts", "-of", "csv=p=0", path).Output()
		require.NoError(b, err)
		return time.Since(start).Seconds()
	}
	probe() // the file is warm now
	for b.Loop() {
		var first, ratio, again, againFirst []float64
		for range 5 {
			start := time.Now()
			c, err := clip.Open(context.Background(), path, clip.Options{})
			require.NoError(b, err)
			show(b, c, 0)
			first = append(first, float64(time.Since(start))/1e6)
			show(b, c, 1) // stepping works while the scan runs
			require.NoError(b, c.Close())

			start = time.Now()
			c, err = clip.Open(context.Background(), path, clip.Options{})
			require.NoError(b, err)
			require.NoError(b, c.Indexed(context.Background()))
			scan := time.Since(start).Seconds()
			data, err := c.Index().MarshalBinary()
			require.NoError(b, err)
			require.NoError(b, c.Close())
			ratio = append(ratio, scan/probe())

			start = time.Now()
			var kept clip.Index
			require.NoError(b, kept.UnmarshalBinary(data))
			c, err = clip.Open(context.Background(), path, clip.Options{Index: &kept})
			require.NoError(b, err)
			again = append(again, float64(time.Since(start))/1e6)
			show(b, c, c.Index().Len()/2)
			againFirst = append(againFirst, float64(time.Since(start))/1e6)
			require.NoError(b, c.Close())
		}
		const name = "an hour of 1080p60 H.264"
		row(name, "first picture of a file never seen", "≤ 300 ms", median(first))
		row(name, "whole index, against `ffprobe -show_entries packet=pts`", "≤ 0.6 ×", median(ratio))
		row(name, "opened again from the kept index", "≤ 50 ms", median(again))
		row(name, "the same, to a picture in the middle", "ms", median(againFirst))
	}
}

// BenchmarkMemory must be the only one of its process: it reads the peak of that.
func BenchmarkMemory(b *testing.B) {
	each(b, func(b *testing.B, name, path string) {
		c := opened(b, path)
		last := c.Index().Len() - 1
		at, by := 0, 1
		walk := func(steps int) {
			for range steps {
				if at+by < 0 || at+by > last {
					by = -by
				}
				at += by
				show(b, c, at)
			}
		}
		goal, warm, steps := "≤ 350 MB", 2*last, 20_000
		if strings.HasPrefix(name, "2160p") {
			goal, steps = "≤ 700 MB", 0 // the growth is 1080p's to show
		}
		walk(warm)
		rnd := rand.New(rand.NewPCG(4, 5))
		for range 6 {
			show(b, c, rnd.IntN(last))
			_, err := c.Image(context.Background(), rnd.IntN(last))
			require.NoError(b, err)
			time.Sleep(500 * time.Millisecond) // the past is made ready
		}
		if steps > 0 {
			before := memory(b, "VmRSS")
			walk(steps)
			row(name, "growth over 20,000 steps forward and back", "≤ 20 MB", memory(b, "VmRSS")-before)
		}
		row(name, "peak memory of the process", goal, memory(b, "VmHWM"))
		require.NoError(b, c.Close())
	})
}

// memory is an entry of this process's status, in MB.
func memory(b *testing.B, key string) float64 {
	status, err := os.ReadFile("/proc/self/status")
	require.NoError(b, err)
	for line := range strings.Lines(string(status)) {
		if f := strings.Fields(line); f[0] == key+":" {
			kB, err := strconv.ParseFloat(f[1], 64)
			require.NoError(b, err)
			return kB * 1024 / 1e6
		}
	}
	b.Fatal("no " + key)
	return 0
}

package clip_test

import (
	"context"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/clip/av"
)

// Figures are printed as custom units; ratios are against FFmpeg's own programs on
// the same clip in the same run. Make them with
//
//	go test ./internal/clip -run '^$' -bench . -benchtime 1x

const viewWidth = 1280

// film makes a clip with ffmpeg, once a run.
func film(b *testing.B, name string, args ...string) string {
	if dir := os.Getenv("STROKELEDGER_BENCH_CLIPS"); dir != "" {
		path := filepath.Join(dir, name)
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	path := filepath.Join(b.TempDir(), name)
	out, err := exec.Command("ffmpeg", append(append([]string{"-v", "error", "-y"}, args...), path)...).CombinedOutput()
	require.NoError(b, err, string(out))
	return path
}

// matchFilm is 20 s of 1080p60 H.264 at 10 Mbit/s with a key frame every 250.
func matchFilm(b *testing.B) string {
	return film(b, "hd.mp4", "-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=60:d=20,noise=alls=12:allf=t",
		"-f", "lavfi", "-i", "sine=f=440:r=48000:d=20", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "10M",
		"-maxrate", "12M", "-bufsize", "20M", "-g", "250", "-keyint_min", "250", "-sc_threshold", "0", "-bf", "3",
		"-pix_fmt", "yuv420p", "-c:a", "aac", "-shortest")
}

func opened(b *testing.B, path string) *clip.Clip {
	c, err := clip.Open(context.Background(), path, clip.Options{})
	require.NoError(b, err)
	b.Cleanup(func() { require.NoError(b, c.Close()) })
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

func BenchmarkInOrder(b *testing.B) {
	path := matchFilm(b)
	for b.Loop() {
		c := opened(b, path)
		count := c.Index().Len()
		start := time.Now()
		for n := range count {
			show(b, c, n)
		}
		ours := float64(count) / time.Since(start).Seconds()
		c.Close()
		out, err := exec.Command("ffmpeg", "-benchmark", "-threads", "2", "-i", path, "-map", "0:v", "-f", "null", "-").CombinedOutput()
		require.NoError(b, err)
		took := regexp.MustCompile(`rtime=([0-9.]+)s`).FindSubmatch(out)
		require.NotNil(b, took)
		seconds, err := strconv.ParseFloat(string(took[1]), 64)
		require.NoError(b, err)
		b.ReportMetric(ours, "frames/s")
		b.ReportMetric(ours/(float64(count)/seconds), "of-ffmpeg")
	}
}

func BenchmarkHeldForward(b *testing.B) {
	path := matchFilm(b)
	for b.Loop() {
		c := opened(b, path)
		show(b, c, 100)
		b.ReportMetric(percentile(held(b, c, 100, 1, 300), .95), "p95-ms")
		c.Close()
	}
}

func BenchmarkHeldBack(b *testing.B) {
	path := matchFilm(b)
	for b.Loop() {
		c := opened(b, path)
		from := 1100
		show(b, c, from)
		time.Sleep(time.Second)
		d := held(b, c, from, -1, 600)
		b.ReportMetric(percentile(d, .95), "p95-ms")
		b.ReportMetric(percentile(d, 1), "worst-ms")
		c.Close()
	}
}

// plainJump is what a loop over the same binding does without any of our care:
// seek, then decode every picture up to the wanted one.
func plainJump(b *testing.B, src *av.Source, dec *av.Decoder, ticks int64) {
	require.NoError(b, src.SeekTime(ticks))
	dec.Flush()
	for {
		p, err := dec.Take()
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
			dec.End()
			return
		}
		require.NoError(b, dec.Feed(src, packet.PTS))
	}
}

// longFilm is an hour of 1080p60, stream-copied from the match film.
func longFilm(b *testing.B) string {
	return film(b, "hour.mp4", "-stream_loop", "179", "-i", matchFilm(b), "-c", "copy")
}

func BenchmarkHour(b *testing.B) {
	path := longFilm(b)
	_, err := exec.Command("ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "packet=pts", "-of", "csv=p=0", path).Output()
	require.NoError(b, err) // the file is warm now
	for b.Loop() {
		start := time.Now()
		c, err := clip.Open(context.Background(), path, clip.Options{})
		require.NoError(b, err)
		show(b, c, 0)
		b.ReportMetric(float64(time.Since(start))/1e6, "first-picture-ms")
		require.NoError(b, c.Indexed(context.Background()))
		scan := time.Since(start)
		x := c.Index()
		c.Close()
		start = time.Now()
		_, err = exec.Command("ffprobe", "-v", "error", "-show_entries", "packet=pts", "-of", "csv=p=0", path).Output()
		require.NoError(b, err)
		b.ReportMetric(float64(scan)/1e6, "scan-ms")
		b.ReportMetric(float64(scan)/float64(time.Since(start)), "of-ffprobe")
		data, err := x.MarshalBinary()
		require.NoError(b, err)
		start = time.Now()
		var kept clip.Index
		require.NoError(b, kept.UnmarshalBinary(data))
		c, err = clip.Open(context.Background(), path, clip.Options{Index: &kept})
		require.NoError(b, err)
		b.ReportMetric(float64(time.Since(start))/1e6, "again-ms")
		b.ReportMetric(float64(len(data))/1e6, "index-MB")
		c.Close()
	}
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

func BenchmarkJump(b *testing.B) {
	path := matchFilm(b)
	for b.Loop() {
		c := opened(b, path)
		rnd := rand.New(rand.NewPCG(2, 3))
		src, err := av.OpenSource(path)
		require.NoError(b, err)
		src.Choose(c.Info().Stream)
		dec, err := av.NewDecoder(src, 2)
		require.NoError(b, err)
		var d []time.Duration
		var ours, plain time.Duration
		for range 60 { // without a rest, in which the clip would make neighbours ready
			d = append(d, show(b, c, rnd.IntN(c.Index().Len())))
			ours += d[len(d)-1]
		}
		rnd = rand.New(rand.NewPCG(2, 3))
		for range 60 {
			start := time.Now()
			plainJump(b, src, dec, c.Index().Ticks(rnd.IntN(c.Index().Len())))
			plain += time.Since(start)
		}
		dec.Close()
		src.Close()
		b.ReportMetric(float64(ours)/1e6/float64(len(d)), "mean-ms")
		b.ReportMetric(float64(ours)/float64(plain), "of-plain")
		b.ReportMetric(percentile(d, 1), "worst-ms")
		c.Close()
	}
}

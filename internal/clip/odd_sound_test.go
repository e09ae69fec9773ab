package clip

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// beats are six seconds of pictures with a short tone at every half second.
func beats(args ...string) []string {
	return append([]string{"-f", "lavfi", "-i", "testsrc2=r=25:s=64x48:d=6", "-f", "lavfi", "-i",
		`aevalsrc=0.5*sin(2*PI*1000*t)*lt(mod(t\,0.5)\,0.1):s=48000:d=6`}, args...)
}

// beat is when a tone that is due at a time of the clip's clock begins.
func beat(t *testing.T, samples []float32, first float64, rate int, due float64) float64 {
	for i := max(0, int((due-.15-first)*float64(rate))); i < len(samples); i++ {
		if math.Abs(float64(samples[i])) > .15 {
			return first + float64(i)/float64(rate)
		}
	}
	require.Fail(t, "no sound", "at %v", due)
	return 0
}

// sounds checks that every tone stands where it is due, whether the sound is read
// as a whole or begun just before it.
func sounds(t *testing.T, path string, seconds float64) {
	ctx := context.Background()
	open := func() *Clip {
		c, err := Open(ctx, path, Options{})
		require.NoError(t, err)
		t.Cleanup(func() { c.Close() })
		return c
	}
	c := open()
	rate := c.Info().Sounds[0].Rate
	whole, first, err := c.Samples(ctx, -10, seconds+10, 0)
	require.NoError(t, err)
	require.NoError(t, c.Indexed(ctx))
	require.InDelta(t, seconds, c.Index().EndSeconds(), .05)
	for due := .5; due < seconds; due += .5 {
		at := beat(t, whole, first, rate, due)
		require.InDelta(t, due, at, .035, "whole")
		part, from, err := open().Samples(ctx, due-.1, due+.2, 0)
		require.NoError(t, err)
		tolerance := .002
		if due > 6 {
			tolerance = slip // where parts are joined
		}
		require.InDelta(t, at, beat(t, part, from, rate, due), tolerance, "part at %v", due)
	}
}

// Priming that is left out, a hole of 59 ms after the first block, and blocks with
// the time of the next one where reading begins between them.
func TestSoundIsTheSameHoweverItIsRead(t *testing.T) {
	for name, args := range map[string][]string{
		"priming.webm":   {"-c:v", "libvpx", "-c:a", "libopus"},
		"priming.mp4":    {"-c:v", "mpeg4", "-c:a", "libmp3lame"},
		"hole.mp4":       {"-c:v", "libx264", "-bf", "2", "-c:a", "aac", "-movflags", "frag_keyframe+empty_moov"},
		"late times.vob": {"-c:v", "mpeg2video", "-c:a", "ac3"},
	} {
		t.Run(name, func(t *testing.T) { sounds(t, film(t, name, beats(args...)...), 6) })
	}
}

func joined(t *testing.T, name string, parts ...string) string {
	path := filepath.Join(t.TempDir(), name)
	var all []byte
	for _, p := range parts {
		b, err := os.ReadFile(p)
		require.NoError(t, err)
		all = append(all, b...)
	}
	require.NoError(t, os.WriteFile(path, all, 0o600))
	return path
}

// Recordings put one behind the other: the clock begins again, or much earlier,
// which FFmpeg takes for a clock that has wrapped round 26 hours later.
func TestJoinedRecordingsRunOn(t *testing.T) {
	coders := []string{"-c:v", "libx264", "-g", "25", "-c:a", "mp2"}
	early := film(t, "early.ts", beats(coders...)...)
	late := film(t, "late.ts", beats(append(coders, "-output_ts_offset", "300")...)...)
	dvd := film(t, "disc.vob", beats("-c:v", "mpeg2video", "-bf", "2", "-c:a", "mp2")...)
	for name, path := range map[string]string{
		"again":   joined(t, "again.ts", early, early),
		"earlier": joined(t, "earlier.ts", late, early),
		"disc":    joined(t, "discs.vob", dvd, dvd),
	} {
		t.Run(name, func(t *testing.T) {
			sounds(t, path, 12)
			exact(t, path, 300)
		})
	}
}

// Two channels of which one is inverted are heard: their sum would be silence.
func TestInvertedChannelIsHeard(t *testing.T) {
	path := filepath.Join(t.TempDir(), "inverted.wav")
	ffmpeg(t, "-f", "lavfi", "-i", `aevalsrc=0.5*sin(2*PI*1000*t)|-0.5*sin(2*PI*1000*t):s=48000:d=2`, path)
	r, err := OpenSound(context.Background(), path, 0)
	require.NoError(t, err)
	defer r.Close()
	samples, _, err := r.Samples(context.Background(), 0, 2, 48000)
	require.NoError(t, err)
	loud := 0.0
	for _, v := range samples {
		loud += float64(v * v)
	}
	require.InDelta(t, .5/math.Sqrt2, math.Sqrt(loud/float64(len(samples))), .02)
}

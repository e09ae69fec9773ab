package report_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"os"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/report"
)

// What W3C WebVTT (webvtt1) asks of times and text, read back by FFmpeg: M1 of the
// published check values, restated beside each case.
func TestWebVTTReadByFFmpeg(t *testing.T) {
	texts := []report.TimedText{
		{From: 1.0 / 30, To: 1, Lines: []string{"1/30 s is 00:00:00.033"}},
		{From: 59.9996, To: 62, Lines: []string{"rounds up to 00:01:00.000, never 00:60.000"}},
		{From: 3600, To: 360000.001, Lines: []string{"hours of two digits or more: 01:00:00.000 to 100:00:00.001"}},
		{From: 5, To: 5, Lines: []string{"an end after its start"}},
		{From: 7, To: 8, Lines: []string{"a < b & c --> d ---> e", "second\x00 line\nof it"}},
		{From: -3, To: 2, Lines: []string{"from the start"}},
		{From: 9, To: 10, Lines: []string{"", " "}}, // nothing to show
		{From: 11, To: 12, Lines: []string{"NOTE no comment"}},
		{From: 13, To: 14, Lines: []string{"小林 葵 – ﷽"}},
	}
	var b bytes.Buffer
	require.NoError(t, report.WebVTT(&b, report.Track{Origin: origin(), Texts: texts}))
	text := b.String()
	require.True(t, strings.HasPrefix(text, "WEBVTT\n\nNOTE Made on 3 April 2026 with Strokeledger 1.0. Definitions 0a1b2c3d, library at change 412.\n\n"), text)
	for _, line := range []string{
		"00:00:00.033 --> 00:00:01.000", "00:01:00.000 --> 00:01:02.000", "01:00:00.000 --> 100:00:00.001", "00:00:05.000 --> 00:00:05.001",
		"a &lt; b &amp; c → d -→ e", "second line of it", "00:00:00.000 --> 00:00:02.000",
	} {
		require.Contains(t, text, line+"\n")
	}
	require.Equal(t, 8, strings.Count(text, " --> "), "the arrow stands between times and nowhere else")

	path := filepath.Join(t.TempDir(), "track.vtt")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	out, err := exec.Command("ffprobe", "-v", "error", "-show_packets", "-of", "json", path).Output()
	require.NoError(t, err)
	var read struct {
		Packets []struct {
			Start    string `json:"pts_time"`
			Duration string `json:"duration_time"`
		} `json:"packets"`
	}
	require.NoError(t, json.Unmarshal(out, &read))
	require.Len(t, read.Packets, 8)
	starts := map[float64]bool{}
	for _, p := range read.Packets {
		at, err := strconv.ParseFloat(p.Start, 64)
		require.NoError(t, err)
		starts[at] = true
	}
	for _, at := range []float64{0.033, 60, 3600, 5, 7, 0, 11, 13} {
		require.True(t, starts[at], "%v among %v", at, starts)
	}
	srt, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-f", "srt", "-").Output()
	require.NoError(t, err)
	require.Contains(t, string(srt), "a < b & c → d -→ e")
	require.Contains(t, string(srt), "小林 葵")
}

func TestWebVTTOfNothing(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.WebVTT(&b, report.Track{Origin: origin()}))
	path := filepath.Join(t.TempDir(), "track.vtt")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	out, err := exec.Command("ffprobe", "-v", "error", "-show_entries", "stream=codec_name", "-of", "csv=p=0", path).Output()
	require.NoError(t, err)
	require.Equal(t, "webvtt", strings.TrimSpace(string(out)))
}

// Whatever is in a cue, the track stays one that can be read.
func TestWebVTTStaysWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := report.TimedText{From: rapid.Float64().Draw(t, "from"), To: rapid.Float64().Draw(t, "to"), Lines: rapid.SliceOf(rapid.String()).Draw(t, "lines")}
		if math.IsNaN(c.From) {
			c.From = 0
		}
		var b bytes.Buffer
		require.NoError(t, report.WebVTT(&b, report.Track{Origin: origin(), Texts: []report.TimedText{c}}))
		require.LessOrEqual(t, strings.Count(b.String(), "-->"), 1)
		require.LessOrEqual(t, strings.Count(b.String(), "\n\n"), 2, "no empty line inside a cue: %q", b.String())
	})
}

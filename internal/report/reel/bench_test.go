package reel_test

import (
	"context"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"strokeledger/internal/report/reel"
	"strokeledger/internal/timecode"

	"strokeledger/internal/clip"
)

// BenchmarkReel makes a film of 20 moments of a clip of 1080 lines, and lets one
// ffmpeg command cut, slow and join the same pieces with the same settings of the
// encoder, without captions. Their times stand side by side; "ratio" is ours to
// theirs in the same run, the least of the rounds.
func BenchmarkReel(b *testing.B) {
	const moments, rate = 20, 50
	const lead, follow, around, hold, slow = 0.6, 0.4, 0.12, 0.4, 4
	dir := b.TempDir()
	source := filepath.Join(dir, "source.mp4")
	run(b, "-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=50:d=40,noise=alls=3:allf=t", "-f", "lavfi", "-i", "sine=r=48000:d=40",
		"-c:v", "libx264", "-preset", "superfast", "-b:v", "10M", "-g", "250", "-pix_fmt", "yuv420p", "-colorspace", "bt709", "-color_range", "tv",
		"-c:a", "aac", "-shortest", source)
	footage, err := clip.Open(context.Background(), source, clip.Options{})
	require.NoError(b, err)
	defer footage.Close()
	require.NoError(b, footage.Indexed(context.Background()))

	var pieces []reel.Piece
	var inputs, graph, joined []string
	for i := range moments {
		moment := 100 + i*90
		at := float64(moment) / rate
		pieces = append(pieces, reel.Piece{
			Source: func(context.Context) (reel.Footage, reel.Times, func(), error) {
				return footage, footage.Index(), func() {}, nil
			},
			From: at - lead, To: at + follow, Moment: moment,
			Caption: reel.Caption{Code: "LATE", Title: "Late return to ready", Cue: "Racket back in front before the partner hits.", Foot: "M. S. · Forehand diagonal · 2 March 2026"},
		})
		inputs = append(inputs, "-ss", fmt.Sprint(at-lead), "-t", fmt.Sprint(lead+follow), "-i", source)
		// What trim leaves still ends when its input does, for the filters after it:
		// pictures are counted, not timed.
		still, slowed := int(hold*rate), int(2*around*slow*rate)+1
		graph = append(graph, fmt.Sprintf("[%[1]d:v]split[n%[1]d][m%[1]d];[m%[1]d]trim=start=%[2]v:end=%[3]v,setpts=%[4]d*(PTS-STARTPTS),fps=%[5]d,loop=loop=%[6]d:size=1:start=%[7]d,setpts=N/%[5]d/TB,trim=end_frame=%[8]d[s%[1]d];[n%[1]d]trim=end_frame=%[9]d[p%[1]d];[p%[1]d][s%[1]d]concat[v%[1]d];[%[1]d:a]apad=whole_dur=%[10]v[a%[1]d]",
			i, lead-around, lead+around, slow, rate, still, slowed/2, slowed+still, int(math.Round((lead+follow)*rate)), lead+follow+hold+slow*2*around))
		joined = append(joined, fmt.Sprintf("[v%[1]d][a%[1]d]", i))
	}
	graph = append(graph, strings.Join(joined, "")+fmt.Sprintf("concat=n=%d:a=1[v][a]", moments))
	theirs := append([]string{}, inputs...)
	theirs = append(theirs, "-filter_complex", strings.Join(graph, ";"), "-map", "[v]", "-map", "[a]",
		"-c:v", "libx264", "-preset", "veryfast", "-x264-params", "subme=1:me=dia", "-crf", "21", "-g", "100",
		"-c:a", "aac", "-aac_coder", "fast", "-b:a", "96k", "-ac", "1", "-ar", "48000", "-movflags", "+faststart", filepath.Join(dir, "theirs.mp4"))

	ours, other, best := time.Duration(0), time.Duration(0), 0.0
	var work, theirWork time.Duration // of all processors, which others on the machine do not change
	pictures := 0
	for b.Loop() {
		begun, before := time.Now(), processors(b, unix.RUSAGE_SELF)
		pictures, err = reel.Write(context.Background(), filepath.Join(dir, "ours.mp4"), pieces, reel.Options{
			Width: 1920, Height: 1080, Rate: timecode.Base{Num: 1, Den: rate}, Slow: slow, Around: around, Hold: hold,
		})
		require.NoError(b, err)
		mine := time.Since(begun)
		work = processors(b, unix.RUSAGE_SELF) - before
		begun, before = time.Now(), processors(b, unix.RUSAGE_CHILDREN)
		run(b, theirs...)
		its := time.Since(begun)
		theirWork = processors(b, unix.RUSAGE_CHILDREN) - before
		// Within a few pictures of each other: theirs counts the ends of a stretch otherwise.
		require.InDelta(b, pictures, counted(b, filepath.Join(dir, "theirs.mp4")), 0.03*float64(pictures))
		if r := mine.Seconds() / its.Seconds(); best == 0 || r < best {
			ours, other, best = mine, its, r
		}
	}
	b.ReportMetric(float64(pictures), "pictures")
	b.ReportMetric(ours.Seconds(), "ours-s")
	b.ReportMetric(other.Seconds(), "ffmpeg-s")
	b.ReportMetric(best, "ratio")
	b.ReportMetric(work.Seconds()/theirWork.Seconds(), "cpu-ratio")
	b.ReportMetric(0, "ns/op")
}

// processors is how long all processors have worked for this process, or for its
// children that have ended.
func processors(b *testing.B, who int) time.Duration {
	b.Helper()
	var u unix.Rusage
	require.NoError(b, unix.Getrusage(who, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func counted(b *testing.B, path string) int {
	b.Helper()
	out, err := exec.Command("ffprobe", "-v", "error", "-select_streams", "v", "-count_packets", "-show_entries", "stream=nb_read_packets", "-of", "csv=p=0", path).Output()
	require.NoError(b, err)
	n, err := strconv.Atoi(strings.Trim(string(out), ",\n"))
	require.NoError(b, err)
	return n
}

func run(b *testing.B, args ...string) {
	b.Helper()
	out, err := exec.Command("ffmpeg", append([]string{"-v", "error", "-y"}, args...)...).CombinedOutput()
	require.NoError(b, err, string(out))
}

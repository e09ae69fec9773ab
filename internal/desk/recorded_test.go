package desk_test

import (
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
)

const recordedClip = "../../testdata/clips/a43_recorded_at_utc.mp4" // 2024-05-29T22:30:24Z

// recordedAt is a film whose header says so.
func recordedAt(t *testing.T, notes ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "film.mov")
	args := []string{"-v", "error", "-i", recordedClip, "-map_metadata", "-1", "-c", "copy", "-movflags", "use_metadata_tags"}
	for _, n := range notes {
		args = append(args, "-metadata", n)
	}
	out, err := exec.CommandContext(t.Context(), "ffmpeg", append(args, path)...).CombinedOutput()
	require.NoError(t, err, string(out))
	return path
}

func TestDaysOnWhichFilmsWereRecorded(t *testing.T) {
	cet, est := time.FixedZone("", 2*3600), time.FixedZone("", -5*3600)
	now := time.Date(2026, 3, 14, 20, 0, 0, 0, cet)
	d, err := desk.Open(t.Context(), filepath.Join(t.TempDir(), "library"), library.Options{Create: true, Now: func() time.Time { return now }})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })

	zoned := recordedAt(t, "creation_time=2024-05-29T22:30:24Z", "com.apple.quicktime.creationdate=2024-05-29T17:30:24-0500")
	unset := recordedAt(t, "creation_time=2015-01-01T00:04:00Z")
	films := []string{
		recordedClip,
		zoned,
		recordedAt(t, "creation_time=2026-03-14T23:30:00Z"), // a camera that is ahead, or has no zone
		recordedAt(t, "creation_time=2026-03-14T21:30:00Z"),
		recordedAt(t, "creation_time=1980-06-06T12:00:00Z"),
		unset,
		recordedAt(t),
		"../../testdata/clips/a37_two_audio.mkv",
		"../../testdata/clips/a39_text.mp4",
		"../../testdata/clips/not there.mp4",
	}
	days, err := d.Sessions.RecordedOn(t.Context(), films)
	require.NoError(t, err)
	require.Equal(t, []club.Date{"2024-05-30", "2024-05-29", "", "2026-03-14", "", "", "", "", "", ""}, days)

	now = now.In(est)
	days, err = d.Sessions.RecordedOn(t.Context(), []string{recordedClip, zoned, unset})
	require.NoError(t, err)
	require.Equal(t, []club.Date{"2024-05-29", "2024-05-29", ""}, days)
}

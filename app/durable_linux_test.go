package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a command says it has written survives a power cut: its bytes are on the disk
// before it gets its name, and so is the name, with the folders round it, before the
// command ends. strace sees what the program asks of the system.
func TestWhatIsWrittenIsOnTheDisk(t *testing.T) {
	g := newTarget(t)
	in := func(name string) string { return filepath.Join(g.dir, name) }
	lib := "--library=" + g.library
	self := filepath.Join(t.TempDir(), "strokeledger") // the name tells this test binary what to be
	require.NoError(t, os.Symlink(program(t).Path, self))
	require.NoError(t, os.CopyFS(in("stray"), os.DirFS(g.library)))
	out, err := exec.Command("sqlite3", in("stray/ledger.db"), "PRAGMA foreign_keys = OFF; UPDATE stroke SET clip_id = 'lost'").CombinedOutput()
	require.NoError(t, err, string(out))
	require.NoError(t, os.Mkdir(in("lost"), 0o700))
	require.NoError(t, os.WriteFile(in("lost/ledger.db"), []byte("SQLite format 3\x00 and nothing of ours"), 0o600))
	require.NoError(t, os.CopyFS(in("lost/backups"), os.DirFS(in("library/backups"))))
	for _, c := range []struct {
		args []string
		name string // or how one begins that something gets
	}{
		{[]string{"--library=" + in("fresh/deep"), "add", in("film.mov"), "--session", "2026-03-14"}, in("fresh/deep/ledger.db")},
		{[]string{lib, "backup", in("new/deep/copy.db")}, in("new/deep/copy.db")},
		{[]string{lib, "summary", "--out", in("summary.html"), "--format", "html"}, in("summary.html")},
		{[]string{lib, "captions", "film.mov", "--out", in("a.vtt"), "--chapters", in("b.vtt")}, in("b.vtt")},
		{[]string{lib, "captions", "film.mov", "--out", in("a.vtt"), "--chapters", in("b.vtt")}, in("a.vtt")}, // replaced
		{[]string{"still", in("film.mov"), "--frame", "1", "--frame", "2", "--out", in("stills/deep")}, in("stills/deep/0000002.png")},
		{[]string{lib, "reel", "--player", "Ines", "--out", in("film.mp4")}, in("film.mp4")},
		{[]string{lib, "record", in("all.json")}, in("all.json")},
		{[]string{"--library=" + in("back"), "restore", in("new/deep/copy.db")}, in("back/ledger.db")},
		{[]string{"--library=" + in("lost"), "restore", in("new/deep/copy.db")}, in("lost/ledger.db")},
		{[]string{"--library=" + in("stray"), "check", "--repair"}, in("stray/ledger-repaired-")},
	} {
		log := filepath.Join(t.TempDir(), "strace")
		said, err := exec.Command("strace", append([]string{"-f", "-qq", "-y", "-s", "4096", "-e", "signal=none", "-o", log,
			"-e", "trace=fsync,fdatasync,rename,renameat,renameat2,link,linkat,mkdir,mkdirat", self}, c.args...)...).CombinedOutput()
		require.NoError(t, err, "%v: %s", c.args, said)
		calls, err := os.ReadFile(log)
		require.NoError(t, err)
		named := durable(t, fmt.Sprint(c.args), string(calls), g.dir)
		require.True(t, slices.ContainsFunc(named, func(n string) bool { return strings.HasPrefix(n, c.name) }), "%v: nothing got this name: %s", c.args, calls)
	}
}

var (
	syncCall = regexp.MustCompile(`^\d+ +f(?:data)?sync\(\d+<([^>]*)>\) += 0`)
	nameCall = regexp.MustCompile(`^\d+ +(?:rename|link)\w*\((?:AT_FDCWD<[^>]*>, )?"([^"]*)", (?:AT_FDCWD<[^>]*>, )?"([^"]*)".*\) += 0`)
	makeCall = regexp.MustCompile(`^\d+ +mkdir\w*\((?:AT_FDCWD<[^>]*>, )?"([^"]*)".*\) += 0`)
)

// durable holds of every name that was given below a folder that the bytes were synced
// before and the folder after, and returns the names.
func durable(t *testing.T, what, log, below string) (named []string) {
	t.Helper()
	synced, waiting := map[string]bool{}, map[string]bool{}
	for line := range strings.Lines(joined(log)) {
		if m := syncCall.FindStringSubmatch(line); m != nil {
			synced[m[1]] = true
			delete(waiting, m[1])
		}
		if m := makeCall.FindStringSubmatch(line); m != nil {
			waiting[filepath.Dir(m[1])] = true
		}
		m := nameCall.FindStringSubmatch(line)
		if m == nil || !strings.HasPrefix(m[2], below) || strings.HasSuffix(m[2], "-old") { // kept for a moment only
			continue
		}
		if strings.HasPrefix(filepath.Base(m[1]), ".") { // not one that is set aside
			require.True(t, synced[m[1]], "%s: %s got its name before its bytes were on the disk: %s", what, m[2], log)
		}
		named = append(named, m[2])
		waiting[filepath.Dir(m[2])] = true
	}
	require.Empty(t, waiting, "%s: in these folders a name may be lost: %s", what, log)
	return named
}

// joined joins calls that strace tells in two parts because of another between them.
func joined(log string) string {
	begun := map[string]string{}
	var out strings.Builder
	for line := range strings.Lines(log) {
		thread, call, _ := strings.Cut(line, " ")
		if before, is := strings.CutSuffix(strings.TrimSpace(call), " <unfinished ...>"); is {
			begun[thread] = before
			continue
		}
		if _, after, is := strings.Cut(call, " resumed>"); is {
			line = thread + " " + begun[thread] + after
		}
		out.WriteString(line)
	}
	return out.String()
}

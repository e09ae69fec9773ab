package main

import (
	"net"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// bad is a value that nobody should give, and the exit codes that may answer it.
type bad struct {
	value string
	codes []int
}

func badOnes(values []string, codes ...int) (all []bad) {
	for _, v := range values {
		all = append(all, bad{v, codes})
	}
	return all
}

// worst are the bad values of each kind of argument.
func worst(t *testing.T, g *target) map[string][]bad {
	odd := filepath.Join(t.TempDir(), "odd")
	in := func(name string) string { return filepath.Join(odd, name) }
	require.NoError(t, os.MkdirAll(in("folder/inside"), 0o700))
	require.NoError(t, syscall.Mkfifo(in("pipe"), 0o600))
	socket, err := net.Listen("unix", in("socket"))
	require.NoError(t, err)
	t.Cleanup(func() { socket.Close() })
	for name, to := range map[string]string{"circle": in("circle"), "ring": in("ring"), "null": "/dev/null", "nowhere": in("gone/file"), "lost": in("gone/file")} {
		require.NoError(t, os.Symlink(to, in(name)))
	}
	text, err := os.ReadFile(filepath.Join(g.dir, "record.json"))
	require.NoError(t, err)
	for name, content := range map[string]string{
		"empty": "", "text": "a diary", "head": "SQLite format 3\x00", "half.json": string(text[:len(text)/2]), "deep.json": strings.Repeat("[", 1e5),
		"null.json": "null", "number.json": "7", "newer.json": `{"format": "strokeledger record", "version": 99}`,
		"noid.json": regexp.MustCompile(`"id": "[^"]*",`).ReplaceAllString(string(text), ""),
		"huge.json": strings.Replace(string(text), `"frame": 5`, `"frame": 1e400`, 1),
	} {
		require.NoError(t, os.WriteFile(in(name), []byte(content), 0o600))
	}
	for _, name := range []string{"ledger.db"} { // libraries whose ledger is none
		for kind, make := range map[string]func(string) error{
			"of-folder": func(p string) error { return os.Mkdir(p, 0o700) },
			"of-pipe":   func(p string) error { return syscall.Mkfifo(p, 0o600) },
			"of-device": func(p string) error { return os.Symlink("/dev/null", p) },
			"of-zeros":  func(p string) error { return os.Symlink("/dev/zero", p) },
			"of-circle": func(p string) error { return os.Symlink(p, p) },
			"of-text":   func(p string) error { return os.WriteFile(p, []byte("a diary"), 0o600) },
			"of-empty":  func(p string) error { return os.WriteFile(p, nil, 0o600) },
		} {
			require.NoError(t, os.Mkdir(in(kind), 0o700))
			require.NoError(t, make(filepath.Join(in(kind), name)))
		}
	}
	homes, _ := filepath.Glob(in("of-*"))
	files, _ := filepath.Glob(in("*.json"))
	long := in(strings.Repeat("n", 300))
	deep := in(strings.Repeat("d/", 3000))
	everywhere := []string{
		"/dev/null", "/dev/zero", "/dev/full", "/dev/null/inside", in("pipe"), in("pipe/inside"), in("socket"),
		long, deep, in("null"), in("text/inside"), "/proc/self/mem", "/proc/nothing/inside", "/sys/nothing",
	}
	links := []string{in("circle"), in("nowhere"), in("missing/inside"), in("folder"), g.library} // take the place of a link that leads nowhere, or make a folder
	read := append(slices.Concat(everywhere, files), in("ring"), in("ring/inside"), in("folder"), in("missing"), in("lost"), in("empty"), in("text"), in("head"), in("a\xff\n"), "/", "-")
	write := append(slices.Clone(everywhere), filepath.Join(g.library, "ledger.db"), filepath.Join(g.library, "ledger.db-wal"),
		filepath.Join(g.dir, "film.mov"), filepath.Join(g.dir, "backup.db"), "/proc/self/written")
	home := append(slices.Concat(everywhere, homes), in("ring"), in("ring/inside"), in("folder"), in("text"), in("empty"), in("lost"), "/", "/proc")
	names := []string{"nobody", " ", "\t", strings.Repeat("n", 1e5), "\xff\xfe", "a\nb", "\x1b[2J", "../../etc/passwd", "%s%n", "'; DROP TABLE mark; --", "\u202eseni", "-", "0"}
	notNumbers := []string{"x", "0x10", "0b1", "0o7", "1_0", "1e2", "inf", "NaN", "+1", " 1", "1 ", "1,5", "٣", "--1", strings.Repeat("9", 500), "-"}
	notDays := []string{"0000-00-00", "0000-01-01", "0000-12-31", "9999999-01-01", "2026-02-30", "2026-13-01", "2026-2-3", "14.3.2026", "yesterday", "2026-03-14T10:00:00Z", " 2026-03-14", "-2026-03-14", "2026-03-14\n", "٢٠٢٦-٠٣-١٤", "\xff"}
	for kind, list := range map[string]*[]string{isRead: &read, isWrite: &write, isHome: &home} {
		for _, v := range *list {
			require.NotEmpty(t, v, kind)
		}
	}
	one, wrong := []int{exitFailed}, []int{exitUsage}
	return map[string][]bad{
		isFlag:   badOnes([]string{"1", "0", "true", "no", "maybe", "\xff"}, wrong...),
		isChoice: badOnes([]string{"pdf", "TEXT", " ", "text,html", "\xff"}, wrong...),
		isNumber: append(badOnes(notNumbers, wrong...), badOnes([]string{"-1", "-7", "0", "1000000000", "2147483648", "99999999999999999999"}, exitFine, exitFailed, exitUsage)...),
		isDay:    badOnes(notDays, wrong...),
		isName:   badOnes(names, one...),
		isNew:    badOnes([]string{" ", "\t", strings.Repeat("n", 201), strings.Repeat("n", 1e5)}, one...),
		isText:   badOnes(names, exitFine, exitFailed, exitUsage),
		isRead:   badOnes(read, one...),
		isWrite:  append(badOnes(write, one...), badOnes(links, exitFine, exitFailed)...),
		isHome:   badOnes(home, one...),
		// Without --yes nothing is copied, and saying where to is a mistake.
		isUnmeant: badOnes(write, wrong...),
		isAnswer:  badOnes([]string{"x", "=", "same", "same==", "1", "0=same", "99=same", "-1=same", "colour=red", "\xff=\xff", " ", strings.Repeat("9", 500) + "=same", strings.Repeat("n", 1e5)}, wrong...),
		isPlaces: badOnes([]string{"x", "1", "1,2,3", "1;2", "NaN,1 1,1 1,1 1,1", "1e2,1 1,1 1,1 1,1", "inf,1 1,1 1,1 1,1", "1,2 3,4 5,6 7,8 9,10", " ", "\xff", "\x1b[2J,1", "0x1,0x1",
			strings.Repeat("9", 500) + ",1 1,1 1,1 1,1", strings.Repeat("1,2 ", 1e4)}, wrong...),
	}
}

// streams are commands that print as they go on, so that what was done before an
// error is told.
var streams = map[string]bool{"add": true, "mark": true, "check": true, "forget": true}

// enters are the commands for which a value as odd as frame 0 may well be right, and
// which then enter a row.
var enters = map[string]bool{"model": true, "define": true, "keep-pair": true}

// homeless are the commands that work without a library.
var homeless = map[string]bool{"demo": true, "frames": true, "contacts": true, "joints": true, "cameras": true}

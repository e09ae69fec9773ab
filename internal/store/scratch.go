package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"syscall"
	"time"
)

// staleAfter is how old a file of an unknown program has to be before it is
// taken for left over: on a network drive the program may run elsewhere.
const staleAfter = 24 * time.Hour

var scratchName = regexp.MustCompile(`^\.(new|backup|repair|restored|in-use|part|film)-(\d+)-`)

// scratch is the pattern of a name for a file or a folder that this program makes
// for a while; what a killed program leaves behind is known by its number.
func scratch(kind, ending string) string {
	return fmt.Sprintf(".%s-%d-*%s", kind, os.Getpid(), ending)
}

// Part is the pattern of a name for a document that is being written; Sweep knows
// it, and the films that are being made.
func Part() string { return scratch("part", "") }

// Sweep removes from a folder what a program that was killed left there of a
// document or a film that it was writing.
func Sweep(dir string, now time.Time) { sweep(dir, overNetwork(dir), now) }

// sweep removes from a folder what programs that run no more left unfinished.
// What cannot be removed is left for the next time.
func sweep(dir string, network bool, now time.Time) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		m := scratchName.FindStringSubmatch(e.Name())
		if m == nil {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		if pid, err := strconv.Atoi(m[2]); err == nil && runs(pid, network) && now.Sub(info.ModTime()) < staleAfter {
			continue
		}
		_ = os.RemoveAll(filepath.Join(dir, e.Name()))
	}
}

// runs reports whether a program with that number runs, or may run on another
// computer.
func runs(pid int, network bool) bool {
	if network || runtime.GOOS == "windows" || pid == os.Getpid() {
		return true
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, os.ErrPermission)
}

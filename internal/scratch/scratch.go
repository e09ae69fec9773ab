// Package scratch names the files that this program makes for a while, and removes what
// a killed program left of them.
package scratch

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

	"strokeledger/internal/drive"
)

// staleAfter is how old a file of an unknown program has to be before it is
// taken for left over: on a network drive the program may run elsewhere.
const staleAfter = 24 * time.Hour

// libraryName knows what this program makes for a while in a library's folder, and
// foreignName what it makes in folders of others: a prefix that nobody else has.
var (
	libraryName = regexp.MustCompile(`^\.(?:new|backup|repair|restored|in-use|strokeledger-part|strokeledger-film)-(\d+)-`)
	foreignName = regexp.MustCompile(`^\.strokeledger-(?:part|film)-(\d+)-`)
)

// Pattern is the pattern of a name for a file or a folder that this program makes
// for a while; what a killed program leaves behind is known by its number.
func Pattern(kind, ending string) string {
	return fmt.Sprintf(".%s-%d-*%s", kind, os.Getpid(), ending)
}

// Part is the pattern of a name for a document that is being written; Sweep knows
// it, and the films that are being made.
func Part() string { return Pattern("strokeledger-part", "") }

// Sweep removes from a folder what a program that was killed left there of a
// document or a film that it was writing. The folder is a coach's own: nothing is
// touched in it but ordinary files under this program's own names.
func Sweep(dir string, now time.Time) {
	sweepOf(dir, drive.OverNetwork(dir), now, func(e os.DirEntry) []string {
		if !e.Type().IsRegular() {
			return nil
		}
		return foreignName.FindStringSubmatch(e.Name())
	})
}

// SweepLibrary removes from a library's folder what programs that run no more left
// unfinished.
func SweepLibrary(dir string, network bool, now time.Time) {
	sweepOf(dir, network, now, func(e os.DirEntry) []string { return libraryName.FindStringSubmatch(e.Name()) })
}

// sweepOf removes what known finds a program's number in, where that program runs
// no more. What cannot be removed is left for the next time.
func sweepOf(dir string, network bool, now time.Time, known func(os.DirEntry) []string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		m := known(e)
		if m == nil {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		if pid, err := strconv.Atoi(m[1]); err == nil && Runs(pid, network) && now.Sub(info.ModTime()) < staleAfter {
			continue
		}
		_ = os.RemoveAll(filepath.Join(dir, e.Name()))
	}
}

// Runs reports whether a program with that number runs, or may run on another
// computer.
func Runs(pid int, network bool) bool {
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

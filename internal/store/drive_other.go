//go:build !linux

package store

import (
	"errors"
	"math"
	"os"
	"syscall"
)

// overNetwork cannot tell on this system and takes every drive for a local one.
func overNetwork(string) bool { return false }

func freeBytes(string) uint64 { return math.MaxUint64 }

// writable reports whether the file, or a new file in the folder, can be written.
// The file itself is not opened: that would drop this process's locks on it.
func writable(path string) bool {
	info, err := os.Stat(path)
	if err != nil {
		return false
	}
	if !info.IsDir() {
		return info.Mode().Perm()&0o200 != 0
	}
	f, err := os.CreateTemp(path, ".try-*")
	if err != nil {
		return false
	}
	return errors.Join(f.Close(), os.Remove(f.Name())) == nil
}

func isReadOnlyDisk(err error) bool { return errors.Is(err, syscall.EROFS) }
func isFullDisk(err error) bool     { return errors.Is(err, syscall.ENOSPC) }

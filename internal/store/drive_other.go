//go:build !linux

package store

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"syscall"
)

// overNetwork cannot tell on this system and takes every drive for a local one.
func overNetwork(string) bool { return false }

func freeBytes(string) uint64 { return math.MaxUint64 }

// writable reports whether the file, or a new file in the folder, can be written.
func writable(path string) bool {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		f, err := os.CreateTemp(path, ".try-*")
		if err != nil {
			return false
		}
		f.Close()
		return os.Remove(f.Name()) == nil
	}
	f, err := os.OpenFile(filepath.Clean(path), os.O_RDWR, 0)
	if err != nil {
		return false
	}
	return f.Close() == nil
}

func isReadOnlyDisk(err error) bool { return errors.Is(err, syscall.EROFS) }
func isFullDisk(err error) bool     { return errors.Is(err, syscall.ENOSPC) }

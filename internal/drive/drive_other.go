//go:build !linux

// Package drive tells what kind of drive a folder lies on, and what it still takes.
package drive

import (
	"errors"
	"math"
	"os"
	"syscall"
)

// OverNetwork cannot tell on this system and takes every drive for a local one.
func OverNetwork(string) bool { return false }

// FreeBytes cannot tell on this system: very much.
func FreeBytes(string) uint64 { return math.MaxUint64 }

// Writable reports whether the file, or a new file in the folder, can be written.
// The file itself is not opened: that would drop this process's locks on it.
func Writable(path string) bool {
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

// IsReadOnly reports whether an error says that the drive can only be read.
func IsReadOnly(err error) bool { return errors.Is(err, syscall.EROFS) }

// IsFull reports whether an error says that the drive, or the user's part of it, is full.
func IsFull(err error) bool { return errors.Is(err, syscall.ENOSPC) }

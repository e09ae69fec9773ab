// Package drive tells what kind of drive a folder lies on, and what it still takes.
package drive

import (
	"errors"
	"math"
	"syscall"

	"golang.org/x/sys/unix"
)

// OverNetwork reports whether the folder lies on a file system that other
// computers may share. SQLite's write-ahead log needs memory that all users of
// the file share, which no network gives (sqlite.org/wal.html, section 1).
func OverNetwork(dir string) bool {
	var disk unix.Statfs_t
	var entry unix.Stat_t
	if unix.Statfs(dir, &disk) != nil || unix.Stat(dir, &entry) != nil {
		return false
	}
	return networkMagic(uint32(disk.Type), unix.Major(entry.Dev) == 0)
}

// networkMagic tells network file systems by the number that the kernel gives
// each kind (linux/magic.h). Drives read by a helper process share one number
// with remote folders; those have no block device behind them.
func networkMagic(magic uint32, noDevice bool) bool {
	switch magic {
	case unix.NFS_SUPER_MAGIC, unix.SMB_SUPER_MAGIC, unix.CIFS_SUPER_MAGIC, unix.SMB2_SUPER_MAGIC,
		unix.AFS_SUPER_MAGIC, unix.AFS_FS_MAGIC, unix.CODA_SUPER_MAGIC, unix.NCP_SUPER_MAGIC,
		unix.CEPH_SUPER_MAGIC, unix.V9FS_MAGIC, unix.OCFS2_SUPER_MAGIC:
		return true
	case unix.FUSE_SUPER_MAGIC:
		return noDevice
	}
	return false
}

// FreeBytes is what the user may still write on the folder's disk; unknown is
// very much.
func FreeBytes(dir string) uint64 {
	var disk unix.Statfs_t
	if unix.Statfs(dir, &disk) != nil {
		return math.MaxUint64
	}
	return disk.Bavail * uint64(disk.Bsize)
}

func Writable(path string) bool { return unix.Access(path, unix.W_OK) == nil }

// IsReadOnly reports whether an error says that the drive can only be read.
func IsReadOnly(err error) bool { return errors.Is(err, syscall.EROFS) }

// IsFull reports whether an error says that the drive, or the user's part of it, is full.
func IsFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}

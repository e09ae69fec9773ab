package store

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// smallDisk is a folder on a disk of 2 MB where the test may mount one, with a
// file of ballast in it; else any folder, and limitPages does the limiting.
func smallDisk(t *testing.T) string {
	dir := t.TempDir()
	if err := unix.Mount("none", dir, "tmpfs", 0, "size=2m"); err == nil {
		t.Cleanup(func() { require.NoError(t, unix.Unmount(dir, unix.MNT_DETACH)) })
		require.NoError(t, os.WriteFile(filepath.Join(dir, "ballast"), make([]byte, 512<<10), 0o600))
	}
	return dir
}

// limitPages lets a ledger grow by a hundred pages where its disk is not small.
func limitPages(t *testing.T, l *Library) {
	if _, err := os.Stat(ballast(l)); err != nil {
		_, err := l.write.Exec("PRAGMA max_page_count = 150")
		require.NoError(t, err)
	}
}

func makeSpace(t *testing.T, l *Library) {
	if os.Remove(ballast(l)) != nil {
		_, err := l.write.Exec("PRAGMA max_page_count = 100000")
		require.NoError(t, err)
	}
}

func ballast(l *Library) string { return filepath.Join(filepath.Dir(l.Dir()), "ballast") }

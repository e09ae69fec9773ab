package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The invented club is found where it was made, and one that was broken off is left alone.
func TestInventedClubIsMadeOnce(t *testing.T) {
	dir := t.TempDir()
	broken := filepath.Join(dir, "invented-club")
	require.NoError(t, os.MkdirAll(filepath.Join(broken, "clips"), 0o700))
	made := filepath.Join(dir, "invented-club-2", "library")
	require.NoError(t, os.MkdirAll(made, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(made, "ledger.db"), nil, 0o600))
	got, err := inventedClub(t.Context(), dir, nil)
	require.NoError(t, err)
	require.Equal(t, made, got)
	require.NoError(t, os.RemoveAll(made))
	for n := range 9 {
		name := "invented-club"
		if n > 0 {
			name += "-" + string(rune('1'+n))
		}
		require.NoError(t, os.MkdirAll(filepath.Join(dir, name, "clips"), 0o700))
	}
	_, err = inventedClub(t.Context(), dir, nil)
	require.ErrorContains(t, err, "earlier tries lie in")
}

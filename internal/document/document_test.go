package document_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/document"
)

func TestWriteLeavesTheOldOne(t *testing.T) {
	path := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, document.Write(path, func(f *os.File) error { _, err := f.WriteString("old"); return err }))
	err := document.Write(path, func(f *os.File) error { f.WriteString("half"); return errors.New("stop") })
	require.Error(t, err)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "old", string(got))
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, left, 1, "no temporary file stays")
	st, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), st.Mode().Perm())
}

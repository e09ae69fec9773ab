package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestDocumentsGetTheirEnding(t *testing.T) {
	dir := t.TempDir()
	for typed, want := range map[string]string{
		"sheet":         "sheet.html",
		"sheet.html":    "sheet.html",
		"sheet.HTML":    "sheet.HTML",
		"Anh 13.10":     "Anh 13.10.html",
		"sheet.pdf":     "sheet.pdf.html",
		"J. Lindqvist.": "J. Lindqvist..html",
	} {
		got, err := withEnding(filepath.Join(dir, typed), ".html")
		require.NoError(t, err, typed)
		assert.Equal(t, filepath.Join(dir, want), got)
	}

	there := filepath.Join(dir, "there.html")
	require.NoError(t, os.WriteFile(there, []byte("kept"), 0o600))
	_, err := withEnding(filepath.Join(dir, "there"), ".html")
	p, ok := club.AsProblem(err)
	require.True(t, ok, err)
	assert.Equal(t, `There is a file "there.html" already: choose it with its ending to replace it, or another name.`, p.Say)
	got, err := withEnding(there, ".html") // the dialog has asked
	require.NoError(t, err)
	assert.Equal(t, there, got)
}

func TestDialogsStartWhereTheLastEnded(t *testing.T) {
	dir := t.TempDir()
	var p lastFolder
	assert.Empty(t, p.start())
	p.keep(filepath.Join(dir, "sheet.html"))
	assert.Equal(t, dir, p.start())
	p.keep(filepath.Join(dir, "gone", "sheet.html"))
	assert.Empty(t, p.start())
}

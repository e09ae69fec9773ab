package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A program that is killed while it copies films, on the way out or in, goes on when it is
// asked again: the film is whole, in the file that was begun, and nothing is left over.
func TestKilledWhileCopyingFilms(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	film, record := in("film.mp4"), in("work.json")
	sum := largeFilm(t, film)
	require.Zero(t, run(t.Context(), []string{"--library", in("a"), "add", film, "--session", "2026-03-14"}, nil, io.Discard, os.Stderr))
	require.Zero(t, run(t.Context(), []string{"--library", in("b"), "add", "../testdata/clips/a02_vfr_phone.mp4", "--session", "2026-03-15"}, nil, io.Discard, os.Stderr))

	copied := killedWhileCopying(t, in("work.films"), "--library", in("a"), "record", record, "--names", "--films")
	require.Equal(t, sum, sumOf(t, copied))
	copied = killedWhileCopying(t, in("here"), "--library", in("b"), "merge", record, "--yes", "--films", in("here"), "--choose", "same=same")
	require.Equal(t, sum, sumOf(t, copied))

	var say bytes.Buffer
	require.Zero(t, run(t.Context(), []string{"--library", in("b"), "merge", record, "--choose", "same=same"}, nil, &say, os.Stderr))
	require.Contains(t, say.String(), "Nothing would change")
	require.NoError(t, os.RemoveAll(in("work.films")))
	require.NoError(t, os.Remove(film))
	require.Zero(t, run(t.Context(), []string{"--library", in("b"), "check"}, nil, io.Discard, os.Stderr), "the film is found where it was copied to")
}

// largeFilm writes a film of which the most is a part that players pass over, so that
// copying it takes a while, and returns its SHA-256.
func largeFilm(t *testing.T, path string) [sha256.Size]byte {
	const padding = 128 << 20
	data, err := os.ReadFile("../testdata/clips/a01_baseline.mp4")
	require.NoError(t, err)
	data = append(binary.BigEndian.AppendUint32(data, padding), "free"...)
	require.NoError(t, os.WriteFile(path, data, 0o600))
	require.NoError(t, os.Truncate(path, int64(len(data)-8+padding)))
	return sumOf(t, path)
}

func sumOf(t *testing.T, path string) (sum [sha256.Size]byte) {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	h := sha256.New()
	_, err = io.Copy(h, f)
	require.NoError(t, err)
	return [sha256.Size]byte(h.Sum(nil))
}

// killedWhileCopying carries out a command that copies one film into a folder: killed
// when a part of it is there, then once more. It returns where the film lies.
func killedWhileCopying(t *testing.T, folder string, args ...string) string {
	part := ""
	for range 5 { // a fast drive may have the film whole before the kill
		require.NoError(t, os.RemoveAll(folder))
		var said bytes.Buffer
		command := program(t, args...)
		command.Stderr = &said
		require.NoError(t, command.Start())
		ended := make(chan error, 1)
		go func() { ended <- command.Wait() }()
		for deadline := time.Now().Add(time.Minute); part == "" && time.Now().Before(deadline) && len(ended) == 0; time.Sleep(time.Millisecond) {
			if found, _ := filepath.Glob(filepath.Join(folder, "*.part")); len(found) == 1 {
				if st, err := os.Stat(found[0]); err == nil && st.Size() > 1<<20 {
					part = found[0]
				}
			}
		}
		if command.Process.Kill() != nil { // it was faster
			require.NoError(t, <-ended, said.String())
			part = ""
			continue
		}
		<-ended
		if _, err := os.Stat(part); err == nil {
			break
		}
		part = ""
	}
	require.NotEmpty(t, part, "never killed half way")
	begun, err := os.Stat(part)
	require.NoError(t, err)

	var out bytes.Buffer
	again := program(t, args...)
	again.Stderr = &out
	require.NoError(t, again.Run(), out.String())
	names, err := filepath.Glob(filepath.Join(folder, "*"))
	require.NoError(t, err)
	require.Equal(t, []string{strings.TrimSuffix(part, ".part")}, names, "nothing is left over")
	whole, err := os.Stat(names[0])
	require.NoError(t, err)
	require.True(t, os.SameFile(begun, whole), "it goes on in the file that was begun")
	return names[0]
}

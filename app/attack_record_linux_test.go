package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// spoil calls do with the record once for each value in it (of a list the first
// element only) and each bad one in its place; the value is put back afterwards.
func spoil(at any, put func(any), path string, do func(path string, bad any)) {
	for _, bad := range []any{nil, "", "x", -1, 0, 7.5, 1e300, true, []any{}, map[string]any{}, []any{nil}, "0000-00-00", "9999999-01-01", "\x00", strings.Repeat("n", 1e5)} {
		put(bad)
		do(path, bad)
	}
	put(at)
	switch v := at.(type) {
	case map[string]any:
		for key, value := range v {
			if path == "" && key == "summary" {
				continue // not read back
			}
			delete(v, key)
			do(path+"/"+key, "left out")
			spoil(value, func(x any) { v[key] = x }, path+"/"+key, do)
			v[key] = value
		}
	case []any:
		if len(v) > 0 {
			spoil(v[0], func(x any) { v[0] = x }, path+"/0", do)
			more := append([]any{}, v...)
			put(append(more, v[0])) // the same row twice
			do(path, "twice")
			put(v)
		}
	}
}

// A record in which any value is another is taken or refused in one sentence, and
// what is refused leaves no library behind.
func TestAddRecordTakesBadRows(t *testing.T) {
	g := newTarget(t)
	text, err := os.ReadFile(filepath.Join(g.dir, "record.json"))
	require.NoError(t, err)
	var record any
	require.NoError(t, json.Unmarshal(text, &record))
	file := filepath.Join(t.TempDir(), "bad.json")
	n := 0
	spoil(record, func(x any) { record = x }, "", func(path string, bad any) {
		if n++; n%(*attacks*10) != 0 && *attacks > 1 {
			return
		}
		text, err := json.Marshal(record)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(file, text, 0o600))
		defer func() {
			if t.Failed() {
				t.Logf("%s is %.60q", path, bad)
			}
		}()
		g.attack(t, "add-record", []string{"--library=" + filepath.Join(g.dir, "made"), "add-record", file}, "", []int{exitFine, exitFailed})
	})
	t.Logf("%d records", n)
}

package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A device on which nothing can be printed any more is told the same way by whatever
// prints: every command with each of its flags and choices, help and the version.
func TestEveryCommandTakesAFullOutput(t *testing.T) {
	g := newTarget(t)
	all := fields(t)
	before := filepath.Join(g.dir, "before")
	require.NoError(t, os.CopyFS(before, os.DirFS(g.library)))
	try := func(args []string, out io.Writer) (code int, said string) {
		g.tidy(t)
		require.NoError(t, os.RemoveAll(g.library))
		require.NoError(t, os.CopyFS(g.library, os.DirFS(before)))
		var errs bytes.Buffer
		code = run(t.Context(), args, strings.NewReader("9 LATE\n"), out, &errs)
		return code, errs.String()
	}
	lines := [][]string{{"--version"}, {"--help"}, {"window", "--help"}}
	for i, f := range all {
		if i == 0 || all[i-1].command != f.command {
			plain := g.line(t, all, field{command: f.command}, "", "")
			lines = append(lines, append(slices.Clone(plain), "--help"))
			if f.command != "demo" { // which draws for a minute
				lines = append(lines, plain)
			}
		}
		if f.value.Flag == nil || f.value.Tag.Ignored || f.name == "help" || f.command == "demo" {
			continue
		}
		switch f.kind(t) {
		case isFlag:
			lines = append(lines, g.line(t, all, f, isFlag, "true"))
		case isChoice:
			for _, choice := range strings.Split(f.value.Enum, ",") {
				lines = append(lines, g.line(t, all, f, isChoice, choice))
			}
		}
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	require.NoError(t, err)
	defer full.Close()
	printed := map[string]bool{}
	for _, args := range lines {
		var out bytes.Buffer
		code, said := try(args, &out)
		if code != exitFine {
			if !slices.Contains([]string{"settle", "pair", "self-test"}, args[0]) { // which need strokes that two coaches have judged, or a pair of pictures
				require.NotEqual(t, exitFailed, code, "%v: %s", args, said)
			}
			continue // some flags do not go together
		}
		code, said = try(args, full)
		if out.Len() == 0 {
			require.Equal(t, exitFine, code, "%v: %s", args, said)
			continue
		}
		printed[args[0]] = true
		require.Equal(t, exitFailed, code, "%v: %s", args, said)
		last := strings.SplitAfter(strings.TrimSuffix(said, "\n"), "\n")
		require.Equal(t, `Could not print to "standard output": the disk is full: free some space, then try again.`, last[len(last)-1], "%v", args)
		g.plain(t, said, fmt.Sprint(args), args[0] == "family" || args[0] == "reel") // what was left out comes first
	}
	for _, f := range all {
		require.True(t, printed[f.command], "%s never printed anything", f.command)
	}
}

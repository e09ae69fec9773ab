package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/demo/hall"
)

// TestMain lets the scripts call the real program.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"strokeledger": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// TestCommands runs every script of testdata/script. $CLIPS is the folder of the
// shared clips, $PICTURES the one of drawn people.
func TestCommands(t *testing.T) {
	clips, err := filepath.Abs("../testdata/clips")
	if err != nil {
		t.Fatal(err)
	}
	pictures, err := filepath.Abs("../internal/pose/neural/testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:  "testdata/script",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exitcode": exitCode, "full": onFullDisk, "control": controlName, "hall": inventedHall, "halltwice": hallTwice, "table": drawnTable},
		Setup: func(e *testscript.Env) error {
			e.Setenv("CLIPS", clips)
			e.Setenv("PICTURES", pictures)
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("XDG_DATA_HOME", filepath.Join(e.WorkDir, "data"))
			return nil
		},
	})
}

// exitCode runs a command that must end with the code given first.
func exitCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exitcode N command [args...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	var exit *exec.ExitError
	got := 0
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// onFullDisk runs the program with an answer that cannot be written.
func onFullDisk(ts *testscript.TestScript, neg bool, args []string) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		return // not on this system
	}
	defer full.Close()
	var said strings.Builder
	if code := run(context.Background(), args, os.Stdin, full, &said); code != exitFailed || !strings.Contains(said.String(), "the disk is full") {
		ts.Fatalf("exit code %d, said %q", code, said.String())
	}
}

// controlName adds a clip whose name holds what a terminal obeys.
func controlName(ts *testscript.TestScript, neg bool, args []string) {
	data, err := os.ReadFile(args[0])
	ts.Check(err)
	name := ts.MkAbs("a\x1b[2J\nb.mp4")
	ts.Check(os.WriteFile(name, data, 0o600))
	ts.Check(ts.Exec("strokeledger", "--library", "lib", "add", name, "--session", "2026-03-14"))
}

// inventedHall makes a film with the sound of a session of a seed, and nothing to see.
func inventedHall(ts *testscript.TestScript, neg bool, args []string) {
	seed, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	sound := hall.MakeSession(hall.Clean, seed, 24000)
	var b bytes.Buffer
	ts.Check(binary.Write(&b, binary.LittleEndian, sound.Samples))
	raw := ts.MkAbs("sound.f32")
	ts.Check(os.WriteFile(raw, b.Bytes(), 0o600))
	ts.Check(ts.Exec("ffmpeg", "-v", "error", "-nostdin", "-f", "lavfi", "-i", "color=green:size=64x36:rate=10",
		"-f", "f32le", "-ar", "24000", "-ac", "1", "-i", raw, "-shortest", "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", args[0]))
}

// hallTwice makes two films of one minute in an invented hall, as two cameras recorded it, of
// a seed, and sets $OFFSET to a pattern of how many tenths of a second the second began later.
func hallTwice(ts *testscript.TestScript, neg bool, args []string) {
	seed, err := strconv.ParseInt(args[2], 10, 64)
	ts.Check(err)
	pair := hall.MakePair(hall.PairOptions{Hall: seed, Play: seed, Seconds: 60, Rate: 24000})
	for i, samples := range [][]float32{pair.First(), pair.Second()} {
		var b bytes.Buffer
		ts.Check(binary.Write(&b, binary.LittleEndian, samples))
		raw := ts.MkAbs("sound.f32")
		ts.Check(os.WriteFile(raw, b.Bytes(), 0o600))
		ts.Check(ts.Exec("ffmpeg", "-v", "error", "-nostdin", "-f", "lavfi", "-i", fmt.Sprintf("color=gray:size=64x36:rate=%d", 10+5*i),
			"-f", "f32le", "-ar", "24000", "-ac", "1", "-i", raw, "-shortest", "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", args[i]))
	}
	ts.Setenv("OFFSET", strings.ReplaceAll(fmt.Sprintf("%.1f", math.Trunc(10*(pair.Offset+pair.Middle))/10), ".", "[.]"))
}

// drawnTable makes a short film of a table, of three pictures or of as many as are asked for. $CORNERS, $TOPS and $FOOT are where it shows
// them, a foot 41 cm behind the end line and 63 cm inside the right side line.
func drawnTable(ts *testscript.TestScript, neg bool, args []string) {
	s := *demo.Make(31).Scenes[0]
	s.Frames = 3
	if len(args) > 1 {
		n, err := strconv.Atoi(args[1])
		ts.Check(err)
		s.Frames = n
	}
	ts.Check(film.Write(context.Background(), &s, ts.MkAbs(args[0]), nil))
	shown := func(places ...demo.Vec) string {
		var words []string
		for _, p := range places {
			x, y, _ := s.Camera.Project(p)
			words = append(words, fmt.Sprintf("%.1f,%.1f", x, y))
		}
		return strings.Join(words, " ")
	}
	c := demo.Corners()
	const top = demo.TableHeight + demo.NetHeight
	ts.Setenv("CORNERS", shown(c[0], c[3], c[2], c[1]))
	ts.Setenv("TOPS", shown(demo.Vec{X: demo.NetX, Y: -demo.NetOver, Z: top}, demo.Vec{X: demo.NetX, Y: demo.TableWidth + demo.NetOver, Z: top}))
	ts.Setenv("FOOT", shown(demo.Vec{X: -0.41, Y: 0.63}))
}

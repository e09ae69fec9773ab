package main

import (
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
)

// attacks is how many of the bad values are tried: see DEVELOPERS.md.
var attacks = flag.Int("attacks", 4, "one in so many pairs of a command's argument and a bad value is tried; 1 tries all")

// field is one argument of a command, as the program's own table has it.
type field struct {
	command, name string
	value         *kong.Value
}

// word is what the argument is given with.
func (f field) word(v string) string {
	if f.value.Flag == nil {
		return v
	}
	return "--" + f.name + "=" + v
}

// The kinds of arguments.
const (
	isFlag   = "flag"
	isChoice = "choice"
	isNumber = "number"
	isDay    = "day"
	isName   = "name" // of a player, a fault or a clip in the library
	isRead   = "file that is read"
	isWrite  = "file or folder that is written"
	isHome   = "library"
	isPlaces = "places in a picture"
	isAnswer = "answer to a question of merge"
	isText   = "what somebody writes"
	isNew    = "what something new is called"

	isUnmeant = "folder that does nothing by itself"
)

// kind tells what an argument takes; a new one that it cannot tell has to be told here.
func (f field) kind(t *testing.T) string {
	v := f.value
	switch place := ""; {
	case v.Target.Kind() == reflect.Bool:
		return isFlag
	case v.Enum != "":
		return isChoice
	case f.name == "library":
		return isHome
	case v.Target.Kind() == reflect.Int, v.Target.Kind() == reflect.Int64, v.Target.Kind() == reflect.Float64, v.Target.Type() == reflect.TypeFor[[]int]():
		return isNumber
	case f.command == "merge" && f.name == "films":
		return isUnmeant
	case v.Tag.Type == "path" && (strings.Contains(v.Help, "write") || strings.HasPrefix(v.Help, "File for") || strings.Contains(v.Help, "older for") || strings.Contains(v.Help, "empty folder")):
		return isWrite
	case v.Tag.Type == "path":
		return isRead
	default:
		if v.Flag != nil {
			place = v.Flag.PlaceHolder
		}
		switch {
		case place == "D" || place == "DATE":
			return isDay
		case strings.Contains(place, "X,Y"):
			return isPlaces
		case place == "Q=A":
			return isAnswer
		case place == "TEXT":
			return isText
		case f.command == "keep-pair" && f.name == "pair":
			return isNew
		case f.command == "define" || place == "P" || place == "C" || place == "CODE" || place == "CLIP@N" || f.name == "clip" || f.name == "pair" || f.command == "cameras":
			return isName
		}
		t.Fatalf("The attack does not know what %q of %q takes: say it here.", f.name, f.command)
		return ""
	}
}

// fields are all arguments of all commands but the window, with those of the
// program for each.
func fields(t *testing.T) (all []field) {
	k, err := kong.New(&cli{}, kong.Vars{"version": ""})
	require.NoError(t, err)
	for _, leaf := range k.Model.Leaves(false) {
		if leaf.Name == "window" {
			continue
		}
		for _, p := range leaf.Positional {
			all = append(all, field{leaf.Name, p.Name, p})
		}
		for _, f := range append(slices.Clone(leaf.Flags), k.Model.Flags...) {
			all = append(all, field{leaf.Name, f.Name, f.Value})
		}
	}
	require.Greater(t, len(all), 60)
	return all
}

// target is what is attacked: a library with a player, a turn, strokes and a mark.
type target struct {
	dir, library string
	player, clip string
	state        string // what the library holds
	files        string // what lies in the folder
}

// good is what each argument takes when nothing is wrong with it; a new one has to
// be told here.
func (g *target) good(t *testing.T, f field, kind string) string {
	in := func(name string) string { return filepath.Join(g.dir, name) }
	switch key := f.command + " " + f.name; {
	case kind == isHome && (f.command == "add-record" || f.command == "restore" || f.command == "add"):
		return in("made")
	case kind == isHome:
		return g.library
	case kind == isWrite:
		return in("written")
	case kind == isDay:
		return "2026-03-14"
	case kind == isPlaces:
		return "144,109.5 92,94 198.5,81 256.5,89"
	case kind == isNumber:
		return "2"
	case kind == isAnswer:
		return "same=same"
	case kind == isText:
		return "The elbow leads."
	case kind == isUnmeant:
		return in("copied")
	case key == "add-record file", key == "merge file":
		return in("record.json")
	case key == "restore file":
		return in("backup.db")
	case kind == isRead:
		return in("film.mov")
	case f.name == "player":
		return "Ines"
	case key == "cameras first", key == "cameras second":
		return in("knocks.wav")
	case f.name == "coach", f.name == "first", f.name == "second":
		return "Coach"
	case f.name == "drill":
		return "Forehand, diagonal"
	case f.name == "stroke", f.name == "pair":
		return "a stroke"
	case f.name == "decide":
		return "both"
	case f.name == "fault":
		return "LATE"
	case f.name == "clip":
		return "film.mov"
	case f.name == "left", f.name == "right":
		return "film.mov@2"
	}
	t.Fatalf("The attack does not know anything good for %q of %q: say it here.", f.name, f.command)
	return ""
}

// knocks is a sound of half a minute in which something knocks at odd times.
func knocks(t *testing.T) []byte {
	const rate, seconds = 16000, 30
	samples := make([]int16, rate*seconds)
	rng := rand.New(rand.NewPCG(5, 5))
	for at := .5; at < seconds-1; at += .3 + .7*rng.Float64() {
		for i := range rate / 20 {
			x := float64(i) / rate
			samples[int(at*rate)+i] += int16(20000 * math.Exp(-x/.006) * math.Sin(2*math.Pi*2000*x))
		}
	}
	var b bytes.Buffer
	for _, v := range []any{[]byte("RIFF"), uint32(36 + 2*len(samples)), []byte("WAVEfmt "), uint32(16), uint16(1), uint16(1),
		uint32(rate), uint32(2 * rate), uint16(2), uint16(16), []byte("data"), uint32(2 * len(samples)), samples} {
		require.NoError(t, binary.Write(&b, binary.LittleEndian, v))
	}
	return b.Bytes()
}

func newTarget(t *testing.T) *target {
	g := &target{dir: t.TempDir()}
	g.library = filepath.Join(g.dir, "library")
	film, err := os.ReadFile("../testdata/clips/a01_baseline.mp4")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(g.dir, "film.mov"), film, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(g.dir, "knocks.wav"), knocks(t), 0o600))
	ok := func(in string, args ...string) {
		var said bytes.Buffer
		require.Zero(t, run(t.Context(), append([]string{"--library", g.library}, args...), strings.NewReader(in), &said, &said), "%v: %s", args, said.String())
	}
	ok("", "add", filepath.Join(g.dir, "film.mov"), "--session", "2026-03-14")
	d, err := desk.Open(t.Context(), g.library, library.Options{})
	require.NoError(t, err)
	p, err := d.Catalogue.SavePlayer(t.Context(), club.Player{Name: "Ines", Hand: club.RightHand, ConsentFrom: "2020-01-01", ConsentBy: "M"})
	require.NoError(t, err)
	rows, err := d.Sessions.List(t.Context(), session.Page{})
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(t.Context())
	require.NoError(t, err)
	id := rows.Sessions[0].Clips[0].ID
	g.player, g.clip = string(p.ID), string(id)
	turn, err := d.Turns.Save(t.Context(), club.Turn{ClipID: id, PlayerID: p.ID, DrillID: cat.Drills[0].ID, First: 0, Last: 60})
	require.NoError(t, err)
	for _, frame := range []int{5, 15, 25, 35} {
		_, err = d.Strokes.Add(t.Context(), id, frame, club.Good)
		require.NoError(t, err)
	}
	_, err = d.Looks.Through(t.Context(), turn.ID, nil)
	require.NoError(t, err)
	require.NoError(t, d.Close())
	ok("", "ruler", "film.mov", "--corners", "144,109.5 92,94 198.5,81 256.5,89", "--keep")
	ok("7 LATE a note\n", "mark", "film.mov")
	ok("", "record", filepath.Join(g.dir, "record.json"), "--names")
	ok("", "backup", filepath.Join(g.dir, "backup.db"))
	g.state, g.files = g.holds(t), g.lists(t)
	return g
}

// holds is all that the library holds, as a record.
func (g *target) holds(t *testing.T) string {
	d, err := desk.Open(t.Context(), g.library, library.Options{})
	require.NoError(t, err)
	defer d.Close()
	var b bytes.Buffer
	require.NoError(t, d.Documents.WriteRecord(t.Context(), summary.Query{Names: true}, &b))
	return regexp.MustCompile(`"made": "[^"]*"`).ReplaceAllString(b.String(), "")
}

// lists is what lies in the folder: names, and sizes but for those of the ledger.
func (g *target) lists(t *testing.T) string {
	var b strings.Builder
	require.NoError(t, filepath.WalkDir(g.dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := e.Info()
		if err != nil {
			return err
		}
		size := info.Size()
		if e.IsDir() || strings.HasPrefix(path, g.library) {
			size = 0
		}
		fmt.Fprintln(&b, path, e.Type(), size)
		return nil
	}))
	return b.String()
}

// attack runs one command in this process and looks at its answer.
func (g *target) attack(t *testing.T, command string, args []string, in string, codes []int) {
	t.Helper()
	var out, errs bytes.Buffer
	answer := make(chan int, 1)
	go func() { answer <- run(t.Context(), args, strings.NewReader(in), &out, &errs) }()
	var code int
	select {
	case code = <-answer:
	case <-time.After(20 * time.Second):
		require.Fail(t, "no answer", "strokeledger %.300q", args)
	}
	said := fmt.Sprintf("strokeledger %.300q\nexit code %d\n%.2000s", args, code, errs.String())
	require.Contains(t, codes, code, said)
	if code == exitFine {
		g.tidy(t)
		g.files = g.lists(t)
		if enters[command] {
			g.state = g.holds(t)
		}
		return
	}
	g.plain(t, errs.String(), said, command == "add" || command == "forget")
	if !streams[command] {
		require.Empty(t, out.String(), "half a document: %s", said)
	}
	if now := g.lists(t); now != g.files {
		var more []string
		for line := range strings.Lines(now) {
			if !strings.Contains(g.files, line) {
				more = append(more, line)
			}
		}
		g.files = now
		require.Fail(t, "something was left behind or changed", "%s\n%s", said, more)
	}
}

// plain holds what is said of an error to one plain sentence a line; only some
// commands have more than one.
func (g *target) plain(t *testing.T, say, all string, more bool) {
	t.Helper()
	require.True(t, strings.HasSuffix(say, ".\n"), "no sentence: %s", all)
	lines := strings.Split(strings.TrimSuffix(say, "\n"), "\n")
	require.True(t, more || len(lines) == 1, "more than one line: %s", all)
	for _, line := range lines {
		require.True(t, utf8.ValidString(line), all)
		require.NotContains(t, line, "not foreseen", all)
		require.NotRegexp(t, `[\x00-\x1f\x7f]|strconv|sqlite|SQL |goroutine|\.go:|errno|%!|<nil>`, line, all)
		require.NotRegexp(t, `(^|[^"a-z])(open|stat|lstat|read|write|mkdir) /`, line, all)
	}
}

// tidy takes away what a command has written that did what it was told.
func (g *target) tidy(t *testing.T) {
	for _, name := range []string{"written", "made"} {
		require.NoError(t, os.RemoveAll(filepath.Join(g.dir, name)))
	}
}

// Whatever is given to whatever argument: the exit code is as the README has it, one
// plain sentence says what to do, and nothing is written. Commands and their
// arguments are those of the program's own table.
func TestEveryCommandTakesBadInput(t *testing.T) {
	g := newTarget(t)
	values := worst(t, g)
	all := fields(t)
	n := 0
	for _, f := range all {
		if f.value.Tag.Ignored || f.name == "help" {
			continue
		}
		kind := f.kind(t)
		if kind == isHome && homeless[f.command] {
			continue
		}
		t.Run(f.command+"/"+f.name, func(t *testing.T) {
			g.tidy(t)
			g.files = g.lists(t)
			for i, b := range values[kind] {
				if b.value == f.value.Default {
					continue // as good as nothing
				}
				if n++; n%*attacks != 0 && i > 0 || f.command == "demo" && slices.Contains(b.codes, exitFine) {
					continue
				}
				g.attack(t, f.command, g.line(t, all, f, kind, b.value), "", b.codes)
			}
		})
	}
	require.Equal(t, g.state, g.holds(t))
	t.Logf("%d pairs of an argument and a bad value", n)
}

// line is a command that is right but for one value.
func (g *target) line(t *testing.T, all []field, f field, kind, value string) (args []string) {
	args = []string{f.command}
	for _, o := range all {
		switch {
		case o.command != f.command:
		case o.name == f.name:
			args = append(args, f.word(value))
		case o.value.Required || o.name == "library":
			args = append(args, o.word(g.good(t, o, o.kind(t))))
		}
	}
	return args
}

// What is entered line by line is answered line by line.
func TestMarkTakesBadLines(t *testing.T) {
	g := newTarget(t)
	for _, in := range []string{
		"x", "7", "7 ", "7 NONE", "-1 LATE", "0x7 LATE", "75 LATE", "99999999999999999999 LATE", "1e3 LATE", "7 LATE", "\xff\xfe", "8 LATE \xff", "look", "look x", "look 70",
		"look 7 NONE", "look -1", "redo", "\x00", "8 LATE " + strings.Repeat("n", 1e5), strings.Repeat("n", 1e6), "\x1b[2J LATE", "9 \x1b[2J",
	} {
		g.attack(t, "mark", []string{"--library=" + g.library, "mark", "film.mov"}, in+"\n", []int{exitFailed})
	}
	require.Equal(t, g.state, g.holds(t))
}

// Words that are wrong before any command looks at them.
func TestWrongUse(t *testing.T) {
	g := newTarget(t)
	lib := "--library=" + g.library
	for _, args := range [][]string{
		{"--version=1"}, {"--version=true"}, {"--version="}, {"--help=1"}, {"--library="}, {"--library"}, {"--nonsense"}, {"nonsense"}, {""}, {"-x"},
		{lib, ""}, {lib, "summary", ""}, {lib, "summary", "--out="}, {lib, "summary", "--out", ""}, {lib, "summary", "--player", ""}, {lib, "todo", "--json=yes"},
		{lib, "summary", "extra"}, {lib, "summary", "--from", "2026-03-15", "--to", "2026-03-14"}, {lib, "reel", "--good", "--fault", "LATE", "--player", "Ines", "--out", g.dir + "/written"},
		{"still", g.dir + "/film.mov", "--frame", "0x10", "--out", g.dir + "/written"}, {"still", g.dir + "/film.mov", "--frame", "1,2", "--out", g.dir + "/written"},
		{lib, "captions", "film.mov", "--out", g.dir + "/written", "--chapters", g.dir + "/./written"},
		{"add", g.dir + "/film.mov"}, {"\xff"}, {"\x1b[2J"}, {"summary", "--\x1b[2J"},
	} {
		g.attack(t, "", args, "", []int{exitUsage})
	}
	require.Equal(t, g.state, g.holds(t))
}

// Where one of several files cannot be written, none is.
func TestAllFilesOrNone(t *testing.T) {
	g := newTarget(t)
	lib := "--library=" + g.library
	require.NoError(t, os.WriteFile(filepath.Join(g.dir, "there.vtt"), []byte("before"), 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(g.dir, "pictures"), 0o700))
	require.NoError(t, os.Mkdir(filepath.Join(g.dir, "pictures", "0000003.png"), 0o700))
	g.files = g.lists(t)
	in := func(name string) string { return filepath.Join(g.dir, name) }
	for _, args := range [][]string{
		{lib, "captions", "film.mov", "--out", in("missing/a.vtt"), "--chapters", in("b.vtt")},
		{lib, "captions", "film.mov", "--out", in("a.vtt"), "--chapters", in("missing/b.vtt")},
		{lib, "captions", "film.mov", "--out", in("there.vtt"), "--chapters", in("pictures")},
		{lib, "captions", "film.mov", "--out", in("there.vtt"), "--chapters", "/dev/full"},
		{"still", in("film.mov"), "--frame", "1", "--frame", "2", "--frame", "75", "--out", in("new/deep")},
		{"still", in("film.mov"), "--frame", "75", "--frame", "1", "--out", in("new")},
		{"still", in("film.mov"), "--frame", "1", "--frame", "75", "--out", in("pictures")},
		{"still", in("film.mov"), "--frame", "1", "--frame", "3", "--out", in("pictures")},
	} {
		g.attack(t, "", args, "", []int{exitFailed})
		there, err := os.ReadFile(in("there.vtt"))
		require.NoError(t, err)
		require.Equal(t, "before", string(there))
	}
	var all bytes.Buffer
	require.Zero(t, run(t.Context(), []string{lib, "captions", "film.mov", "--out", in("there.vtt"), "--chapters", in("b.vtt")}, nil, &all, &all), all.String())
	require.FileExists(t, in("b.vtt"))
	require.Zero(t, run(t.Context(), []string{"still", in("film.mov"), "--frame", "1", "--frame", "1", "--frame", "2", "--out", in("new/deep")}, nil, &all, &all), all.String())
	written, _ := filepath.Glob(in("new/deep/*"))
	require.Len(t, written, 2)
	left, _ := filepath.Glob(in(".strokeledger-*"))
	require.Empty(t, left)
}

package main

import (
	"bufio"
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/session"
)

// The long forms: see DEVELOPERS.md.
var (
	kills  = flag.Int("kills", 10, "how often the program is killed while it marks")
	faults = flag.Int("faults", 4, "at how many places each fault of the drive strikes")
)

// program is the real program as a process of its own.
func program(t *testing.T, args ...string) *exec.Cmd {
	self, err := os.Executable()
	require.NoError(t, err)
	return &exec.Cmd{Path: self, Args: append([]string{"strokeledger"}, args...), Env: os.Environ()}
}

// stretch is how many frames each of the clip's turns has: five turns in 75 frames.
const stretch = 15

// scribe is a library under marks and looks, with what should be in it.
type scribe struct {
	dir  string
	clip club.ID
	code []string // of the faults
	done []string // marks, as "frame code", and looks, as "look frame code..."; the last one is undone first
	redo []string // what was undone, the last at the end
	next int      // mark that comes next: no mark is made twice
}

func newScribe(t *testing.T, root string) *scribe {
	s := &scribe{dir: filepath.Join(root, "library")}
	require.Zero(t, run(t.Context(), []string{"--library", s.dir, "add", "../testdata/clips/a01_baseline.mp4", "--session", "2026-03-14"}, nil, io.Discard, os.Stderr))
	s.look(t, func(d *desk.Desk) {
		rows, err := d.Sessions.List(t.Context(), session.Page{})
		require.NoError(t, err)
		s.clip = rows.Sessions[0].Clips[0].ID
		cat, err := d.Library.Catalogue(t.Context())
		require.NoError(t, err)
		for _, f := range cat.Faults {
			s.code = append(s.code, f.Code)
		}
		player, err := d.Catalogue.SavePlayer(t.Context(), club.Player{Name: "Ines Varga", Hand: club.RightHand})
		require.NoError(t, err)
		for first := 0; first < 75; first += stretch {
			_, err := d.Turns.Save(t.Context(), club.Turn{ClipID: s.clip, PlayerID: player.ID, DrillID: cat.Drills[0].ID, First: first, Last: first + stretch - 1})
			require.NoError(t, err)
		}
	})
	return s
}

// aLook is an order to look through a turn for one to three faults. Now and then it
// asks for no more than was looked for before, and changes nothing.
func (s *scribe) aLook(random *rand.Rand) string {
	turn, codes := random.IntN(75/stretch)*stretch, map[string]bool{}
	for range 1 + random.IntN(3) {
		codes[s.code[random.IntN(len(s.code))]] = true
	}
	if before := slices.IndexFunc(s.done, isLook); before >= 0 && random.IntN(3) == 0 {
		words := strings.Fields(s.done[before])
		turn, _ = strconv.Atoi(words[1])
		codes = map[string]bool{words[2+random.IntN(len(words)-2)]: true}
	}
	line := fmt.Sprint("look ", turn)
	for _, code := range s.code { // as the catalogue has them
		if codes[code] {
			line += " " + code
		}
	}
	return line
}

func isLook(order string) bool { return strings.HasPrefix(order, "look ") }

// said reports whether one look that was made before says as much.
func (s *scribe) said(look string) bool {
	return slices.ContainsFunc(s.done, func(before string) bool {
		was, now := strings.Fields(before), strings.Fields(look)
		return isLook(before) && was[1] == now[1] && !slices.ContainsFunc(now[2:], func(code string) bool { return !slices.Contains(was[2:], code) })
	})
}

func (s *scribe) look(t *testing.T, at func(*desk.Desk)) {
	d, err := desk.Open(t.Context(), s.dir, library.Options{})
	require.NoError(t, err)
	at(d)
	require.NoError(t, d.Close())
}

// lines are n orders, some of them undo and redo, and what each would do to the
// scribe.
func (s *scribe) lines(random *rand.Rand, n int) (text []string, effect []func(*scribe)) {
	at := *s
	at.done, at.redo = slices.Clone(s.done), slices.Clone(s.redo)
	for range n {
		var line string
		var do func(*scribe)
		switch what := random.IntN(8); {
		case what == 0 && len(at.done) > 0:
			line, do = "undo", func(s *scribe) {
				last := len(s.done) - 1
				s.redo, s.done = append(s.redo, s.done[last]), s.done[:last]
			}
		case what == 1 && len(at.redo) > 0:
			line, do = "redo", func(s *scribe) {
				last := len(s.redo) - 1
				s.done, s.redo = append(s.done, s.redo[last]), s.redo[:last]
			}
		case what >= 6:
			line = at.aLook(random)
			look := line
			do = func(s *scribe) {
				if !s.said(look) {
					s.done, s.redo = append(s.done, look), nil
				}
			}
		case at.next >= 75*len(s.code):
			return text, effect
		default:
			line = fmt.Sprintf("%d %s", at.next%75, s.code[at.next/75])
			mark := line
			do = func(s *scribe) { s.done, s.redo, s.next = append(s.done, mark), nil, s.next+1 }
		}
		do(&at)
		text, effect = append(text, line), append(effect, do)
	}
	return text, effect
}

// agrees reports whether the library holds what the scribe says.
func (s *scribe) agrees(t *testing.T, d *desk.Desk) bool {
	led, err := d.Library.OfClip(t.Context(), s.clip)
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(t.Context())
	require.NoError(t, err)
	code := map[club.ID]string{}
	for _, f := range cat.Faults {
		code[f.ID] = f.Code
	}
	var got []string
	for _, m := range led.Marks {
		got = append(got, fmt.Sprintf("%d %s", m.Frame, code[m.FaultID]))
	}
	for _, l := range led.Looks {
		order := fmt.Sprint("look ", l.First)
		for _, id := range l.Faults {
			order += " " + code[id]
		}
		got = append(got, order)
	}
	want := slices.Clone(s.done)
	slices.Sort(got)
	slices.Sort(want)
	st, err := d.Library.State(t.Context())
	require.NoError(t, err)
	undo := len(s.done) == 0 || st.Undo == labelOf(s.done[len(s.done)-1])
	return slices.Equal(got, want) && undo && (len(s.redo) > 0) == (st.Redo != "")
}

// labelOf is what undo calls an order.
func labelOf(order string) string {
	words := strings.Fields(order)
	if !isLook(order) {
		return fmt.Sprintf("mark %s at frame %s", words[1], words[0])
	}
	first, _ := strconv.Atoi(words[1])
	return fmt.Sprintf("look through frames %d to %d for %s", first, first+stretch-1, strings.Join(words[2:], ", "))
}

// reconcile takes over what was acknowledged, and the order in flight where it has
// arrived; anything else in the library is a failure.
func (s *scribe) reconcile(t *testing.T, acknowledged int, effect []func(*scribe), after string) {
	s.look(t, func(d *desk.Desk) {
		ledger, _, err := d.Check(t.Context())
		require.NoError(t, err)
		require.Empty(t, ledger, after)
		for _, do := range effect[:acknowledged] {
			do(s)
		}
		if s.agrees(t, d) {
			return
		}
		if acknowledged < len(effect) {
			effect[acknowledged](s)
		}
		require.True(t, s.agrees(t, d), "%s: %d orders were acknowledged, and the library holds something else", after, acknowledged)
	})
}

// A program that is killed at any moment has lost nothing that it said was kept,
// and half of nothing; what it can undo and redo is what it says.
func TestKilledWhileMarking(t *testing.T) {
	random := rand.New(rand.NewPCG(3, uint64(*kills)))
	s := newScribe(t, t.TempDir())
	total := 0
	for kill := range *kills {
		if s.next > 60*len(s.code) { // nearly every mark is made: begin anew
			s.walk(t)
			s = newScribe(t, t.TempDir())
		}
		text, effect := s.lines(random, 400)
		cmd := program(t, "--library", s.dir, "mark", string(s.clip))
		cmd.Stdin = strings.NewReader(strings.Join(text, "\n"))
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		wait := time.Duration(random.IntN(150)) * time.Millisecond
		if kill%4 == 0 { // also while it starts, opens and closes
			time.AfterFunc(wait, func() { _ = cmd.Process.Kill() })
		}
		acknowledged := 0
		for lines := bufio.NewReader(out); ; acknowledged++ {
			if _, err := lines.ReadString('\n'); err != nil {
				break // what is no whole line was not acknowledged
			}
			if acknowledged == 0 && kill%4 != 0 {
				time.AfterFunc(wait, func() { _ = cmd.Process.Kill() })
			}
		}
		err = cmd.Wait()
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
			require.NoError(t, err)
		}
		total += acknowledged
		s.reconcile(t, acknowledged, effect, fmt.Sprint("kill ", kill))
	}
	s.walk(t)
	require.Greater(t, total, *kills, "the program had time to mark")
	t.Logf("%d kills, %d orders acknowledged, none lost", *kills, total)
}

// walk undoes every mark and look and does them again: the states on the way are those of
// the model.
func (s *scribe) walk(t *testing.T) {
	s.look(t, func(d *desk.Desk) {
		steps := len(s.done)
		for range steps {
			_, err := d.Library.Undo(t.Context())
			require.NoError(t, err)
			last := len(s.done) - 1
			s.redo, s.done = append(s.redo, s.done[last]), s.done[:last]
		}
		require.True(t, s.agrees(t, d), "after undoing everything")
		for range steps {
			_, err := d.Library.Redo(t.Context())
			require.NoError(t, err)
			last := len(s.redo) - 1
			s.done, s.redo = append(s.done, s.redo[last]), s.redo[:last]
		}
		require.True(t, s.agrees(t, d), "after doing everything again")
	})
}

// The drive fails under the ledger at any operation, once or for good, fills up,
// or loses its power in the middle of a write: what was acknowledged is there,
// nothing is half there, and a program that lives on says one sentence.
func TestFaultsOfTheDrive(t *testing.T) {
	shim := filepath.Join(t.TempDir(), "fault.so")
	out, err := exec.Command("cc", "-O1", "-shared", "-fPIC", "-o", shim, "testdata/fault/fault.c", "-ldl", "-lpthread").CombinedOutput()
	require.NoError(t, err, string(out))
	fresh := newScribe(t, t.TempDir())
	random := rand.New(rand.NewPCG(5, 8))
	text, effect := fresh.lines(random, 12)
	end, idle := *fresh, 0
	for _, do := range effect {
		before := fmt.Sprint(end.done, end.redo)
		do(&end)
		if before == fmt.Sprint(end.done, end.redo) {
			idle++
		}
	}
	require.True(t, slices.ContainsFunc(end.done, isLook), "something is looked through: %v", text)
	require.Positive(t, idle, "an order changes nothing: %v", text)

	// strike runs the orders on a copy of the library and settles with it.
	strike := func(kind string, at int, more ...string) (acknowledged int) {
		s := *fresh
		s.dir = filepath.Join(t.TempDir(), "library")
		s.done, s.redo = nil, nil
		require.NoError(t, os.CopyFS(s.dir, os.DirFS(fresh.dir)))
		var answer, said bytes.Buffer
		cmd := program(t, "--library", s.dir, "mark", string(s.clip))
		cmd.Env = append(cmd.Env, append(more, "LD_PRELOAD="+shim, "FAULT_PATH="+filepath.Join(s.dir, "ledger.db"), "FAULT_KIND="+kind, "FAULT_AT="+strconv.Itoa(at))...)
		cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(strings.Join(text, "\n")), &answer, &said
		err := cmd.Run()
		where := fmt.Sprintf("%s at operation %d %v", kind, at, more)
		acknowledged = bytes.Count(answer.Bytes(), []byte("\n"))
		if code := cmd.ProcessState.ExitCode(); code == 1 {
			require.Equal(t, 1, bytes.Count(said.Bytes(), []byte("\n")), "%s: %q", where, said.String())
			require.Regexp(t, `^(Line \d+: )?The (library|disk) [^\n]*\.\n$`, said.String(), where)
		} else if err != nil {
			require.Equal(t, 137, code, "%s: %s", where, said.String())
		}
		s.reconcile(t, acknowledged, effect, where)
		return acknowledged
	}
	count := filepath.Join(t.TempDir(), "count")
	require.Equal(t, len(text), strike("none", 0, "FAULT_COUNT="+count))
	raw, err := os.ReadFile(count)
	require.NoError(t, err)
	all, err := strconv.Atoi(string(raw))
	require.NoError(t, err)
	require.Greater(t, all, 2*len(text), "the shim sees what SQLite writes")
	cut := 0
	for _, kind := range []string{"power", "torn", "eio", "enospc", "short", "eio for good", "enospc for good"} {
		var more []string
		what, sticks := strings.CutSuffix(kind, " for good")
		if sticks {
			more = []string{"FAULT_STICKS=1"}
		}
		for i := range min(*faults, all) {
			if strike(what, 1+i*all/min(*faults, all), more...) < len(text) {
				cut++
			}
		}
	}
	require.Greater(t, cut, 3**faults, "the faults strike")
	t.Logf("%d faults in %d operations, %d cut the work short", 7*min(*faults, all), all, cut)
}

package store

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// helperEnv makes the test program do one job of another process and end; its
// value is the job, the folder and two numbers, separated by line ends.
const helperEnv = "STORE_TEST_HELPER"

func TestMain(m *testing.M) {
	if job := os.Getenv(helperEnv); job != "" {
		if err := help(job); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	// Every step of a round is on the disk before the next: thirty rounds are
	// enough each time, -rapid.checks=1000 is the long form.
	if err := flag.Set("rapid.checks", "30"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	flag.Parse() // what the command line says goes before
	os.Exit(m.Run())
}

func help(job string) error {
	part := strings.Split(job, "\n")
	n, err1 := strconv.Atoi(part[2])
	count, err2 := strconv.Atoi(part[3])
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	ctx := context.Background()
	l, err := Open(ctx, part[1], Options{})
	if err != nil {
		return err
	}
	defer l.Close()
	switch part[0] {
	case "write": // so many marks of an own number range, then end
		return helpWrite(ctx, l, n, count)
	case "write until killed":
		return helpWrite(ctx, l, n, untilKilled)
	case "take in until killed":
		return helpTakeIn(ctx, l, n)
	case "read":
		return helpRead(ctx, l)
	case "try to write":
		return helpReadOnly(ctx, l)
	}
	return fmt.Errorf("no job %q", part[0])
}

const (
	crashes     = 30
	untilKilled = 1 << 30
)

// The short form; the long one is 1000, see DEVELOPERS.md.
var writesEach = flag.Int("writes", 300, "changes by each of two processes at once")

// helpWrite marks, with now and then an undo, and says each change that was
// acknowledged: the mark's number, or its number taken back.
func helpWrite(ctx context.Context, l *Library, from, count int) error {
	for i := from; i < from+count; i++ {
		// A mark, a stroke and a look in one change: never one without the others. A busy
		// machine can keep a writer waiting for longer than busyTimeout: it is asked to try
		// again, and nothing of the first try may be kept.
		_, err := l.Do(ctx, "helper", fmt.Sprint(i), Put(mark(i, 0, 0, i)), Put(stroke(i, 0, i)), Put(look(i, 0, 0, 9, 1)))
		for errors.Is(err, ErrBusy) {
			_, err = l.Do(ctx, "helper", fmt.Sprint(i), Put(mark(i, 0, 0, i)), Put(stroke(i, 0, i)), Put(look(i, 0, 0, 9, 1)))
		}
		if err != nil {
			return err
		}
		fmt.Println(i)
		if count == untilKilled && i%5 == 4 { // alone in the library: the last step is its own
			if _, err := l.Undo(ctx, "helper"); err != nil {
				return err
			}
			fmt.Println(-i)
		}
	}
	return nil
}

// helpRead reads on until its input ends: never an error, never half a change,
// never less than before.
func helpRead(ctx context.Context, l *Library) error {
	ended := make(chan struct{})
	go func() {
		_, _ = io.Copy(io.Discard, os.Stdin)
		close(ended)
	}()
	for seen := 0; ; {
		led, err := l.OfClip(ctx, id("clip", 0))
		if err != nil {
			return err
		}
		if len(led.Marks) != len(led.Strokes) || len(led.Marks) != len(led.Looks) || len(led.Marks) < seen {
			return fmt.Errorf("%d marks, %d strokes and %d looks after %d", len(led.Marks), len(led.Strokes), len(led.Looks), seen)
		}
		seen = len(led.Marks)
		select {
		case <-ended:
			fmt.Println(seen)
			return nil
		default:
		}
	}
}

// helper starts the job in another process.
func helper(job, dir string, n int, count ...int) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s\n%s\n%d\n%d", helperEnv, job, dir, n, slices.Max(append(count, 0))))
	cmd.Stderr = os.Stderr
	return cmd
}

// Two processes write and four read at once: no row is lost, and none is kept twice.
func TestTwoWritersFourReaders(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(longClip()))
	var readers []*exec.Cmd
	var stops []io.Closer
	for range 4 {
		r := helper("read", l.Dir(), 0)
		stop, err := r.StdinPipe()
		require.NoError(t, err)
		require.NoError(t, r.Start())
		readers, stops = append(readers, r), append(stops, stop)
	}
	var writers sync.WaitGroup
	failed := make(chan error, 2)
	for w := range 2 {
		writers.Go(func() {
			out, err := helper("write", l.Dir(), w*100_000, *writesEach).Output()
			if n := strings.Count(string(out), "\n"); err == nil && n != *writesEach {
				err = fmt.Errorf("%d of %d acknowledged", n, writesEach)
			}
			failed <- err
		})
	}
	writers.Wait()
	for range 2 {
		require.NoError(t, <-failed)
	}
	for i, r := range readers {
		require.NoError(t, stops[i].Close())
		require.NoError(t, r.Wait())
	}
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Len(t, led.Marks, 2**writesEach)
	require.Len(t, led.Strokes, 2**writesEach)
	require.Len(t, led.Looks, 2**writesEach)
	latest, err := l.Latest(ctx)
	require.NoError(t, err)
	require.EqualValues(t, 2+2**writesEach, latest, "one entry of the log a change")
	r, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, r.OK, "%v", r.Findings)
}

// A program that is killed at any moment has lost nothing that it said was kept,
// and half of nothing.
func TestKilledWhileWriting(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "club")
	l := open(t, dir, Options{Create: true})
	fill(t, l)
	must(t, l, Put(longClip()))
	require.NoError(t, l.Close())
	there := map[int]bool{}
	random := rand.New(rand.NewPCG(1, 2))
	for crash := range crashes {
		from := (crash + 1) * 100_000
		acknowledged, err := killed(helper("write until killed", dir, from), time.Duration(10+random.IntN(120))*time.Millisecond)
		require.NoError(t, err)
		last := from - 1
		for _, n := range acknowledged {
			there[max(n, -n)] = n > 0
			last = max(last, n)
		}

		l, err := Open(ctx, dir, Options{})
		require.NoError(t, err)
		led, err := l.OfClip(ctx, id("clip", 0))
		require.NoError(t, err)
		require.Equal(t, []int{len(led.Marks), len(led.Marks)}, []int{len(led.Strokes), len(led.Looks)}, "no half changes")
		marks := map[int]bool{}
		for _, m := range led.Marks {
			var n int
			_, err := fmt.Sscanf(string(m.ID), "mark-%d", &n)
			require.NoError(t, err)
			marks[n] = true
		}
		// What was in flight may have been kept or not: the mark after the last
		// that was acknowledged, or the undo of the last.
		undone := last%5 == 4 && there[last]
		for n, want := range there {
			if n == last && undone {
				want = marks[n]
				there[n] = want
			}
			require.Equal(t, want, marks[n], "mark %d after crash %d", n, crash)
		}
		if marks[last+1] {
			there[last+1] = true
		}
		require.Len(t, marks, trueOnes(there))
		r, err := l.Check(ctx)
		require.NoError(t, err)
		require.True(t, r.OK, "%v", r.Findings)
		undo, _, err := l.History(ctx)
		require.NoError(t, err)
		require.NotEmpty(t, undo)
		require.NoError(t, l.Close())
	}
	require.Greater(t, len(there), crashes, "the helpers had time to write")
}

func trueOnes(m map[int]bool) (n int) {
	for _, v := range m {
		if v {
			n++
		}
	}
	return n
}

// killed starts the program, ends it the hard way once it has been writing for a
// while, and returns the numbers that it printed whole.
func killed(cmd *exec.Cmd, after time.Duration) (numbers []int, err error) {
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewReader(out)
	var timer *time.Timer
	for {
		line, err := lines.ReadString('\n')
		if err != nil {
			break // what is not a whole line was not acknowledged
		}
		if timer == nil {
			timer = time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
			defer timer.Stop()
		}
		n, err := strconv.Atoi(strings.TrimSpace(line))
		if err != nil {
			return nil, err
		}
		numbers = append(numbers, n)
	}
	var exit *exec.ExitError
	if err := cmd.Wait(); !errors.As(err, &exit) || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
		return nil, fmt.Errorf("the helper ended by itself: %w", err)
	}
	return numbers, nil
}

// A library that may only be read opens and says so when it is changed. The job
// runs as nobody where the test runs as root, whom permissions do not stop.
func TestReadOnly(t *testing.T) {
	l := filled(t)
	must(t, l, Put(mark(0, 0, 0, 1)))
	require.NoError(t, l.Close())
	ledger := filepath.Join(l.Dir(), fileName)
	rights := func(folder, file os.FileMode) {
		require.NoError(t, os.Chmod(l.Dir(), folder))
		for _, end := range []string{"", "-wal", "-shm"} {
			if err := os.Chmod(ledger+end, file); !errors.Is(err, fs.ErrNotExist) {
				require.NoError(t, err)
			}
		}
	}
	try := func(what string) {
		before := tree(t, l.Dir())[ledger]
		cmd := helper("try to write", l.Dir(), 0)
		asNobody(t, cmd)
		out, err := cmd.Output()
		require.NoError(t, err, what)
		require.Equal(t, "read only\n", string(out), what)
		require.Equal(t, before, tree(t, l.Dir())[ledger], what)
	}
	rights(0o777, 0o444)
	try("file")
	rights(0o555, 0o666)
	try("folder")
	rights(0o555, 0o444)
	try("file and folder")

	// The owner has it open, and what was marked lies in SQLite's log still.
	rights(0o700, 0o600)
	l = open(t, l.Dir(), Options{})
	must(t, l, Remove[club.Mark](id("mark", 0)))
	must(t, l, Put(mark(1, 0, 0, 1)))
	rights(0o555, 0o444)
	try("while the owner writes")
	rights(0o700, 0o600)
}

// A library that was opened as it stands notices that it does not stand still.
func TestReadOnlyNoticesChanges(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	l.still = true
	_, err := l.Sessions(ctx)
	require.NoError(t, err)
	must(t, l, Put(player(9)))
	_, err = l.write.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	require.NoError(t, err)
	_, err = l.Sessions(ctx)
	requireSentence(t, err, ErrBusy, l.Dir())
}

// helpReadOnly reads, then tries every way to write.
func helpReadOnly(ctx context.Context, l *Library) error {
	if !l.ReadOnly() || !strings.Contains(l.Warning(), l.Dir()) {
		return errors.New("the library does not say that it is read-only")
	}
	led, err := l.OfClip(ctx, id("clip", 0))
	if err != nil || len(led.Marks) != 1 {
		return fmt.Errorf("read %d marks: %w", len(led.Marks), err)
	}
	if r, err := l.Check(ctx); err != nil || !r.OK {
		return fmt.Errorf("%v: %w", r.Findings, err)
	}
	_, do := l.Do(ctx, "a", "x", Put(player(9)))
	_, undo := l.Undo(ctx, "a")
	for _, err := range []error{do, undo, l.SetSetting(ctx, "k", "v"), l.PutIndex(ctx, "p", []byte("x"))} {
		if !errors.Is(err, ErrReadOnly) || !strings.Contains(err.Error(), l.Dir()) {
			return fmt.Errorf("writing gave %w", err)
		}
	}
	if _, err := Get[club.Player](ctx, l, player(9).ID); !errors.Is(err, ErrUnknown) {
		return fmt.Errorf("reading a row that was refused gave %w", err)
	}
	fmt.Println("read only")
	return nil
}

// asNobody takes root's rights from a helper, and lets it reach its files.
func asNobody(t *testing.T, cmd *exec.Cmd) {
	if os.Getuid() != 0 {
		return
	}
	const nobody = 65534
	program := filepath.Join(t.TempDir(), "helper")
	require.NoError(t, copyFile(os.Args[0], program))
	require.NoError(t, os.Chmod(program, 0o755))
	for dir := filepath.Dir(program); dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	cmd.Path = program
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
}

// Opening a library a second time in one program, and letting go of it, must not
// cost the first its locks: else a command that ends meanwhile takes itself for the
// last one, and removes the journal that the first goes on writing
// (sqlite.org/howtocorrupt.html, section 2.2).
func TestASecondOpeningLeavesTheLocksOfTheFirst(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "library")
	window, err := Open(ctx, dir, Options{Create: true})
	require.NoError(t, err)
	defer window.Close()
	put := func(name string) {
		_, err := window.Do(ctx, "", "add coach", Put(club.Coach{ID: club.NewID(), Name: name}))
		require.NoError(t, err)
	}
	put("before")
	_, err = Open(ctx, filepath.Join(dir, "none"), Options{})
	require.Error(t, err)
	again, err := Open(ctx, dir, Options{})
	require.NoError(t, err)
	require.NoError(t, again.Close())

	shell := func(sql string) string {
		out, err := exec.Command("sqlite3", "-batch", filepath.Join(dir, fileName), sql).CombinedOutput()
		require.NoError(t, err, "%s", out)
		return string(out)
	}
	require.Contains(t, shell("SELECT name FROM coach"), "before")
	require.FileExists(t, filepath.Join(dir, fileName+"-wal"))
	put("after")
	require.Contains(t, shell("SELECT name FROM coach"), "after")
}

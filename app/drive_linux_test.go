package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"strokeledger/internal/desk"
)

// process is the real program while it takes marks line by line.
type process struct {
	cmd  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Reader
	said bytes.Buffer
}

func (s *scribe) begin(t *testing.T, cmd *exec.Cmd) *process {
	p := &process{cmd: cmd}
	var err error
	p.in, err = cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	p.out, cmd.Stderr = bufio.NewReader(out), &p.said
	require.NoError(t, cmd.Start())
	return p
}

// order sends one line and reports whether it was acknowledged.
func (p *process) order(line string) bool {
	if _, err := fmt.Fprintln(p.in, line); err != nil {
		return false
	}
	_, err := p.out.ReadString('\n')
	return err == nil
}

// end closes the input and returns the exit code.
func (p *process) end(t *testing.T) int {
	_ = p.in.Close()
	_, _ = io.Copy(io.Discard, p.out)
	_ = p.cmd.Wait()
	return p.cmd.ProcessState.ExitCode()
}

// drive is a disk of its own of some megabytes, where the test may mount one. It
// can be made read-only and writable again, full and empty again.
type drive struct {
	dir     string
	mounted bool
}

func newDrive(t *testing.T) *drive {
	d := &drive{dir: t.TempDir()}
	d.mounted = unix.Mount("none", d.dir, "tmpfs", 0, "size=6m") == nil
	if d.mounted {
		t.Cleanup(func() { require.NoError(t, unix.Unmount(d.dir, unix.MNT_DETACH)) })
	}
	return d
}

// readOnly lays a read-only view over the folder, as a system does with a drive
// that it does not trust any more, and takes it away; files that are open already
// go on. Where nothing can be mounted, rights do it; they stop everybody but root,
// who can mount.
func (d *drive) readOnly(t *testing.T, dir string, yes bool) {
	switch {
	case d.mounted && yes:
		require.NoError(t, unix.Mount(dir, dir, "", unix.MS_BIND, ""))
		require.NoError(t, unix.Mount("none", dir, "", unix.MS_BIND|unix.MS_REMOUNT|unix.MS_RDONLY, ""))
	case d.mounted:
		require.NoError(t, unix.Unmount(dir, unix.MNT_DETACH))
	case yes:
		require.NoError(t, os.Chmod(filepath.Join(dir, "ledger.db"), 0o400))
		require.NoError(t, os.Chmod(dir, 0o500))
	default:
		require.NoError(t, os.Chmod(dir, 0o700))
		require.NoError(t, os.Chmod(filepath.Join(dir, "ledger.db"), 0o600))
	}
}

// The library turns read-only while the program has it open: it says so in one
// sentence, and what was acknowledged is there.
func TestDriveTurnsReadOnlyInMidSession(t *testing.T) {
	d := newDrive(t)
	s := newScribe(t, d.dir)
	p := s.begin(t, program(t, "--library", s.dir, "mark", string(s.clip)))
	require.True(t, p.order("3 "+s.code[0]))
	s.done, s.next = []string{"3 " + s.code[0]}, 1
	d.readOnly(t, s.dir, true)
	acknowledged := p.order("4 " + s.code[0]) // files that are open may be written still
	code := p.end(t)
	if acknowledged {
		s.done = append(s.done, "4 "+s.code[0])
		require.Zero(t, code)
	} else {
		require.Equal(t, 1, code)
		require.Regexp(t, `^Line 2: The library in [^\n]*\.\n$`, p.said.String())
	}
	again := program(t, "--library", s.dir, "mark", string(s.clip))
	again.Stdin = strings.NewReader("5 " + s.code[0] + "\n")
	out, err := again.CombinedOutput()
	require.Error(t, err)
	require.Regexp(t, `^(Today's backup could not be made: [^\n]*\n)?Line 1: The library in [^\n]* can be read but not written: [^\n]*\.\n$`, string(out))
	d.readOnly(t, s.dir, false)
	s.reconcile(t, 0, nil, "read-only")
}

// The drive fills up while marks are made, and has room again later; files may not
// grow beyond a limit: one sentence each, and nothing is lost.
func TestDriveFillsUp(t *testing.T) {
	d := newDrive(t)
	s := newScribe(t, d.dir)
	p := s.begin(t, program(t, "--library", s.dir, "mark", string(s.clip)))
	require.True(t, p.order("0 "+s.code[0]))
	s.done, s.next = []string{"0 " + s.code[0]}, 1
	ballast := filepath.Join(d.dir, "ballast")
	if d.mounted {
		fill(t, ballast)
	} else { // no disk of its own to fill: the file may not grow
		require.NoError(t, limit(p.cmd.Process.Pid, 4096))
	}
	failed := false
	for n := 1; n < 60*len(s.code) && !failed; n++ {
		mark := fmt.Sprintf("%d %s", n%75, s.code[n/75])
		if failed = !p.order(mark); !failed {
			s.done = append(s.done, mark)
		}
	}
	require.True(t, failed, "the disk fills up")
	require.Equal(t, 1, p.end(t))
	require.Regexp(t, `^Line \d+: The (disk that holds the )?library in [^\n]*\.\n$`, p.said.String())
	_ = os.Remove(ballast)
	s.reconcile(t, 0, nil, "full disk")

	// A limit on the size of files stands for quotas, which answer in their own way.
	cmd := exec.Command("sh", "-c", `trap "" XFSZ; ulimit -f 1200; exec "$@"`, "sh", "strokeledger")
	self, err := os.Executable()
	require.NoError(t, err)
	cmd.Args = append(cmd.Args[:4], append([]string{filepath.Join(t.TempDir(), "strokeledger")}, "--library", s.dir, "mark", string(s.clip))...)
	require.NoError(t, os.Symlink(self, cmd.Args[4]))
	p = s.begin(t, cmd)
	failed = false
	for n := 75 * (len(s.code) - 1); n < 75*len(s.code) && !failed; n++ {
		mark := fmt.Sprintf("%d %s", n%75, s.code[n/75])
		if failed = !p.order(mark + " " + strings.Repeat("long ", 300)); !failed {
			s.done = append(s.done, mark)
		}
	}
	require.True(t, failed, "the limit is reached")
	require.Equal(t, 1, p.end(t))
	require.Regexp(t, `^Line \d+: The (disk that holds the )?library in [^\n]*\.\n$`, p.said.String())
	s.redo = nil
	s.look(t, s.soundWithAtLeast(t))
}

func fill(t *testing.T, path string) {
	f, err := os.Create(path)
	require.NoError(t, err)
	defer f.Close()
	piece := make([]byte, 4096)
	for {
		if _, err := f.Write(piece); err != nil {
			require.ErrorIs(t, err, syscall.ENOSPC)
			return
		}
	}
}

func limit(pid int, bytes uint64) error {
	return unix.Prlimit(pid, unix.RLIMIT_FSIZE, &unix.Rlimit{Cur: bytes, Max: bytes}, nil)
}

// soundWithAtLeast checks that every mark that was acknowledged is there.
func (s *scribe) soundWithAtLeast(t *testing.T) func(*desk.Desk) {
	return func(d *desk.Desk) {
		ledger, _, err := d.Check(t.Context())
		require.NoError(t, err)
		require.Empty(t, ledger)
		led, err := d.Library.OfClip(t.Context(), s.clip)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(led.Marks), len(s.done))
		require.LessOrEqual(t, len(led.Marks), len(s.done)+1)
	}
}

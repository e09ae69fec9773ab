package clip

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// hanging is a file system with one film in it that stops answering when it is
// told to, whatever it is asked: the kernel's interface for file systems of
// programs, spoken as linux/fuse.h has it (version 7.31). A program of its own
// serves it, since the kernel could not end one that waits for itself, and alone
// has it among its mounts: nothing else on the machine should hang with it.
type hanging struct {
	film  string
	bytes []byte
	fd    int

	mu   sync.Mutex
	gate chan struct{} // closed while it answers
}

// remote is a file system that a program serves.
type remote struct {
	t    *testing.T
	film string
	tell io.WriteCloser
}

const hangingEnv = "STROKELEDGER_HANGING_FILE_SYSTEM"

// mountHanging reports false where nothing may be mounted.
func mountHanging(t *testing.T, name, source string) (*remote, bool) {
	dir := t.TempDir()
	cmd := exec.Command(os.Args[0], "-test.run=^TestServeTheHangingFileSystem$", "-test.v=false")
	cmd.Env = append(os.Environ(), hangingEnv+"="+filepath.Join(dir, name)+"\n"+source)
	cmd.SysProcAttr = &syscall.SysProcAttr{Unshareflags: syscall.CLONE_NEWNS}
	tell, err := cmd.StdinPipe()
	require.NoError(t, err)
	heard, err := cmd.StdoutPipe()
	require.NoError(t, err)
	if cmd.Start() != nil {
		return nil, false
	}
	said, _ := bufio.NewReader(heard).ReadString('\n')
	t.Cleanup(func() {
		tell.Close()
		_ = cmd.Wait()
	})
	return &remote{t, filepath.Join(fmt.Sprintf("/proc/%d/root", cmd.Process.Pid), dir, name), tell}, said == "mounted\n"
}

func (r *remote) say(word string) {
	_, err := io.WriteString(r.tell, word)
	require.NoError(r.t, err)
	time.Sleep(20 * time.Millisecond) // it has heard it
}

func (r *remote) hang()   { r.say("h") }
func (r *remote) answer() { r.say("a") }

// TestServeTheHangingFileSystem is the program that mountHanging begins.
func TestServeTheHangingFileSystem(t *testing.T) {
	film, source, ok := strings.Cut(os.Getenv(hangingEnv), "\n")
	if !ok {
		return
	}
	content, err := os.ReadFile(source)
	require.NoError(t, err)
	fd, err := unix.Open("/dev/fuse", unix.O_RDWR|unix.O_CLOEXEC, 0)
	if err != nil || unix.Mount("hanging", filepath.Dir(film), "fuse", unix.MS_NOSUID|unix.MS_NODEV|unix.MS_RDONLY, fmt.Sprintf("fd=%d,rootmode=40000,user_id=0,group_id=0", fd)) != nil {
		fmt.Println("not mounted")
		return
	}
	h := &hanging{film: film, bytes: content, fd: fd, gate: make(chan struct{})}
	close(h.gate)
	go h.serve()
	fmt.Println("mounted")
	for word := make([]byte, 1); ; {
		if _, err := os.Stdin.Read(word); err != nil {
			os.Exit(0) // the kernel ends what is still asked
		}
		if word[0] == 'h' {
			h.hang()
		} else {
			h.answer()
		}
	}
}

func (h *hanging) hang() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.gate = make(chan struct{})
	// A test that is ended meanwhile cannot end before it has its answers.
	time.AfterFunc(time.Minute, h.answer)
}

func (h *hanging) answer() {
	h.mu.Lock()
	defer h.mu.Unlock()
	select {
	case <-h.gate:
	default:
		close(h.gate)
	}
}

func (h *hanging) serve() {
	for {
		b := make([]byte, 1<<17+4096)
		n, err := unix.Read(h.fd, b)
		if err == unix.EINTR || err == unix.EAGAIN || err == unix.ENOENT {
			continue // whoever asked waits no longer
		}
		if err != nil {
			return // unmounted
		}
		h.mu.Lock()
		gate := h.gate
		h.mu.Unlock()
		go func() {
			<-gate
			h.reply(b[:n])
		}()
	}
}

func (h *hanging) reply(b []byte) {
	le := binary.LittleEndian
	operation, unique, node, in := le.Uint32(b[4:]), le.Uint64(b[8:]), le.Uint64(b[16:]), b[40:]
	var out []byte
	failure := int32(0)
	put64 := func(v ...uint64) {
		for _, x := range v {
			out = le.AppendUint64(out, x)
		}
	}
	put32 := func(v ...uint32) {
		for _, x := range v {
			out = le.AppendUint32(out, x)
		}
	}
	attributes := func(node uint64) {
		size, mode := uint64(0), uint32(unix.S_IFDIR|0o755)
		if node == 2 {
			size, mode = uint64(len(h.bytes)), unix.S_IFREG|0o644
		}
		put64(node, size, (size+511)/512, 0, 0, 0)
		put32(0, 0, 0, mode, 1, 0, 0, 0, 4096, 0)
	}
	switch operation {
	case 1: // lookup; nothing that is told holds any longer than this answer
		if string(in[:len(in)-1]) != filepath.Base(h.film) {
			failure = -int32(unix.ENOENT)
			break
		}
		put64(2, 0, 0, 0)
		put32(0, 0)
		attributes(2)
	case 2, 36, 42: // forget, interrupt: no answer
		return
	case 3: // attributes
		put64(0)
		put32(0, 0)
		attributes(node)
	case 14: // open; 1: nothing that was read is kept by the kernel
		put64(0)
		put32(1, 0)
	case 15: // read
		from, size := le.Uint64(in[8:]), uint64(le.Uint32(in[16:]))
		if from < uint64(len(h.bytes)) {
			out = h.bytes[from:min(from+size, uint64(len(h.bytes)))]
		}
	case 18, 25, 27, 29: // release, flush, a folder's open and release
		if operation == 27 {
			put64(0, 0)
		}
	case 26: // begin
		put32(7, 31, 1<<17, 0, 12|10<<16, 1<<17, 1, 32)
		put64(0, 0, 0, 0)
	default:
		failure = -int32(unix.ENOSYS)
	}
	head := le.AppendUint32(nil, uint32(16+len(out)))
	head = le.AppendUint32(head, uint32(failure))
	head = le.AppendUint64(head, unique)
	_, _ = unix.Write(h.fd, append(head, out...)) // who asked may have been ended
}

func TestTheHangingFileSystemIsAFileSystem(t *testing.T) {
	content, err := os.ReadFile(plainClip)
	require.NoError(t, err)
	h, ok := mountHanging(t, "film.mp4", plainClip)
	if !ok {
		t.Log("nothing may be mounted here: the gate alone is tested")
		return
	}
	got, err := os.ReadFile(h.film)
	require.NoError(t, err)
	require.Equal(t, content, got)
	h.hang()
	done := make(chan error, 1)
	go func() {
		_, err := os.ReadFile(h.film)
		done <- err
	}()
	select {
	case <-done:
		t.Fatal("it answers although it hangs")
	case <-time.After(200 * time.Millisecond):
	}
	h.answer()
	require.NoError(t, <-done)
}

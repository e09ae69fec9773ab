package clip

import (
	"context"
	"os"
	"sync"
)

// Drives opens files and asks for their sizes, and never repeats a call on a path
// while an earlier one still waits for its drive: each would leave one more blocked
// thread behind. The zero value is ready to use. Safe for concurrent use.
type Drives struct {
	mu   sync.Mutex
	owed map[string]map[*deadline]int // calls under way, by file or folder
}

// Open is the function Open.
func (d *Drives) Open(ctx context.Context, path string, o Options) (*Clip, error) {
	o.deadline = d.of(path)
	return Open(ctx, path, o)
}

// OpenSound is the function OpenSound.
func (d *Drives) OpenSound(ctx context.Context, path string, sound int) (*Recording, error) {
	return d.of(path).sound(ctx, sound)
}

// Fingerprint is the function Fingerprint.
func (d *Drives) Fingerprint(path string) (string, int64, error) { return d.of(path).fingerprint() }

// Size is the function Size.
func (d *Drives) Size(ctx context.Context, path string) (int64, error) { return d.of(path).length(ctx) }

func (d *Drives) of(path string) *deadline {
	p := newDeadline(path)
	p.drives = d
	return p
}

// begin counts a call as under way until end; a nil Drives counts nothing.
func (d *Drives) begin(p *deadline) {
	if d == nil {
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.owed == nil {
		d.owed = map[string]map[*deadline]int{}
	}
	if d.owed[p.path] == nil {
		d.owed[p.path] = map[*deadline]int{}
	}
	d.owed[p.path][p]++
}

func (d *Drives) end(p *deadline) {
	if d == nil {
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.owed[p.path][p]--; d.owed[p.path][p] == 0 {
		delete(d.owed[p.path], p)
	}
	if len(d.owed[p.path]) == 0 {
		delete(d.owed, p.path)
	}
}

// slow is the error of a path on which another call has waited too long, nil where
// there is none.
func (d *Drives) slow(path string) error {
	if d == nil {
		return nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	for other := range d.owed[path] {
		if err := other.slow(); err != nil {
			return err
		}
	}
	return nil
}

// Sizes returns the lengths of files of one folder, in their order, and -1 for one
// that cannot be read. They are looked at one after the other, so that a drive
// that does not answer costs one wait. The error then wraps [ErrSlow], and the
// lengths are of the files that come before; so it is with the context's error.
func (d *Drives) Sizes(ctx context.Context, folder string, paths []string) ([]int64, error) {
	return d.of(folder).sizes(ctx, paths)
}

func (p *deadline) sizes(ctx context.Context, paths []string) ([]int64, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	found := make(chan int64, len(paths)) // holds all paths: an abandoned goroutine still sends, and nobody receives
	err := p.try(ctx, func() {
		for _, path := range paths {
			if ctx.Err() != nil {
				break
			}
			size := int64(-1)
			p.watch.During(func() {
				if n, err := reachable(path); err == nil {
					size = n
				}
			})
			found <- size
		}
	})
	sizes := make([]int64, 0, len(paths))
	for range len(found) {
		sizes = append(sizes, <-found)
	}
	return sizes, err
}

// File is an ordinary file in a folder.
type File struct {
	Name string
	Size int64
}

// Files lists the ordinary files of a folder, by their names. The error wraps
// [ErrSlow] where its drive does not answer.
func (d *Drives) Files(ctx context.Context, folder string) ([]File, error) {
	return d.of(folder).files(ctx)
}

func (p *deadline) files(ctx context.Context) ([]File, error) {
	type answer struct {
		files []File
		err   error
	}
	found := make(chan answer, 1)
	err := p.try(ctx, func() {
		var a answer
		p.watch.During(func() {
			var entries []os.DirEntry
			entries, a.err = os.ReadDir(p.path)
			for _, e := range entries {
				if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
					a.files = append(a.files, File{e.Name(), info.Size()})
				}
			}
		})
		found <- a
	})
	if err != nil {
		return nil, err
	}
	a := <-found
	return a.files, a.err
}

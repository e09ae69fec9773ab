package clip

import (
	"context"
	"os"
	"sync"
)

// Finder asks for the lengths of many files, folder by folder. A folder whose
// drive has not answered is not asked again before it has: each question would
// leave one more thread behind that waits for it. The zero value is ready to use.
// Safe for concurrent use.
type Finder struct {
	mu   sync.Mutex
	owed map[string]int // questions left behind, by folder
}

// Sizes returns the lengths of files of one folder, in their order, and -1 for one
// that cannot be read. They are looked at one after the other, so that a drive
// that does not answer costs one wait. The error then wraps [ErrSlow], and the
// lengths are of the files that come before; so it is with the context's error.
func (f *Finder) Sizes(ctx context.Context, folder string, paths []string) ([]int64, error) {
	return f.sizes(ctx, newPatience(folder), paths)
}

func (f *Finder) sizes(ctx context.Context, p *patience, paths []string) ([]int64, error) {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	found := make(chan int64, len(paths)) // holds all: who was left behind writes, and nobody reads
	err := f.ask(ctx, p, func() {
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

// ask puts a question to a folder's drive, unless one is left there already.
func (f *Finder) ask(ctx context.Context, p *patience, question func()) error {
	if f.owes(p.path) {
		return p.hangs()
	}
	var ended, left bool // under f.mu
	err := p.try(ctx, func() {
		question()
		f.mu.Lock()
		defer f.mu.Unlock()
		if ended = true; left {
			f.owe(p.path, -1)
		}
	})
	f.mu.Lock()
	defer f.mu.Unlock()
	if left = !ended; left {
		f.owe(p.path, 1)
	}
	return err
}

// File is an ordinary file in a folder.
type File struct {
	Name string
	Size int64
}

// Files lists the ordinary files of a folder, by their names. The error wraps
// [ErrSlow] where its drive does not answer.
func (f *Finder) Files(ctx context.Context, folder string) ([]File, error) {
	return f.files(ctx, newPatience(folder))
}

func (f *Finder) files(ctx context.Context, p *patience) ([]File, error) {
	type answer struct {
		files []File
		err   error
	}
	found := make(chan answer, 1)
	err := f.ask(ctx, p, func() {
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

func (f *Finder) owes(folder string) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.owed[folder] > 0
}

// owe counts questions left behind; f.mu is held.
func (f *Finder) owe(folder string, more int) {
	if f.owed == nil {
		f.owed = map[string]int{}
	}
	if f.owed[folder] += more; f.owed[folder] == 0 {
		delete(f.owed, folder)
	}
}

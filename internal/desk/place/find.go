// Package place knows where the files of clips lie: in their places, moved, or on a
// drive that does not answer.
package place

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/sentence"
)

// Finder looks for the files of a library's clips. It is safe for concurrent use.
type Finder struct {
	Drives *clip.Drives // what is asked of the files
	Files  sizer        // the drives, but for tests of drives that hang

	lib *library.Library
}

// New is a finder for the clips of a library.
func New(lib *library.Library) *Finder {
	drives := &clip.Drives{}
	return &Finder{lib: lib, Drives: drives, Files: drives}
}

// Filmless reports whether a clip is one whose film was taken out for good while its
// numbers were kept: there is no file to look for.
func Filmless(c club.Clip) bool { return c.Fingerprint == "" }

// search looks for a clip's file where it is likely to have gone: under its own
// name or any other, where it was, on its old path on another drive, near the
// library, or in the folders given. Only the same bytes are taken.
func (x *Finder) search(ctx context.Context, row club.Clip, folders []string) (club.Clip, bool) {
	for _, path := range elsewhere(row.Path) {
		if moved, ok := x.same(row, path); ok {
			return moved, true
		}
	}
	old, parent := filepath.Dir(row.Path), filepath.Dir(x.lib.Dir)
	dirs := append([]string{old, x.lib.Dir, parent, filepath.Join(parent, filepath.Base(old)), filepath.Join(parent, "clips")}, folders...)
	listed := x.filesIn(ctx, dirs)
	for _, right := range []func(clip.File) bool{
		func(f clip.File) bool { return f.Name == filepath.Base(row.Path) && f.Size == row.Bytes },
		func(f clip.File) bool { return f.Size == row.Bytes },
	} {
		for i, dir := range dirs {
			for _, f := range listed[i] {
				if !right(f) {
					continue
				}
				if moved, ok := x.same(row, filepath.Join(dir, f.Name)); ok {
					return moved, true
				}
			}
		}
	}
	return row, false
}

// filesIn are the files of folders; drives that do not answer cost one wait together.
func (x *Finder) filesIn(ctx context.Context, dirs []string) [][]clip.File {
	out := make([][]clip.File, len(dirs))
	var looking sync.WaitGroup
	for i, dir := range dirs {
		if at := slices.Index(dirs, dir); at < i {
			continue // looked at already
		}
		looking.Go(func() { out[i], _ = x.Files.Files(ctx, dir) })
	}
	looking.Wait()
	return out
}

// same returns the clip as it lies at a path, where that is the same film.
func (x *Finder) same(row club.Clip, path string) (club.Clip, bool) {
	moved := row
	if moved.Path = path; row.Name == filepath.Base(row.Path) { // not a title
		moved.Name = filepath.Base(path)
	}
	if !x.InPlace(moved) {
		return row, false
	}
	print, _, err := x.Drives.Fingerprint(path)
	return moved, err == nil && print == row.Fingerprint
}

// likelyFolders are those in which clips lie.
func likelyFolders(clips []club.Clip) (out []string) {
	seen := map[string]bool{}
	for _, c := range clips {
		dir := filepath.Dir(c.Path)
		if Filmless(c) || seen[dir] {
			continue
		}
		seen[dir] = true
		out = append(out, dir)
	}
	return out
}

// elsewhere lists where a path may have gone when a drive got another letter or
// was mounted under another name, or when one of its folders was renamed: the
// rest of the path under each neighbour of the first folder that is not there.
func elsewhere(path string) (paths []string) {
	if volume := filepath.VolumeName(path); runtime.GOOS == "windows" && len(volume) == 2 {
		for letter := 'A'; letter <= 'Z'; letter++ {
			paths = append(paths, string(letter)+path[1:])
		}
	}
	there, rest := filepath.Dir(path), filepath.Base(path)
	for {
		entries, err := os.ReadDir(there)
		if err == nil {
			_, below, deeper := strings.Cut(rest, string(filepath.Separator))
			if !deeper {
				return paths // the folder is there, only the file is not
			}
			for _, e := range entries {
				paths = append(paths, filepath.Join(there, e.Name(), below))
			}
			return paths
		}
		up := filepath.Dir(there)
		if up == there {
			return paths
		}
		rest, there = filepath.Join(filepath.Base(there), rest), up
	}
}

// OtherFilm says that the file of a clip is another film.
func OtherFilm(row club.Clip) error {
	return &club.Problem{Field: "path", Say: fmt.Sprintf("The file at %q is no longer the film that was marked: put the old file back, or say on the sessions screen where it is.", row.Path)}
}

// Locate returns the clip with the path at which its file lies now. A file that
// has moved along with the library, or beside another clip, is found again and
// its new place is remembered, which is no step of undo; marks stay where they
// are, since the bytes are the same.
func (x *Finder) Locate(ctx context.Context, row club.Clip) (club.Clip, error) {
	if Filmless(row) {
		return row, nil
	}
	switch size, err := x.Drives.Size(ctx, row.Path); {
	case err == nil && size == row.Bytes, errors.Is(err, clip.ErrSlow):
		return row, nil // the file is not searched elsewhere before its own drive has answered
	}
	clips, err := x.lib.Clips(ctx)
	if err != nil {
		return row, err
	}
	return x.locateIn(ctx, row, likelyFolders(clips))
}

// locateIn is locate for a clip that is not in its place, for which these folders
// are looked through too: they are the same for all clips.
func (x *Finder) locateIn(ctx context.Context, row club.Clip, folders []string) (club.Clip, error) {
	if moved, ok := x.search(ctx, row, folders); ok {
		return moved, x.lib.Amend(ctx, "found "+row.Name+" again", moved)
	}
	return row, nil // opening it says what is wrong
}

func fileTrouble(c club.Clip) string {
	switch print, _, err := clip.Fingerprint(c.Path); {
	case errors.Is(err, clip.ErrGone):
		return fmt.Sprintf("The file of clip %s is not at %q: put it back, or say on the sessions screen where it is.", club.Isolated(c.Name), c.Path)
	case err != nil:
		return sentence.Of(err)
	case print != c.Fingerprint:
		return sentence.Of(OtherFilm(c))
	}
	return ""
}

// CheckFiles says of each clip whose file is missing, or no longer the film that was
// marked, what is the matter, one sentence each.
func (x *Finder) CheckFiles(ctx context.Context) (say []string, err error) {
	clips, err := x.lib.Clips(ctx)
	if err != nil {
		return nil, err
	}
	folders := sync.OnceValue(func() []string { return likelyFolders(clips) })
	for _, c := range clips {
		if Filmless(c) {
			continue
		}
		if !x.InPlace(c) {
			if c, err = x.locateIn(ctx, c, folders()); err != nil {
				return say, err
			}
		}
		if trouble := fileTrouble(c); trouble != "" {
			say = append(say, trouble)
		}
	}
	return say, nil
}

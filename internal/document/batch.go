// Package document writes documents to the disk, whole or not at all, and opens
// ordinary files.
package document

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/club"
	"strokeledger/internal/scratch"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// File is a document and what writes it.
type File struct {
	Path  string
	Write func(*os.File) error
}

// Write writes one document, see [Batch].
func Write(path string, write func(*os.File) error) error {
	return WriteAll(File{path, write})
}

// WriteAll writes documents, all of them or none.
func WriteAll(files ...File) error {
	var b Batch
	defer b.Discard()
	for _, f := range files {
		if err := b.Write(f); err != nil {
			return err
		}
	}
	return b.Commit()
}

// Batch is documents that are written together: all of them or none. Each is
// written under a temporary name beside its own, readable by its owner alone, and
// synced; Commit gives all of them their names. Where anything fails, what stood
// there before is untouched and nothing is left over. What is no ordinary file, or
// a database, is not replaced. The zero value is ready; Discard ends its use.
type Batch struct {
	parts   []part
	folders []string // that were made for it, the outer ones first
}

// part is one document on its way to its path; old is where the document that it
// replaces is kept meanwhile, "" for none.
type part struct {
	*atomicfile.File
	old string
}

// Folder makes a folder for the documents, with those around it, where it is not
// there.
func (b *Batch) Folder(dir string) error {
	var missing []string
	for at := dir; ; at = filepath.Dir(at) {
		if _, err := os.Lstat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		if store.Reserved(at) {
			return PartOfLibrary(at)
		}
		missing = append(missing, at)
	}
	slices.Reverse(missing)
	for _, at := range missing {
		if err := os.Mkdir(at, 0o700); err != nil {
			return sentence.File("make the folder", dir, err)
		}
		b.folders = append(b.folders, at)
		if err := atomicfile.SyncFolder(filepath.Dir(at)); err != nil {
			return sentence.File("make the folder", dir, err)
		}
	}
	if st, err := os.Stat(dir); err != nil || !st.IsDir() {
		return sentence.File("make the folder", dir, errors.Join(err, fs.ErrExist))
	}
	return nil
}

// Write writes a document under a temporary name.
func (b *Batch) Write(f File) (err error) {
	if slices.ContainsFunc(b.parts, func(p part) bool { return sameName(p.Path(), f.Path) }) {
		return &club.Problem{Say: fmt.Sprintf("Two documents cannot both be %q: choose another name for one.", f.Path)}
	}
	if err := Replaceable(f.Path); err != nil {
		return err
	}
	scratch.Sweep(filepath.Dir(f.Path), time.Now())
	temp, err := atomicfile.Create(f.Path, scratch.Part())
	if err != nil {
		return sentence.File("write", f.Path, err)
	}
	b.parts = append(b.parts, part{File: temp})
	if err = f.Write(temp.File); err == nil {
		err = temp.Close()
	}
	return sentence.File("write", f.Path, err)
}

// sameName tells whether two paths are one name in one folder.
func sameName(a, b string) bool {
	if filepath.Base(a) != filepath.Base(b) {
		return false
	}
	one, err := os.Stat(filepath.Dir(a))
	other, err2 := os.Stat(filepath.Dir(b))
	return err == nil && err2 == nil && os.SameFile(one, other)
}

// Commit gives the documents their names. Where one cannot get it, the others lose
// theirs again.
func (b *Batch) Commit() error {
	for i := range b.parts {
		p := &b.parts[i]
		err := b.keepOld(p)
		if err == nil {
			err = p.Commit()
		}
		if err != nil {
			b.back()
			return sentence.File("write", p.Path(), err)
		}
	}
	for _, p := range b.parts {
		if p.old != "" {
			_ = os.Remove(p.old) // else the next document's sweep does
		}
	}
	b.parts, b.folders = nil, nil
	return nil
}

// keepOld keeps what a document replaces until all others have their names; one
// alone is replaced in a single step of the file system.
func (b *Batch) keepOld(p *part) error {
	if len(b.parts) == 1 {
		return nil
	}
	if _, err := os.Lstat(p.Path()); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	old := p.Name() + "-old"
	if os.Link(p.Path(), old) != nil { // a drive without hard links
		if err := os.Rename(p.Path(), old); err != nil {
			return err
		}
	}
	p.old = old
	return nil
}

// back takes the names away again from those of several documents that have theirs.
// One alone stays: what it has replaced is gone.
func (b *Batch) back() {
	for i := range slices.Backward(b.parts) {
		p := &b.parts[i]
		switch {
		case p.old != "":
			_ = os.Rename(p.old, p.Path())
			_ = os.Remove(p.old) // is there still where both were one file
			p.old = ""
		case len(b.parts) > 1 && p.Named():
			_ = os.Remove(p.Path())
		}
	}
}

// Discard removes what has no name of its own yet, and the folders that were made
// for it. After Commit there is nothing to discard.
func (b *Batch) Discard() {
	for _, p := range b.parts {
		p.Discard()
	}
	for _, dir := range slices.Backward(b.folders) {
		_ = os.Remove(dir) // only where it is empty
	}
	b.parts, b.folders = nil, nil
}

// PartOfLibrary says that a document would stand on a file of a library.
func PartOfLibrary(path string) error {
	return &club.Problem{Say: fmt.Sprintf("%q is a part of a library itself: choose another name.", path)}
}

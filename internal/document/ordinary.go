package document

import (
	"fmt"
	"io"
	"io/fs"
	"os"

	"strokeledger/internal/club"
	"strokeledger/internal/sentence"
)

// Replaceable refuses what is there under a document's name and no ordinary file,
// or a database: a ledger, or a backup of one.
func Replaceable(path string) error {
	st, err := os.Stat(path)
	if err != nil {
		return nil // nothing to replace
	}
	if !st.Mode().IsRegular() {
		return sentence.File("write", path, fs.ErrExist)
	}
	if link, err := os.Lstat(path); err != nil || !link.Mode().IsRegular() {
		return nil // what a link leads to stays
	}
	f, err := os.Open(path)
	if err != nil {
		return nil // nobody can tell
	}
	defer f.Close()
	head := make([]byte, len(databaseHead))
	if _, err := io.ReadFull(f, head); err == nil && string(head) == databaseHead {
		return &club.Problem{Say: fmt.Sprintf("%q is a library's ledger or a backup of one: choose another name.", path)}
	}
	return nil
}

// databaseHead is how every SQLite file begins: section 1.3 of its file format.
const databaseHead = "SQLite format 3\x00"

// Open opens an ordinary file for reading; opening a pipe would block.
func Open(path string) (*os.File, error) {
	st, err := os.Stat(path)
	switch {
	case err == nil && st.IsDir():
		return nil, &club.Problem{Say: fmt.Sprintf("%q is a folder: choose a file in it.", path)}
	case err == nil && !st.Mode().IsRegular():
		return nil, &club.Problem{Say: fmt.Sprintf("%q is not an ordinary file: choose another.", path)}
	}
	f, err := os.Open(path)
	return f, sentence.File("read", path, err)
}

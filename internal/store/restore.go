package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/club"
	"strokeledger/internal/scratch"
)

// Restore puts a backup, or what Repair kept, in the place of the library in
// dir, which is kept under backups first and may be absent or lost. The file is checked
// before anything is touched. Other programs that have the library open go on
// with the restored one.
//
// Errors: errNotLibrary, errNewer and ErrDamaged about the file, and those of
// Open about the library.
func Restore(ctx context.Context, dir, file string, o Options) error {
	o.fill()
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	if own, err := os.Stat(filepath.Join(dir, fileName)); err == nil {
		if it, err := os.Stat(file); err == nil && os.SameFile(own, it) { // what is in its log would be lost
			return &club.Problem{Code: errNotLibrary, Say: fmt.Sprintf("The file %q is the library's ledger itself: choose a backup of it.", file)}
		}
	}
	from, err := openBackup(ctx, file, o)
	if err != nil {
		return err
	}
	defer from.Close()
	l, err := Open(ctx, dir, o)
	switch {
	case err == nil:
		err := l.Backup(ctx, unused(filepath.Join(dir, backupFolder), "before-restore", o.Now()))
		if err == nil {
			err = copyDatabase(ctx, l.write, from)
		}
		if err == nil { // for those who have it open: they do not look at its version again
			err = migrate(ctx, l.write, o.migrations, func(context.Context, int) error { return nil })
		}
		return errors.Join(l.classify(err), l.Close())
	case errors.Is(err, ErrDamaged) || errors.Is(err, errAbsent):
		return classify(replace(ctx, dir, from, o.Now()), dir)
	}
	return err
}

const damagedBackup = "The backup %q is damaged: choose an older one."

// openBackup opens a file that holds an undamaged ledger of this version or an
// older.
func openBackup(ctx context.Context, file string, o Options) (*sql.DB, error) {
	refuse := func(kind error, say string, cause error) error {
		return &club.Problem{Code: kind, Say: fmt.Sprintf(say, file), Cause: cause}
	}
	path, err := filepath.Abs(file)
	if err != nil {
		return nil, err
	}
	found, err := readHeader(ctx, path)
	if isCode(err, sqlite3.ErrCorrupt) {
		return nil, refuse(ErrDamaged, damagedBackup, err)
	}
	if err != nil {
		return nil, refuse(errAbsent, "The backup %q cannot be read: choose another file.", err)
	}
	switch err := checkHeader(found, file, o.migrations); {
	case errors.Is(err, errNewer):
		return nil, refuse(errNewer, "The backup %q was written by a newer version of this program: install that version to restore it.", err)
	case errors.Is(err, errNotLibrary):
		return nil, refuse(errNotLibrary, "The file %q is not a backup of a library: choose another file.", err)
	case err != nil:
		return nil, err
	}
	db := connect(path, "mode=ro&immutable=1", 1)
	if err := integrity(ctx, db); err != nil {
		return nil, errors.Join(refuse(ErrDamaged, damagedBackup, err), db.Close())
	}
	return db, nil
}

// unused is a path for a ledger that is kept in a folder, told by its kind and
// time; the second one of the same second gets a number.
func unused(dir, kind string, now time.Time) string {
	stem := filepath.Join(dir, "ledger-"+kind+"-"+now.UTC().Format("20060102-150405"))
	path := stem + ".db"
	for n := 2; ; n++ {
		if _, err := os.Lstat(path); err != nil {
			return path
		}
		path = fmt.Sprintf("%s-%d.db", stem, n)
	}
}

// replace puts a copy of a database where no ledger can be opened; a damaged one
// is moved to the backups with what SQLite left beside it.
func replace(ctx context.Context, dir string, from *sql.DB, now time.Time) error {
	path := filepath.Join(dir, fileName)
	aside := unused(filepath.Join(dir, backupFolder), "damaged", now)
	if err := atomicfile.MkdirAll(filepath.Dir(aside)); err != nil {
		return err
	}
	fresh, err := makeFile(path, scratch.Pattern("restored", ".db"), "", func(to *sql.DB) error { return copyDatabase(ctx, to, from) })
	if err != nil {
		return err
	}
	defer fresh.Discard()
	for _, end := range append([]string{""}, besides()...) {
		if err := os.Rename(path+end, aside+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if err := atomicfile.SyncFolder(filepath.Dir(aside)); err != nil {
		return err
	}
	return fresh.Commit()
}

package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/club"
	"strokeledger/internal/scratch"
)

// Backup writes a copy of the ledger as it is now into a new file, whole or not
// at all, readable by the owner alone; the folder is made where it is absent.
// Others may go on reading and writing meanwhile. A file that is there already is
// left alone and is an error. What the file system says of the new file is
// returned as it is.
func (l *Library) Backup(ctx context.Context, file string) error {
	dir := filepath.Dir(file)
	if err := atomicfile.MkdirAll(dir); err != nil {
		return err
	}
	taken := func(err error) error {
		return &club.Problem{Code: fs.ErrExist, Say: fmt.Sprintf("There is a file %q already: choose another name for the backup.", file), Cause: err}
	}
	if _, err := os.Lstat(file); err == nil {
		return taken(nil)
	}
	name := scratch.Pattern("backup", ".db")
	if in, err := filepath.Rel(l.dir, dir); err != nil || !filepath.IsLocal(in) {
		name = scratch.Part() // in a coach's own folder: see Sweep
	}
	from := l.read
	if from == nil { // while it is being opened
		from = l.write
	}
	f, err := makeFile(file, name, "", func(to *sql.DB) error { return copyDatabase(ctx, to, from) })
	if err != nil {
		var e sqlite3.Error
		if errors.As(err, &e) && e.Code == sqlite3.ErrFull {
			return &club.Problem{Code: ErrFull, Say: fmt.Sprintf("The disk is full, so the backup %q was not written: free some space, or choose another place.", file), Cause: err}
		}
		if errors.As(err, &e) {
			return l.classify(err)
		}
		return err
	}
	defer f.Discard()
	if err := f.CommitNew(); errors.Is(err, fs.ErrExist) {
		return taken(err)
	} else if err != nil {
		return err
	}
	return nil
}

// makeFile makes a database under a temporary name beside the one that it is to get,
// see [atomicfile.Create], and closes it. Where anything fails nothing is left.
func makeFile(path, pattern, params string, fill func(*sql.DB) error) (*atomicfile.File, error) {
	f, err := atomicfile.Create(path, pattern)
	if err != nil {
		return nil, err
	}
	db := connect(f.Name(), "_journal_mode=DELETE&"+params, 1)
	err = errors.Join(fill(db), db.Close())
	for _, end := range besides() {
		_ = os.Remove(f.Name() + end)
	}
	// Not before SQLite is done: closing any handle drops its locks.
	if err = errors.Join(err, f.Close()); err != nil {
		f.Discard()
		return nil, err
	}
	return f, nil
}

// copyDatabase copies all of one database, as it is at one moment, into another
// through SQLite's own backup interface (sqlite.org/backup.html). The open read
// transaction keeps that moment, so that writers do not make it start again.
func copyDatabase(ctx context.Context, to, from *sql.DB) error {
	const pages = 1024 // between two looks at ctx
	return raw(ctx, to, func(dst *sqlite3.SQLiteConn) error {
		return raw(ctx, from, func(src *sqlite3.SQLiteConn) (err error) {
			if _, err := src.Exec("BEGIN; SELECT count(*) FROM sqlite_schema", nil); err != nil {
				return err
			}
			defer func() { _, e := src.Exec("ROLLBACK", nil); err = errors.Join(err, e) }()
			b, err := dst.Backup("main", src, "main")
			if err != nil {
				return err
			}
			for done := false; !done && err == nil; {
				if done, err = b.Step(pages); err == nil {
					err = ctx.Err()
				}
			}
			return errors.Join(err, b.Finish())
		})
	})
}

// raw lends one connection of the pool to use.
func raw(ctx context.Context, db *sql.DB, use func(*sqlite3.SQLiteConn) error) error {
	conn, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	return conn.Raw(func(c any) error { return use(c.(*sqlite3.SQLiteConn)) })
}

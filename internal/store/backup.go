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
)

// Backup writes a copy of the ledger as it is now into a new file, whole or not
// at all, readable by the owner alone; the folder is made where it is absent.
// Others may go on reading and writing meanwhile. A file that is there already is
// left alone and is an error. What the file system says of the new file is
// returned as it is.
func (l *Library) Backup(ctx context.Context, file string) error {
	dir := filepath.Dir(file)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	if _, err := os.Lstat(file); err == nil {
		return &failure{fs.ErrExist, fmt.Sprintf("There is a file %q already: choose another name for the backup.", file), nil}
	}
	name := scratch("backup", ".db")
	if in, err := filepath.Rel(l.dir, dir); err != nil || !filepath.IsLocal(in) {
		name = Part() // in a coach's own folder: see Sweep
	}
	f, err := os.CreateTemp(dir, name)
	if err != nil {
		return err
	}
	defer removeLedger(f.Name())
	if err := f.Close(); err != nil {
		return err
	}
	from := l.read
	if from == nil { // while it is being opened
		from = l.write
	}
	to := connect(f.Name(), "_journal_mode=DELETE", 1)
	if err := errors.Join(copyDatabase(ctx, to, from), to.Close()); err != nil {
		var e sqlite3.Error
		if errors.As(err, &e) && e.Code == sqlite3.ErrFull {
			return &failure{ErrFull, fmt.Sprintf("The disk is full, so the backup %q was not written: free some space, or choose another place.", file), err}
		}
		return l.classify(err)
	}
	if err := os.Rename(f.Name(), file); err != nil {
		return err
	}
	return syncFolder(dir)
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

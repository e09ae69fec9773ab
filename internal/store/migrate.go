package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"
)

//go:embed migration/*.sql
var migrationFiles embed.FS

func migrations() fs.FS {
	sub, err := fs.Sub(migrationFiles, "migration")
	if err != nil {
		panic("store: embedded migrations: " + err.Error())
	}
	return sub
}

// readMigrations returns the texts in order: the n-th file takes a library from
// version n-1 to n.
func readMigrations(files fs.FS) ([]string, error) {
	names, err := fs.Glob(files, "*.sql") // sorted by Glob
	if err != nil {
		return nil, err
	}
	texts := make([]string, len(names))
	for i, name := range names {
		if want := fmt.Sprintf("%04d.sql", i+1); name != want {
			return nil, fmt.Errorf("migration %s stands where %s should", name, want)
		}
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		texts[i] = string(text)
	}
	return texts, nil
}

type queryer interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// version is the number of migrations that the file has seen.
func version(ctx context.Context, db queryer) (v int, err error) {
	err = db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v)
	return v, err
}

// migrate brings the file up to date in one transaction: all of it or nothing.
// before runs first where there is something in the file already.
func migrate(ctx context.Context, db *sql.DB, files fs.FS, before func(ctx context.Context, version int) error) error {
	steps, err := readMigrations(files)
	if err != nil {
		return err
	}
	have, err := version(ctx, db)
	if err != nil {
		return err
	}
	switch {
	case have > len(steps):
		return errNewer
	case have == len(steps):
		return nil
	}
	if have > 0 {
		if err := before(ctx, have); err != nil {
			return err
		}
	}
	tx, err := begin(ctx, db)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if have, err = version(ctx, tx); err != nil { // another program may have been quicker
		return err
	}
	for i := have; i < len(steps); i++ {
		if _, err := tx.ExecContext(ctx, steps[i]); err != nil {
			return fmt.Errorf("migration %d: %w", i+1, err)
		}
	}
	mark := fmt.Sprintf("PRAGMA application_id=%d; PRAGMA user_version=%d", applicationID, max(have, len(steps)))
	if _, err := tx.ExecContext(ctx, mark); err != nil {
		return err
	}
	return tx.Commit()
}

// backupBefore copies the ledger beside itself before it is brought up to date.
func (l *Library) backupBefore(now func() time.Time) func(context.Context, int) error {
	return func(ctx context.Context, version int) error {
		return l.Backup(ctx, unused(filepath.Join(l.dir, backupFolder), fmt.Sprintf("version-%d", version), now()))
	}
}

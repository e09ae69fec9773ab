package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"strokeledger/internal/club"
)

// caches are the tables that may be emptied any time: what is in them is worked out
// from the others, or from the films, whenever it is missing.
func caches() []string { return []string{"pack", "standing", "frame_index", "heard"} }

// settingRenewed says on which day caches were made anew, until Check has told it.
const settingRenewed = "caches made anew"

// viewCached is view for what reads a cache too. Where a page of it does not read,
// the caches that are damaged are made anew; where that cannot be done, read runs
// with usable unset and has to do without them. It may run three times.
func (l *Library) viewCached(ctx context.Context, read func(tx *sql.Tx, usable bool) error) error {
	with := func(tx *sql.Tx) error { return read(tx, true) }
	err := l.view(ctx, with)
	if errors.Is(err, ErrDamaged) && l.renewCaches(ctx) {
		err = l.view(ctx, with)
	}
	if errors.Is(err, ErrDamaged) {
		err = l.view(ctx, func(tx *sql.Tx) error { return read(tx, false) })
	}
	return err
}

// renewCaches makes the caches anew of which a page does not read, and reports
// whether that has put the file right. Where anything else is damaged the file stays
// as it is: that is for Repair. The pages of a damaged cache are given up unread,
// since they may be in use elsewhere too; the file is rewritten without them.
func (l *Library) renewCaches(ctx context.Context) bool {
	if l.readOnly || l.unmoved() != nil {
		return false
	}
	tx, err := begin(ctx, l.write)
	if err != nil {
		return false
	}
	defer tx.Rollback()
	done, err := l.remakeDamaged(ctx, tx)
	_, reset := tx.ExecContext(ctx, "PRAGMA writable_schema = RESET")
	if !done || cmp.Or(err, reset, tx.Commit()) != nil {
		return false
	}
	// Where this fails the given up pages stay in the file, and Check tells of them.
	_, err = l.write.ExecContext(ctx, "VACUUM")
	return err == nil || !errors.Is(classify(err, l.dir), ErrDamaged)
}

// remakeDamaged remakes the damaged caches in a transaction; done is unset where there
// is none, or something else is damaged.
func (l *Library) remakeDamaged(ctx context.Context, tx *sql.Tx) (done bool, err error) {
	tables, err := texts(ctx, tx, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
	if err != nil {
		return false, err
	}
	for _, name := range tables {
		if whole(ctx, tx, name) {
			continue
		}
		if !slices.Contains(caches(), name) {
			return false, nil
		}
		if err := remake(ctx, tx, name); err != nil {
			return false, err
		}
		done = true
	}
	if !done {
		return false, nil
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value",
		settingRenewed, l.now().Format(time.DateOnly))
	return true, err
}

// whole asks SQLite whether a table with its indexes reads (sqlite.org/pragma.html,
// integrity_check).
func whole(ctx context.Context, tx *sql.Tx, table string) bool {
	found, err := texts(ctx, tx, "PRAGMA integrity_check("+table+")")
	return err == nil && slices.Equal(found, []string{"ok"})
}

// remake makes a table anew, with its indexes, and lets go of the pages that it had;
// triggers of other tables that name it stay.
func remake(ctx context.Context, tx *sql.Tx, table string) error {
	steps, err := texts(ctx, tx, "SELECT sql FROM sqlite_schema WHERE tbl_name = ? AND type IN ('table', 'index') AND sql IS NOT NULL ORDER BY type = 'index'", table)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "PRAGMA writable_schema = ON; DELETE FROM sqlite_schema WHERE tbl_name = '"+table+"' AND type IN ('table', 'index'); PRAGMA writable_schema = RESET;"+
		strings.Join(steps, ";"))
	return err
}

// texts reads a column of texts.
func texts(ctx context.Context, tx *sql.Tx, query string, args ...any) (all []string, err error) {
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		all = append(all, text)
	}
	return all, rows.Err()
}

// Renewed says that caches were made anew since the last call, "" where none were.
func (l *Library) Renewed(ctx context.Context) (say string, err error) {
	day, err := l.Setting(ctx, settingRenewed)
	if err != nil || day == "" {
		return "", err
	}
	if !l.readOnly {
		err = l.SetSetting(ctx, settingRenewed, "")
	}
	return fmt.Sprintf("On %s a part of the ledger that only makes it faster did not read, and was made anew. Nothing that was entered is lost; look whether the drive is in order, and keep a backup elsewhere.", club.Date(day)), err
}

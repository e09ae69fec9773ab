package store

import (
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
func caches() []string {
	return []string{"pack", "standing", "frame_index", "heard", "body", "reading"}
}

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
	// Before the transaction: a look that a damaged page ends would spoil it.
	var damaged []string
	for _, name := range caches() {
		if !whole(ctx, l.read, name) {
			damaged = append(damaged, name)
		}
	}
	if len(damaged) == 0 {
		return false
	}
	tx, err := begin(ctx, l.write)
	if err != nil {
		return false
	}
	defer tx.Rollback()
	err = l.remakeAll(ctx, tx, damaged)
	_, reset := tx.ExecContext(ctx, "PRAGMA writable_schema = RESET")
	if err != nil || reset != nil || tx.Commit() != nil {
		return false
	}
	// Where this fails the pages that were given up stay in the file, and Check tells
	// of them.
	_, _ = l.write.ExecContext(ctx, "VACUUM")
	return true
}

// remakeAll remakes damaged caches where everything else is whole.
func (l *Library) remakeAll(ctx context.Context, tx *sql.Tx, damaged []string) error {
	tables, err := texts(ctx, tx, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
	if err != nil {
		return err
	}
	for _, name := range tables {
		if !slices.Contains(damaged, name) && !whole(ctx, tx, name) {
			return errIntegrity
		}
	}
	for _, name := range damaged {
		if err := remake(ctx, tx, name); err != nil {
			return err
		}
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value",
		settingRenewed, l.now().Format(time.DateOnly))
	return err
}

// querier is a transaction, or the whole database.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// whole asks SQLite whether a table with its indexes reads (sqlite.org/pragma.html,
// integrity_check).
func whole(ctx context.Context, db querier, table string) bool {
	found, err := texts(ctx, db, "PRAGMA integrity_check("+table+")")
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
func texts(ctx context.Context, db querier, query string, args ...any) (all []string, err error) {
	rows, err := db.QueryContext(ctx, query, args...)
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
	return fmt.Sprintf("On %s a part of the ledger could not be read. It held nothing that was entered, only what makes the program faster, and was made anew. The drive may be failing: keep a backup on another one.", club.Date(day)), err
}

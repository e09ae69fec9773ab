package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// Report is what Check or Repair found. Findings are sentences that name no
// person.
type Report struct {
	OK       bool
	Findings []string
}

func (r *Report) add(format string, args ...any) {
	r.Findings = append(r.Findings, fmt.Sprintf(format, args...))
}

// Check looks through the whole library: the file itself, rows that point
// nowhere, and entries that lie past the end of their clip. Whether the clips'
// files are there is not looked at. An error means that it could not look.
//
// Where nothing but caches is damaged they are made anew, which Renewed tells.
func (l *Library) Check(ctx context.Context) (Report, error) {
	r, err := l.check(ctx)
	if (err == nil && !r.OK || errors.Is(err, ErrDamaged)) && l.renewCaches(ctx) {
		r, err = l.check(ctx)
	}
	return r, err
}

func (l *Library) check(ctx context.Context) (Report, error) {
	var r Report
	err := l.view(ctx, func(tx *sql.Tx) error {
		if err := r.file(ctx, tx); err != nil {
			return err
		}
		if len(r.Findings) > 0 {
			return nil // what a damaged file says about its rows means nothing
		}
		return r.rows(ctx, tx)
	})
	r.OK = len(r.Findings) == 0
	return r, err
}

// file asks SQLite about the file (sqlite.org/pragma.html, integrity_check and
// foreign_key_check).
func (r *Report) file(ctx context.Context, tx *sql.Tx) error {
	rows, err := tx.QueryContext(ctx, "PRAGMA integrity_check(20)")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var say string
		if err := rows.Scan(&say); err != nil {
			return err
		}
		if say != "ok" {
			r.add("The file is damaged: %s.", strings.TrimSuffix(say, "."))
		}
	}
	return rows.Err()
}

func (r *Report) rows(ctx context.Context, tx *sql.Tx) error {
	for _, k := range kinds() {
		for _, p := range k.parents() {
			// A row that was removed may still be named by one that was removed too.
			if err := r.count(ctx, tx, fmt.Sprintf(`SELECT count(*) FROM %[1]s c WHERE c.gone = 0 AND c.%[2]s IS NOT NULL
				AND NOT EXISTS (SELECT 1 FROM %[3]s p WHERE p.id = c.%[2]s AND p.gone = 0)`, k.named(), p.column, p.table),
				"%d of the %ss name a %s that is not there.", k.named(), p.table); err != nil {
				return err
			}
		}
	}
	for _, past := range append([]reference{{"last", "turn"}}, entriesOnClips()...) {
		if err := r.count(ctx, tx, fmt.Sprintf(`SELECT count(*) FROM %s e JOIN clip c ON c.id = e.clip_id
			WHERE e.gone = 0 AND c.gone = 0 AND e.%s >= c.frames`, past.table, past.column),
			"%d of the %ss lie past the end of their clip.", past.table); err != nil {
			return err
		}
	}
	if err := r.count(ctx, tx, "SELECT count(DISTINCT l.id) "+unknownFault, "%d of the looks name a fault that is not there."); err != nil {
		return err
	}
	if err := r.count(ctx, tx, `SELECT count(*) FROM turn t JOIN turn o ON o.clip_id = t.clip_id AND o.gone = 0 AND o.id > t.id
		AND o.first <= t.last AND t.first <= o.last WHERE t.gone = 0`, "%d pairs of turns overlap."); err != nil {
		return err
	}
	if err := r.count(ctx, tx, `SELECT count(*) FROM stream_choice c WHERE NOT EXISTS (SELECT 1 FROM clip WHERE id = c.clip_id)`,
		"%d of the choices of a video or a sound are for a clip that is not there."); err != nil {
		return err
	}
	return r.count(ctx, tx, `SELECT count(*) FROM step s WHERE NOT EXISTS (SELECT 1 FROM change c WHERE c.seq = s.seq)`,
		"%d steps of undo have lost the change behind them.")
}

// count adds a finding where the query counts anything.
func (r *Report) count(ctx context.Context, tx *sql.Tx, query, say string, args ...any) error {
	var n int
	if err := tx.QueryRowContext(ctx, query).Scan(&n); err != nil {
		return err
	}
	if n > 0 {
		r.add(say, append([]any{n}, args...)...)
	}
	return nil
}

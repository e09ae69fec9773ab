package store

import (
	"context"
	"database/sql"
	"time"

	"strokeledger/internal/club"
)

// Export is one file that was written from the library, and whom it shows or
// names. The list is no part of the change log: undo takes no file back.
type Export struct {
	Path    string    // absolute
	Format  string    // as the desk calls it
	Made    time.Time // UTC, to the microsecond; 1970 where it was only planned
	Players []club.ID // in order of id; none: nobody is shown
}

// NoteExport puts a file on the list, in the place of an older one of that path.
func (l *Library) NoteExport(ctx context.Context, e Export) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "DELETE FROM export WHERE path = ?", e.Path); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO export (path, format, made) VALUES (?, ?, ?)", e.Path, e.Format, e.Made.UnixMicro()); err != nil {
			return err
		}
		return shows(ctx, tx, e.Path, e.Players)
	})
}

// PlanExport puts a file on the list that is about to be written, so that one that
// a killed program leaves is found: besides what an older one of that path shows,
// which is there until then. NoteExport follows, or DropPlan.
func (l *Library) PlanExport(ctx context.Context, path, format string, players []club.ID) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO export (path, format, made) VALUES (?, ?, 0)", path, format); err != nil {
			return err
		}
		return shows(ctx, tx, path, players)
	})
}

// DropPlan takes a file off the list that was planned and not written.
func (l *Library) DropPlan(ctx context.Context, path string) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM export WHERE path = ? AND made = 0", path)
		return err
	})
}

func shows(ctx context.Context, tx *sql.Tx, path string, players []club.ID) error {
	for _, p := range players {
		if _, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO export_player (path, player_id) VALUES (?, ?)", path, p); err != nil {
			return err
		}
	}
	return nil
}

// Exports lists what was written, the oldest first.
func (l *Library) Exports(ctx context.Context) (all []Export, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		all, err = exportsOf(ctx, tx, "")
		return err
	})
	return all, err
}

// exportsOf lists the files that show a player, or all for the empty id.
func exportsOf(ctx context.Context, tx *sql.Tx, player club.ID) (all []Export, err error) {
	rows, err := tx.QueryContext(ctx, `SELECT e.path, e.format, e.made, coalesce(p.player_id, '') FROM export e LEFT JOIN export_player p USING (path)
		WHERE ?1 = '' OR e.path IN (SELECT path FROM export_player WHERE player_id = ?1) ORDER BY e.made, e.path, p.player_id`, player)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var e Export
		var shown club.ID
		if err := rows.Scan(&e.Path, &e.Format, instant{&e.Made}, &shown); err != nil {
			return nil, err
		}
		if n := len(all); n == 0 || all[n-1].Path != e.Path {
			all = append(all, e)
		}
		if shown != "" {
			last := &all[len(all)-1]
			last.Players = append(last.Players, shown)
		}
	}
	return all, rows.Err()
}

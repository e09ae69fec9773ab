package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"strokeledger/internal/club"
)

// maxSteps is how many changes can be undone, one after the other.
const maxSteps = 1000

// Undo takes the last step back, as a change of its own by author. It returns
// ErrNothing where there is none.
func (l *Library) Undo(ctx context.Context, author club.ID) (Change, error) {
	return l.walk(ctx, author, "undo",
		"SELECT place, seq FROM step WHERE done = 1 ORDER BY place DESC LIMIT 1",
		"SELECT kind, row_id, before, stamps FROM change_row WHERE seq = ? ORDER BY n DESC")
}

// Redo does the step again that was undone last, as a change of its own by
// author. It returns ErrNothing where there is none.
func (l *Library) Redo(ctx context.Context, author club.ID) (Change, error) {
	return l.walk(ctx, author, "redo",
		"SELECT place, seq FROM step WHERE done = 0 ORDER BY place LIMIT 1",
		"SELECT kind, row_id, after, stamps FROM change_row WHERE seq = ? ORDER BY n")
}

// walk moves one step: rows makes the library what it was before the step, or
// after it.
func (l *Library) walk(ctx context.Context, author club.ID, what, step, rows string) (Change, error) {
	return l.change(ctx, author, func(w *writing) error {
		var place, target int64
		err := w.tx.QueryRowContext(ctx, step).Scan(&place, &target)
		if errors.Is(err, sql.ErrNoRows) {
			return &club.Problem{Code: ErrNothing, Say: fmt.Sprintf("There is nothing to %s.", what), Cause: err}
		}
		if err != nil {
			return err
		}
		if err := w.blindStep(target); err != nil {
			return err
		}
		if err := w.tx.QueryRowContext(ctx, "SELECT label FROM change WHERE seq = ?", target).Scan(&w.label); err != nil {
			return err
		}
		if err := w.become(what, rows, target); err != nil {
			return err
		}
		// A clip may have become another film since, which is no step: see Amend.
		if err := w.obeyRules(); err != nil {
			return err
		}
		if err := w.log(what, target); err != nil {
			return err
		}
		_, err = w.tx.ExecContext(ctx, "UPDATE step SET done = 1 - done WHERE place = ?", place)
		return err
	})
}

// become sets the rows of an old change to the images that the query picks.
func (w *writing) become(what, query string, seq int64) error {
	type wanted struct {
		kind  string
		id    club.ID
		image sql.NullString
		// of what was taken in from another library
		stamps sql.NullString
	}
	rows, err := w.tx.QueryContext(w.ctx, query, seq)
	if err != nil {
		return err
	}
	defer rows.Close()
	var all []wanted
	for rows.Next() {
		var r wanted
		if err := rows.Scan(&r.kind, &r.id, &r.image, &r.stamps); err != nil {
			return err
		}
		all = append(all, r)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, r := range all {
		k := kindNamed(r.kind)
		if k == nil {
			return fmt.Errorf("change %d touches an unknown table %q", seq, r.kind)
		}
		var to image
		if r.image.Valid {
			to = image(r.image.String)
		}
		if r.stamps.Valid {
			err = w.restore(k, r.id, to, r.stamps.String, what)
		} else {
			_, err = w.set(k, r.id, to)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// addStep makes the change the next to be undone, drops what could be redone,
// and forgets the oldest step beyond maxSteps.
func (w *writing) addStep() error {
	for _, s := range []struct {
		sql string
		arg any
	}{
		{"DELETE FROM step WHERE done = 0 AND ? > 0", w.seq},
		{"INSERT INTO step (place, seq, done) SELECT coalesce(max(place), 0) + 1, ?, 1 FROM step", w.seq},
		{"DELETE FROM step WHERE place <= (SELECT max(place) FROM step) - ?", maxSteps},
	} {
		if _, err := w.tx.ExecContext(w.ctx, s.sql, s.arg); err != nil {
			return err
		}
	}
	return nil
}

// ClearUndo forgets every step of undo: what a new library starts with cannot be
// undone.
func (l *Library) ClearUndo(ctx context.Context) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM step")
		return err
	})
}

// History returns the labels of the changes that Undo and Redo would take back
// and do again, "" where there is none. In a blind look those of other coaches are none.
func (l *Library) History(ctx context.Context) (undo, redo string, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		v, err := sightOf(ctx, tx)
		if err != nil {
			return err
		}
		label := "label"
		if v.blind() {
			label = "iif(change.author = " + marking + ", label, '')"
		}
		return tx.QueryRowContext(ctx, `SELECT
			coalesce((SELECT `+label+` FROM step JOIN change USING (seq) WHERE done = 1 ORDER BY place DESC LIMIT 1), ''),
			coalesce((SELECT `+label+` FROM step JOIN change USING (seq) WHERE done = 0 ORDER BY place LIMIT 1), '')`).Scan(&undo, &redo)
	})
	return undo, redo, err
}

// Latest is the place in the log of the last change, whoever made it, 0 for
// none: a window that sees it move knows that another program has written.
func (l *Library) Latest(ctx context.Context) (seq int64, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		return tx.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM change").Scan(&seq)
	})
	return seq, err
}

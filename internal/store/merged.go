package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
)

func sames() table[merge.Same] {
	return table[merge.Same]{
		name: "same", columns: "id, of_table, given, keep",
		fields: func(r *merge.Same) []any { return []any{&r.ID, &r.Table, &r.Given, &r.Keep} },
		valid:  merge.Same.Check,
		tell:   func(merge.Same, *Change) {},
	}
}

func takens() table[merge.Taken] {
	return table[merge.Taken]{
		name: "taken", columns: "id, file",
		fields: func(r *merge.Taken) []any { return []any{&r.ID, &r.File} },
		valid:  merge.Taken.Check,
		tell:   func(merge.Taken, *Change) {},
	}
}

func readOlder(text sql.NullString) (map[string]merge.Stamp, error) {
	if !text.Valid {
		return nil, nil
	}
	var aged merge.Aged
	if err := json.Unmarshal([]byte(text.String), &aged); err != nil {
		return nil, err
	}
	return aged.Older(), nil
}

// older reads when the older parts of a row were changed.
func (w *writing) older(q runner, k kind, id club.ID) (map[string]merge.Stamp, error) {
	var text sql.NullString
	err := absentIsFine(q.QueryRowContext(w.ctx, "SELECT older FROM stamp WHERE kind = ? AND row_id = ?", k.named(), id).Scan(&text))
	if err != nil {
		return nil, err
	}
	return readOlder(text)
}

// keepOlder keeps when the older parts of a row were changed.
func (w *writing) keepOlder(q runner, k kind, id club.ID, older map[string]merge.Stamp) error {
	if len(older) == 0 {
		_, err := q.ExecContext(w.ctx, "DELETE FROM stamp WHERE kind = ? AND row_id = ?", k.named(), id)
		return err
	}
	text, err := json.Marshal(merge.Age(older))
	if err != nil {
		return err
	}
	_, err = q.ExecContext(w.ctx, "INSERT INTO stamp (kind, row_id, older) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET older = excluded.older", k.named(), id, string(text))
	return err
}

// age notes of a row that is about to change which of its parts stay as old as they are.
func (w *writing) age(k kind, row merge.Row, after image) error {
	t := merge.Named(k.named())
	if t == nil {
		return nil
	}
	var err error
	if row.Older, err = w.older(w.tx, k, row.ID); err != nil {
		return err
	}
	if row, err = t.Changed(row, after, merge.Stamp{Clock: w.clock, Author: w.author}); err != nil {
		return err
	}
	return w.keepOlder(w.tx, k, row.ID, row.Older)
}

// restoring is a row before and after it was taken in, with its moments: undoing that
// is no change of the row, which would win over others, but as if it had never come. A
// row that is null was not there.
type restoring struct {
	Before *moments `json:"before"`
	After  *moments `json:"after"`
}

type moments struct {
	merge.Stamp
	Older merge.Aged      `json:"older,omitempty"`
	Gone  bool            `json:"gone,omitempty"`
	Row   json.RawMessage `json:"row,omitempty"` // of a tombstone, which the change log has no image of
}

func momentsOf(r merge.Row) *moments {
	m := &moments{Stamp: r.Stamp, Older: merge.Age(r.Older), Gone: r.Gone}
	if r.Gone {
		m.Row = r.Image
	}
	return m
}

// restore makes a row what it was before it was taken in, or after.
func (w *writing) restore(k kind, id club.ID, was image, stamps, what string) error {
	var r restoring
	if err := json.Unmarshal([]byte(stamps), &r); err != nil {
		return err
	}
	to := r.After
	if what == "undo" {
		to = r.Before
	}
	if to == nil {
		return w.replace(w.tx, k, id, nil)
	}
	row := merge.Row{ID: id, Image: was, Gone: to.Gone, Stamp: to.Stamp, Older: to.Older.Older()}
	if to.Gone {
		row.Image = to.Row
	}
	return w.replace(w.tx, k, id, &row)
}

// replace makes a row what another library, or an undo, says, with the moments of its
// parts; nil: as if it had never been there.
func (w *writing) replace(q runner, k kind, id club.ID, to *merge.Row) error {
	was, known, err := k.find(w.ctx, q, id)
	if err != nil {
		return err
	}
	change, pair := touched{kind: k, id: id}, restoring{}
	if known {
		if was.Older, err = w.older(q, k, id); err != nil {
			return err
		}
		if pair.Before = momentsOf(was); !was.Gone {
			change.before = was.Image
		}
	}
	switch {
	case to == nil:
		_, err = q.ExecContext(w.ctx, "DELETE FROM "+k.named()+" WHERE id = ?", id)
		err = errors.Join(err, w.keepOlder(q, k, id, nil))
	default:
		if err := k.check(to.Image); err != nil && !to.Gone {
			return err
		}
		s := stamp{to.Stamp.Author, to.Stamp.Clock}
		if err = k.put(w.ctx, q, to.Image, s); err == nil && to.Gone {
			err = k.drop(w.ctx, q, id, s)
		}
		if err == nil && (len(to.Older) > 0 || known) {
			err = w.keepOlder(q, k, id, to.Older)
		}
		if pair.After = momentsOf(*to); !to.Gone {
			change.after = to.Image
		}
	}
	if err != nil {
		return err
	}
	text, err := json.Marshal(pair)
	change.stamps = string(text)
	w.rows = append(w.rows, change)
	return err
}

// Work reads rows of the library as they are merged, at one moment: tombstones too, and
// when each part was changed.
func (l *Library) Work(ctx context.Context, sel merge.Selection) (s merge.State, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		s = merge.State{Side: merge.Side{}}
		if err := notBlind(ctx, tx); err != nil {
			return err
		}
		err := tx.QueryRowContext(ctx, "SELECT seq, id, clock FROM change ORDER BY seq DESC LIMIT 1").Scan(&s.Seq, &s.Last, &s.Clock)
		if err := absentIsFine(err); err != nil {
			return err
		}
		ids := sel.IDs
		if sel.Since > 0 {
			if s.Touched, err = touchedSince(ctx, tx, sel.Since); err != nil {
				return err
			}
			for id := range s.Touched {
				ids = append(ids, id)
			}
		}
		onClips := map[string]bool{}
		for _, k := range kinds() {
			for _, p := range k.parents() {
				onClips[k.named()] = onClips[k.named()] || p == reference{"clip_id", "clip"}
			}
		}
		for _, name := range merge.Carried() {
			where, args := "ORDER BY e.id", []any(nil)
			if onClips[name] && !sel.All {
				where = "WHERE e.id IN (SELECT value FROM json_each(?1) UNION SELECT id FROM " + name +
					" WHERE gone = 0 AND clip_id IN (SELECT value FROM json_each(?2))) ORDER BY e.id"
				args = []any{listed(ids), listed(sel.Clips)}
			}
			if s.Side[name], err = kindNamed(name).rows(ctx, tx, where, args...); err != nil {
				return err
			}
		}
		return tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM change WHERE id = ?1) OR EXISTS (SELECT 1 FROM taken WHERE id = ?1 AND gone = 0)", sel.Known).Scan(&s.Knows)
	})
	return s, err
}

// listed is idList, for no IDs too.
func listed(ids []club.ID) string {
	if len(ids) == 0 {
		return "[]"
	}
	return idList(ids)
}

// touchedSince lists what has changed since a place in the log; nil where the log has
// been emptied since, so that nobody can tell.
func touchedSince(ctx context.Context, tx *sql.Tx, seq int64) (map[club.ID]bool, error) {
	var first int64
	if err := tx.QueryRowContext(ctx, "SELECT coalesce(min(seq), 1) FROM change").Scan(&first); err != nil || seq < first {
		return nil, err
	}
	rows, err := tx.QueryContext(ctx, "SELECT DISTINCT row_id FROM change_row WHERE seq > ?", seq)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := map[club.ID]bool{}
	for rows.Next() {
		var id club.ID
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		all[id] = true
	}
	return all, rows.Err()
}

// errMoved says that a library has changed since a merge was worked out.
var errMoved = errors.New("library has changed since")

// Take takes over what merging another library's rows came to, as one change and one
// step of undo: see merge.Bring. from says what it was worked out on, and file what was
// taken in. Undoing it leaves the library as if it had never come. now is the moment of
// what was decided while merging; what changes here from now on is later than that.
//
// Errors: as of Do; one with a sentence where the library has changed since.
func (l *Library) Take(ctx context.Context, now merge.Stamp, from merge.State, file merge.Taken, writes []merge.Write) (Change, error) {
	return l.change(ctx, now.Author, func(w *writing) error {
		if w.seq-1 != from.Seq {
			return &club.Problem{Code: errMoved, Say: "The library has changed since the preview was made: look at it again.", Cause: errMoved}
		}
		if err := notBlind(ctx, w.tx); err != nil {
			return err
		}
		w.label, w.clock = "work taken in", max(w.clock, now.Clock)
		q := &prepared{tx: w.tx, made: map[string]*sql.Stmt{}}
		defer q.close()
		for i := range writes {
			k := kindNamed(writes[i].Table)
			if k == nil {
				return fmt.Errorf("merging writes to an unknown table %q", writes[i].Table)
			}
			if err := w.replace(q, k, writes[i].ID, &writes[i].Row); err != nil {
				return err
			}
		}
		if len(writes) == 0 {
			return nil
		}
		if file.ID != "" {
			if err := w.edit(Put(file)); err != nil {
				return err
			}
		}
		if err := w.obeyRules(); err != nil {
			return err
		}
		if err := w.log("do", 0); err != nil {
			return err
		}
		return w.addStep()
	})
}

// prepared keeps the statements of a transaction, for many rows.
type prepared struct {
	tx   *sql.Tx
	made map[string]*sql.Stmt
}

func (p *prepared) stmt(ctx context.Context, query string) (*sql.Stmt, error) {
	if s, ok := p.made[query]; ok {
		return s, nil
	}
	s, err := p.tx.PrepareContext(ctx, query)
	if err == nil {
		p.made[query] = s
	}
	return s, err
}

func (p *prepared) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	s, err := p.stmt(ctx, query)
	if err != nil {
		return p.tx.QueryRowContext(ctx, query, args...) // says the same of it
	}
	return s.QueryRowContext(ctx, args...)
}

func (p *prepared) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	s, err := p.stmt(ctx, query)
	if err != nil {
		return nil, err
	}
	return s.ExecContext(ctx, args...)
}

func (p *prepared) close() {
	for _, s := range p.made {
		_ = s.Close() // ends with the transaction
	}
}

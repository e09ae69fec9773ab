package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"slices"
	"time"

	"strokeledger/internal/club"
)

// Change says what a call of Do, Undo or Redo did.
type Change struct {
	Seq       int64     // place in the change log, from 1; 0 where nothing changed
	Label     string    // of the change that was done, undone or redone
	Clips     []club.ID // the clips whose ledger it touched
	Catalogue bool      // it touched coaches, players, drills or faults
	Sessions  bool      // it touched the list of sessions and clips
	Frame     int       // of the first touched turn, stroke or mark; -1 for none
}

func (c *Change) touched(clip club.ID, frame int) {
	if !slices.Contains(c.Clips, clip) {
		c.Clips = append(c.Clips, clip)
	}
	if c.Frame < 0 {
		c.Frame = frame
	}
}

// Edit is one row put or removed; see Put and Remove.
type Edit struct {
	kind  kind
	id    club.ID
	after image // nil removes
	err   error
}

// Put inserts the row, or replaces the one with the same ID. Times are kept to
// the microsecond, in UTC.
func Put[T Row](row T) Edit {
	t := tableOf[T]()
	switch r := any(&row).(type) {
	case *club.Mark:
		r.Made = time.UnixMicro(r.Made.UnixMicro()).UTC()
	case *club.Look:
		r.Made = time.UnixMicro(r.Made.UnixMicro()).UTC()
	default:
		wholeMicros(r)
	}
	after, err := t.picture(row)
	if err == nil {
		err = t.check(after)
	}
	return Edit{t, t.id(&row), after, err}
}

// Remove takes a row away; a tombstone stays. A clip takes its turns, strokes,
// marks, looks, ruler, pairings and pairs along, and undo brings all of them back; a turn leaves strokes,
// marks and looks where they are. A row that others still need cannot be removed: retire
// it instead.
func Remove[T Row](id club.ID) Edit { return Edit{kind: tableOf[T](), id: id} }

// Do makes the edits as one change by author: all of them or none. When it
// returns without error they are on the disk and are one step of undo, and what
// could be redone before cannot any more. Edits that change nothing leave no
// trace. label says in a few words what the change is, for people.
//
// A broken rule is a *club.Problem, a row to be removed that is not there
// ErrUnknown; the state of the library as a whole gives
// ErrBusy, ErrReadOnly, ErrFull, ErrDrive or ErrDamaged.
func (l *Library) Do(ctx context.Context, author club.ID, label string, edits ...Edit) (Change, error) {
	return l.enter(ctx, author, label, edits, (*writing).addStep)
}

// Amend is Do without a step of undo, and what could be redone still can: for
// what the program finds out by itself while a coach is at something else.
func (l *Library) Amend(ctx context.Context, author club.ID, label string, edits ...Edit) (Change, error) {
	return l.enter(ctx, author, label, edits, func(*writing) error { return nil })
}

func (l *Library) enter(ctx context.Context, author club.ID, label string, edits []Edit, finish func(*writing) error) (Change, error) {
	return l.change(ctx, author, func(w *writing) error {
		w.label = label
		for _, e := range edits {
			if err := w.edit(e); err != nil {
				return err
			}
		}
		if len(w.rows) == 0 {
			return nil
		}
		if err := w.obeyRules(); err != nil {
			return err
		}
		if err := w.noTwins(); err != nil {
			return err
		}
		if err := w.log("do", 0); err != nil {
			return err
		}
		return finish(w)
	})
}

// writing is one transaction that changes domain rows.
type writing struct {
	ctx context.Context
	tx  *sql.Tx
	stamp
	id    club.ID // of the entry in the change log
	seq   int64
	label string
	rows  []touched

	sighted bool // hidden was read
	hidden  *sight
}

// touched is one row that a change touched: as it was, as it became.
type touched struct {
	kind          kind
	id            club.ID
	before, after image
	stamps        any // what undoing a merge needs besides, see restoring; nil for any other change
}

// change runs do in one transaction and commits it where do returns no error.
func (l *Library) change(ctx context.Context, author club.ID, do func(*writing) error) (Change, error) {
	if l.readOnly {
		return Change{}, broken(ErrReadOnly, l.dir, nil)
	}
	w := &writing{ctx: ctx, stamp: stamp{author: author}, id: l.newID()}
	if err := l.transact(ctx, func(tx *sql.Tx) error {
		w.tx, w.rows, w.sighted, w.hidden = tx, nil, false, nil
		if err := w.begin(l.now().UnixMicro()); err != nil {
			return err
		}
		return do(w)
	}); err != nil {
		return Change{}, err
	}
	c := Change{Seq: w.seq, Label: w.label, Frame: -1}
	if len(w.rows) == 0 {
		c.Seq = 0
	}
	for _, r := range w.rows {
		r.kind.touch(r.before, &c)
		r.kind.touch(r.after, &c)
	}
	return c, nil
}

// transact runs write as the only writer, on the disk when it returns nil. Where a
// page of a cache does not read, that cache is made anew and write runs once more.
func (l *Library) transact(ctx context.Context, write func(*sql.Tx) error) error {
	err := l.transactOnce(ctx, write)
	if errors.Is(err, ErrDamaged) && l.renewCaches(ctx) {
		err = l.transactOnce(ctx, write)
	}
	return err
}

func (l *Library) transactOnce(ctx context.Context, write func(*sql.Tx) error) error {
	if l.readOnly {
		return broken(ErrReadOnly, l.dir, nil)
	}
	if err := l.unmoved(); err != nil {
		return err
	}
	tx, err := begin(ctx, l.write)
	if err != nil {
		return l.classify(err)
	}
	defer tx.Rollback()
	if err := write(tx); err != nil {
		return l.classify(err)
	}
	return l.classify(tx.Commit())
}

// begin gives the change its place in the log and its time on the clock, which
// goes on where the computer's own was set back.
func (w *writing) begin(now int64) error {
	var last int64
	err := w.tx.QueryRowContext(w.ctx, "SELECT seq, clock FROM change ORDER BY seq DESC LIMIT 1").Scan(&w.seq, &last)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	w.seq, w.clock = w.seq+1, max(now, last+1)
	return nil
}

func (w *writing) edit(e Edit) error {
	if e.err != nil {
		return e.err
	}
	e, err := w.blinded(e)
	if err != nil {
		return err
	}
	if clip := tableOf[club.Clip]().name; e.kind.named() == clip && e.after == nil {
		if err := w.emptyClip(e.id); err != nil {
			return err
		}
	}
	changed, err := w.set(e.kind, e.id, e.after)
	if err == nil && !changed && e.after == nil {
		return goneAlready(e.kind)
	}
	return err
}

// emptyClip takes away what lies on a clip.
func (w *writing) emptyClip(clip club.ID) error {
	for _, k := range kinds() {
		for _, r := range k.parents() {
			if r.table != "clip" {
				continue
			}
			ids, err := w.ids("SELECT id FROM "+k.named()+" WHERE "+r.column+" = ? AND gone = 0 ORDER BY id", clip)
			if err != nil {
				return err
			}
			for _, id := range ids {
				if _, err := w.set(k, id, nil); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (w *writing) ids(query string, args ...any) (ids []club.ID, err error) {
	rows, err := w.tx.QueryContext(w.ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var id club.ID
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		ids = append(ids, id)
	}
	return ids, rows.Err()
}

// set makes the row what after says and notes it; it reports whether that
// changed anything.
func (w *writing) set(k kind, id club.ID, after image) (changed bool, err error) {
	row, known, err := k.find(w.ctx, w.tx, id)
	if err != nil {
		return false, err
	}
	var before image
	if known && !row.Gone {
		before = row.Image
	}
	if bytes.Equal(before, after) {
		return false, nil
	}
	if known {
		if err := w.age(k, row, after); err != nil {
			return false, err
		}
	}
	if after == nil {
		err = k.drop(w.ctx, w.tx, id, w.stamp)
	} else {
		err = k.put(w.ctx, w.tx, after, w.stamp)
	}
	w.rows = append(w.rows, touched{kind: k, id: id, before: before, after: after})
	return true, err
}

// log writes the change and its rows; target is the change that is undone or
// redone, 0 for none.
func (w *writing) log(what string, target int64) error {
	_, err := w.tx.ExecContext(w.ctx,
		"INSERT INTO change (seq, id, kind, target, label, author, clock) VALUES (?, ?, ?, nullif(?, 0), ?, ?, ?)",
		w.seq, w.id, what, target, w.label, w.author, w.clock)
	if err != nil {
		return err
	}
	insert, err := w.tx.PrepareContext(w.ctx, "INSERT INTO change_row (seq, n, kind, row_id, before, after, stamps) VALUES (?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer insert.Close()
	for n, r := range w.rows {
		if _, err := insert.ExecContext(w.ctx, w.seq, n, r.kind.named(), r.id, r.before.text(), r.after.text(), r.stamps); err != nil {
			return err
		}
	}
	return nil
}

// text is the image as a column keeps it.
func (i image) text() any {
	if i == nil {
		return nil
	}
	return string(i)
}

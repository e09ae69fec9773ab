package store

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
	"strings"

	"strokeledger/internal/club"
)

// Filter picks turns. Empty fields pick all.
type Filter struct {
	Players, Drills []club.ID
	From, To        club.Date // both days included
	// Raw asks for every mark; else Record leaves out those that a decision has taken out
	// of what counts.
	Raw bool

	clips []club.ID // see packClips
}

// Record returns the turns that the filter picks with all that was seen in them,
// in order of date, clip and frame, without turns at which the coach who marks looks
// blind, and without what others enter in blind looks that go on. The number of queries
// does not depend on how much there is.
func (l *Library) Record(ctx context.Context, f Filter) ([]club.TurnRecord, error) {
	var r record
	err := l.view(ctx, func(tx *sql.Tx) error {
		v, err := sightOf(ctx, tx)
		if err != nil {
			return err
		}
		return r.read(ctx, tx, f, v)
	})
	return r.all, err
}

func (r *record) read(ctx context.Context, tx *sql.Tx, f Filter, v *sight) error {
	if err := r.turns(ctx, tx, f); err != nil {
		return err
	}
	if len(r.all) == 0 {
		return nil
	}
	if err := r.strokes(ctx, tx, f, strokes()); err != nil {
		return err
	}
	if err := r.marks(ctx, tx, f, marks()); err != nil {
		return err
	}
	if err := r.looks(ctx, tx, f); err != nil {
		return err
	}
	if !f.Raw {
		if err := r.settle(ctx, tx); err != nil {
			return err
		}
	}
	if v != nil {
		r.all = slices.DeleteFunc(r.all, func(t club.TurnRecord) bool { return v.hidden(t.ID) })
		for i := range r.all {
			r.all[i].Marks, r.all[i].Looks = seen(v, r.all[i].Marks), seen(v, r.all[i].Looks)
		}
	}
	return nil
}

// settle takes out the marks that decisions do not count.
func (r *record) settle(ctx context.Context, tx *sql.Tx) error {
	rows, err := tx.QueryContext(ctx, "SELECT o.value FROM decision d, json_each(d.dropped) o WHERE d.gone = 0")
	if err != nil {
		return err
	}
	defer rows.Close()
	dropped := map[club.ID]bool{}
	for rows.Next() {
		var id club.ID
		if err := rows.Scan(&id); err != nil {
			return err
		}
		dropped[id] = true
	}
	for i := range r.all {
		if len(dropped) > 0 {
			r.all[i].Marks = slices.DeleteFunc(r.all[i].Marks, func(m club.Mark) bool { return dropped[m.ID] })
		}
	}
	return rows.Err()
}

// record gathers turns; at finds one by its row in the file.
type record struct {
	all []club.TurnRecord
	at  map[int64]int
}

// from joins the turns that the filter picks with what leads to their date. The
// words CROSS JOIN keep SQLite from starting anywhere but at the turns
// (sqlite.org/lang_select.html), or at the sessions where only dates are given.
func (f Filter) from() (sql string, args []any) {
	var where strings.Builder
	tables := "turn t CROSS JOIN clip c ON c.id = t.clip_id CROSS JOIN session d ON d.id = c.session_id"
	switch {
	case len(f.Players) > 0 || len(f.Drills) > 0 || len(f.clips) > 0:
	case f.From != "" || f.To != "":
		tables = "session d CROSS JOIN clip c ON c.session_id = d.id AND c.gone = 0 CROSS JOIN turn t ON t.clip_id = c.id"
	}
	where.WriteString(" WHERE t.gone = 0")
	and := func(condition string, arg any) {
		where.WriteString(" AND " + condition)
		args = append(args, arg)
	}
	if len(f.Players) > 0 {
		and("t.player_id IN (SELECT value FROM json_each(?))", idList(f.Players))
	}
	if len(f.clips) > 0 {
		and("t.clip_id IN (SELECT value FROM json_each(?))", idList(f.clips))
	}
	if len(f.Drills) > 0 {
		and("t.drill_id IN (SELECT value FROM json_each(?))", idList(f.Drills))
	}
	if f.From != "" {
		and("d.date >= ?", f.From)
	}
	if f.To != "" {
		and("d.date <= ?", f.To)
	}
	return tables + "%" + where.String(), args
}

// query makes the statement that reads columns of the picked turns, and of the
// table joined to them where there is one.
func (f Filter) query(columns, join string) (string, []any) {
	from, args := f.from()
	return "SELECT t.rowid, " + columns + " FROM " + strings.Replace(from, "%", join, 1), args
}

// onePicture is club.Clip.Picture.
const onePicture = "CASE WHEN c.frames > 0 THEN c.seconds / c.frames ELSE 0.0 END"

func (r *record) turns(ctx context.Context, tx *sql.Tx, f Filter) error {
	t := turns()
	query, args := f.query("d.date, c.base_num, c.base_den, c.first_ticks, "+onePicture+", "+prefixed("t", t.columns), "")
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	var places []int64
	for rows.Next() {
		var place int64
		var v club.TurnRecord
		if err := rows.Scan(append([]any{&place, &v.Date, &v.Base.Num, &v.Base.Den, &v.Zero, &v.Picture}, t.fields(&v.Turn)...)...); err != nil {
			return err
		}
		places = append(places, place)
		r.all = append(r.all, v)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	order := make([]int, len(r.all))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		a, b := &r.all[i], &r.all[j]
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.ClipID, b.ClipID), cmp.Compare(a.First, b.First), cmp.Compare(a.ID, b.ID))
	})
	sorted := make([]club.TurnRecord, len(r.all))
	r.at = make(map[int64]int, len(r.all))
	for to, from := range order {
		sorted[to] = r.all[from]
		r.at[places[from]] = to
	}
	r.all = sorted
	return nil
}

func (r *record) strokes(ctx context.Context, tx *sql.Tx, f Filter, of table[club.Stroke]) error {
	err := entries(ctx, tx, f, of, func(place int64, s club.Stroke) {
		t := &r.all[r.at[place]]
		t.Strokes = append(t.Strokes, s)
	})
	for i := range r.all {
		inOrder(r.all[i].Strokes, func(a, b club.Stroke) int { return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.ID, b.ID)) })
	}
	return err
}

func (r *record) marks(ctx context.Context, tx *sql.Tx, f Filter, of table[club.Mark]) error {
	err := entries(ctx, tx, f, of, func(place int64, m club.Mark) {
		t := &r.all[r.at[place]]
		t.Marks = append(t.Marks, m)
	})
	for i := range r.all {
		inOrder(r.all[i].Marks, func(a, b club.Mark) int { return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.ID, b.ID)) })
	}
	return err
}

func (r *record) looks(ctx context.Context, tx *sql.Tx, f Filter) error {
	err := joined(ctx, tx, f, looks(), lookOver, func(place int64, l club.Look) {
		t := &r.all[r.at[place]]
		t.Looks = append(t.Looks, l)
	})
	for i := range r.all {
		inOrder(r.all[i].Looks, byFirst)
	}
	return err
}

func byFirst(a, b club.Look) int {
	return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.ID, b.ID))
}

// lookOver is the condition that look e covers some picture of turn t.
const lookOver = "e.first <= t.last AND e.last >= t.first"

// entries reads what the picked turns cover in a table with clip and frame; add
// gets the turn's row in the file.
func entries[T Row](ctx context.Context, tx *sql.Tx, f Filter, t table[T], add func(int64, T)) error {
	return joined(ctx, tx, f, t, "e.frame BETWEEN t.first AND t.last", add)
}

// joined reads the rows e of a table that meet the picked turns t.
func joined[T Row](ctx context.Context, tx *sql.Tx, f Filter, t table[T], meet string, add func(int64, T)) error {
	query, args := f.query(prefixed("e", t.columns),
		" CROSS JOIN "+t.name+" e ON e.clip_id = t.clip_id AND e.gone = 0 AND "+meet)
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	var place int64
	var v T
	into := append([]any{&place}, t.fields(&v)...)
	for rows.Next() {
		v = *new(T) // parts that may be missing stay as they are where they are
		if err := rows.Scan(into...); err != nil {
			return err
		}
		add(place, v)
	}
	return rows.Err()
}

// inOrder sorts what the index has, as a rule, sorted already.
func inOrder[T any](rows []T, compare func(a, b T) int) {
	if !slices.IsSortedFunc(rows, compare) {
		slices.SortFunc(rows, compare)
	}
}

// prefixed puts a table's short name before each column.
func prefixed(short, columns string) string {
	return short + "." + strings.ReplaceAll(columns, ", ", ", "+short+".")
}

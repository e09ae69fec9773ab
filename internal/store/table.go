package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"time"
	"unicode/utf8"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/picture"
	"strokeledger/internal/sighting"
	"strokeledger/internal/standard"
)

// Row is one of the domain's rows that the ledger keeps.
type Row interface {
	club.Coach | club.Player | club.Drill | club.Fault | club.Session |
		club.Clip | club.Turn | club.Stroke | club.Mark | club.Look | club.Ruling | sighting.Ruler | alignment.Pairing | picture.Adjustment | picture.Pair | picture.Drawing |
		merge.Same | merge.Taken |
		standard.BlindLook | standard.Judgement | standard.Decision | standard.Definition | standard.Model | standard.Trial
}

// kind is one table of the ledger, whatever its type of row.
type kind interface {
	named() string
	parents() []reference
	check(image) error
	find(ctx context.Context, q runner, id club.ID) (row merge.Row, known bool, err error)
	put(ctx context.Context, q runner, row image, s stamp) error
	drop(ctx context.Context, q runner, id club.ID, s stamp) error
	rows(ctx context.Context, tx *sql.Tx, where string, args ...any) ([]merge.Row, error)
	touch(image, *Change)
}

// image is a domain row as the change log keeps it: JSON, nil where the row is
// not there.
type image []byte

// stamp says who changes rows, and when on the library's change clock.
type stamp struct {
	author club.ID
	clock  int64
}

// reference is a column that names a row of another table.
type reference struct{ column, table string }

// table maps one type of row to its table.
type table[T Row] struct {
	name    string         // also what people call such a row
	columns string         // in the order of fields, the id first
	fields  func(*T) []any // pointers for reading and writing alike
	refs    []reference
	valid   func(T) error
	tell    func(T, *Change) // what a screen has to load again
}

func (t table[T]) named() string        { return t.name }
func (t table[T]) parents() []reference { return t.refs }

// check refuses rows that break a rule of their own or could not be kept as they
// are.
func (t table[T]) check(row image) error {
	v, err := t.read(row)
	if err != nil {
		return err
	}
	if t.id(&v) == "" {
		return &club.Problem{Field: "id", Say: fmt.Sprintf("A %s has no id, so nothing was kept: take what it comes from anew.", t.name)}
	}
	return t.valid(v)
}

func (t table[T]) id(v *T) club.ID { return *t.fields(v)[0].(*club.ID) }

func (t table[T]) read(row image) (v T, err error) {
	return v, json.Unmarshal(row, &v)
}

// picture makes the image of a row, or says why it could not be kept unchanged.
func (t table[T]) picture(v T) (image, error) {
	for _, f := range reflect.ValueOf(v).Fields() {
		if f.Kind() == reflect.String && !utf8.ValidString(f.String()) {
			return nil, &club.Problem{Say: "A name or a text holds characters that are not valid (UTF-8): type it anew, or give the file another name."}
		}
	}
	row, err := json.Marshal(v)
	if err != nil { // not a number, or infinite: nothing else in a row can fail
		return nil, &club.Problem{Say: "A number of this entry is not a number: look at the entry again."}
	}
	return row, nil
}

// runner runs statements: a transaction, or one that keeps them prepared.
type runner interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

// find reads a row, a tombstone too, without the moments of its older parts.
func (t table[T]) find(ctx context.Context, q runner, id club.ID) (row merge.Row, known bool, err error) {
	var v T
	row.ID = id
	err = q.QueryRowContext(ctx, "SELECT "+t.columns+", author, clock, gone FROM "+t.name+" WHERE id = ?", id).
		Scan(append(t.fields(&v), &row.Stamp.Author, &row.Stamp.Clock, &row.Gone)...)
	if errors.Is(err, sql.ErrNoRows) {
		return row, false, nil
	}
	if err != nil {
		return row, false, err
	}
	row.Image, err = json.Marshal(v)
	return row, true, err
}

// rows reads rows as they are merged: tombstones too, with the moments of all parts.
func (t table[T]) rows(ctx context.Context, tx *sql.Tx, where string, args ...any) (all []merge.Row, err error) {
	rows, err := tx.QueryContext(ctx, "SELECT "+prefixed("e", t.columns)+", e.author, e.clock, e.gone, s.older FROM "+t.name+
		" e LEFT JOIN stamp s ON s.kind = '"+t.name+"' AND s.row_id = e.id "+where, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var v T
	var r merge.Row
	var older sql.NullString
	into := append(t.fields(&v), &r.Stamp.Author, &r.Stamp.Clock, &r.Gone, &older)
	for rows.Next() {
		v, r.Older = *new(T), nil
		if err := rows.Scan(into...); err != nil {
			return nil, err
		}
		r.ID = t.id(&v)
		if r.Older, err = readOlder(older); err != nil {
			return nil, err
		}
		if r.Image, err = json.Marshal(v); err != nil {
			return nil, err
		}
		all = append(all, r)
	}
	return all, rows.Err()
}

func (t table[T]) put(ctx context.Context, q runner, row image, s stamp) error {
	v, err := t.read(row)
	if err != nil {
		return err
	}
	_, err = q.ExecContext(ctx, t.upsert(), append(t.fields(&v), s.author, s.clock)...)
	return err
}

func (t table[T]) upsert() string {
	columns := strings.Split(t.columns, ", ")
	var sets strings.Builder
	for _, c := range columns[1:] {
		sets.WriteString(c + " = excluded." + c + ", ")
	}
	return "INSERT INTO " + t.name + " (" + t.columns + ", author, clock, gone) VALUES (" +
		strings.Repeat("?, ", len(columns)+2) + "0) ON CONFLICT (id) DO UPDATE SET " +
		sets.String() + "author = excluded.author, clock = excluded.clock, gone = 0"
}

func (t table[T]) drop(ctx context.Context, q runner, id club.ID, s stamp) error {
	_, err := q.ExecContext(ctx, "UPDATE "+t.name+" SET gone = 1, author = ?, clock = ? WHERE id = ?", s.author, s.clock, id)
	return err
}

func (t table[T]) touch(row image, c *Change) {
	if v, err := t.read(row); err == nil && row != nil {
		t.tell(v, c)
	}
}

// all reads the rows that a query of this table's columns finds.
func (t table[T]) all(ctx context.Context, tx *sql.Tx, rest string, args ...any) ([]T, error) {
	rows, err := tx.QueryContext(ctx, "SELECT "+t.columns+" FROM "+t.name+" "+rest, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		all = append(all, *new(T))
		if err := rows.Scan(t.fields(&all[len(all)-1])...); err != nil {
			return nil, err
		}
	}
	return all, rows.Err()
}

// instant keeps a time as microseconds since 1970.
type instant struct{ t *time.Time }

func (i instant) Value() (driver.Value, error) { return i.t.UnixMicro(), nil }
func (i instant) Scan(v any) error {
	n, ok := v.(int64)
	if !ok {
		return fmt.Errorf("a time is kept as %T", v)
	}
	*i.t = time.UnixMicro(n).UTC()
	return nil
}

// optional keeps an empty id as null, so that it may name nobody.
type optional struct{ id *club.ID }

func (o optional) Value() (driver.Value, error) {
	if *o.id == "" {
		return nil, nil
	}
	return string(*o.id), nil
}
func (o optional) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		*o.id = ""
	case string:
		*o.id = club.ID(v)
	case []byte:
		*o.id = club.ID(v)
	default:
		return fmt.Errorf("an id is kept as %T", v)
	}
	return nil
}

// idArray keeps IDs as a JSON array.
type idArray struct{ ids *[]club.ID }

func (a idArray) Value() (driver.Value, error) {
	text, err := json.Marshal(*a.ids)
	return string(text), err
}
func (a idArray) Scan(v any) error {
	var text []byte
	switch v := v.(type) {
	case string:
		text = []byte(v)
	case []byte:
		text = v
	default:
		return fmt.Errorf("a list of ids is kept as %T", v)
	}
	*a.ids = nil
	return json.Unmarshal(text, a.ids)
}

// part is one column of a part of a row that may be missing as a whole.
type part[T, F any] struct {
	of    **T
	field func(*T) *F
}

func (p part[T, F]) Value() (driver.Value, error) {
	if *p.of == nil {
		return nil, nil
	}
	return driver.DefaultParameterConverter.ConvertValue(*p.field(*p.of))
}
func (p part[T, F]) Scan(v any) error {
	if v == nil {
		return nil
	}
	if *p.of == nil {
		*p.of = new(T)
	}
	var n sql.Null[F]
	err := n.Scan(v)
	*p.field(*p.of) = n.V
	return err
}

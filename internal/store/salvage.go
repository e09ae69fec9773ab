package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/mattn/go-sqlite3"
)

// maxHoles is how many stretches of a damaged table are tried before the rest is
// given up: a table whose first page is gone would have endlessly many.
const maxHoles = 20_000

// salvager copies the rows of one table that can still be read. A damaged page
// stops SQLite in the middle of a table; what lies behind it is found by halving
// the stretch of keys that is left.
type salvager struct {
	ctx     context.Context
	from    *sql.DB
	to      *sql.Tx
	table   string
	key     string // an integer column that the rows lie in order of; "" reads straight through
	columns []string
	holes   bool // something could not be read
	tries   int
}

func (s *salvager) all() error {
	if err := s.readColumns(); err != nil {
		return err
	}
	if s.key == "" {
		_, err := s.copy("", nil, 0)
		return s.skipDamage(err)
	}
	return s.stretch(math.MinInt64, s.lastKey())
}

// readColumns takes the columns from the new file, where they are whole.
func (s *salvager) readColumns() error {
	rows, err := s.to.QueryContext(s.ctx, "SELECT name FROM pragma_table_info(?)", s.table)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return err
		}
		s.columns = append(s.columns, name)
	}
	return rows.Err()
}

// lastKey is an upper bound for the keys.
func (s *salvager) lastKey() int64 {
	var last sql.NullInt64
	if err := s.from.QueryRowContext(s.ctx, fmt.Sprintf("SELECT max(%s) FROM %s", s.key, s.table)).Scan(&last); err != nil {
		return math.MaxUint32
	}
	return last.Int64
}

// stretch copies the rows with keys from first to last, both included.
func (s *salvager) stretch(first, last int64) error {
	if first > last {
		return nil
	}
	if s.tries++; s.tries > maxHoles {
		s.holes = true
		return nil
	}
	reached, err := s.copy(fmt.Sprintf(" WHERE %[1]s BETWEEN ? AND ? ORDER BY %[1]s", s.key), []any{first, last}, first)
	if err == nil {
		return nil
	}
	if err := s.skipDamage(err); err != nil {
		return err
	}
	if reached >= last { // the stretch is one key, or its last row is the bad one
		return nil
	}
	first = max(reached, 0) // keys are positive
	middle := first + (last-first)/2
	if err := s.stretch(first, middle); err != nil || middle+1 > last {
		return err
	}
	return s.stretch(middle+1, last)
}

// skipDamage notes a hole where the file is damaged; other errors end the repair.
func (s *salvager) skipDamage(err error) error {
	var e sqlite3.Error
	if errors.As(err, &e) && (e.Code == sqlite3.ErrCorrupt || e.Code == sqlite3.ErrNotADB || e.Code == sqlite3.ErrError || e.Code == sqlite3.ErrIoErr) {
		s.holes = true
		return nil
	}
	return err
}

// copy copies rows until the file ends it, and returns the first key that it has
// not passed.
func (s *salvager) copy(rest string, args []any, reached int64) (int64, error) {
	names := strings.Join(s.columns, ", ")
	key := s.key
	if key == "" {
		key = "0"
	}
	rows, err := s.from.QueryContext(s.ctx, "SELECT "+key+", "+names+" FROM "+s.table+" NOT INDEXED"+rest, args...)
	if err != nil {
		return reached, err
	}
	defer rows.Close()
	insert := "INSERT OR IGNORE INTO " + s.table + " (" + names + ") VALUES (" + strings.TrimSuffix(strings.Repeat("?, ", len(s.columns)), ", ") + ")"
	values := make([]any, len(s.columns))
	into := []any{new(int64)}
	for i := range values {
		into = append(into, &values[i])
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return reached, err
		}
		reached = *into[0].(*int64) + 1
		if s.table == "change_row" {
			reached-- // a change has several
		}
		var e sqlite3.Error
		if _, err := s.to.ExecContext(s.ctx, insert, values...); errors.As(err, &e) && e.Code == sqlite3.ErrConstraint {
			s.holes = true // read, but nonsense
		} else if err != nil {
			return reached, err
		}
	}
	return reached, rows.Err()
}

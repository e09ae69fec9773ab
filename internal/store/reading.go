package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"

	"strokeledger/internal/club"
)

// Readings calls do with every clip that has strokes in turns that the filter picks, in
// order of date and clip, and with what is kept of it. What is not, or holds no more since
// a turn, a stroke, a hand, the ruler, the sound or the joints are others, is worked out by
// work and kept until that changes again. players are those with strokes in the clip, of
// whom were asked for; data is nil where joints were never looked for, and where work says
// nothing. What does not hold is worked out anew, as after another form wrote it. It is a
// cache and no part of the change log.
func (l *Library) Readings(ctx context.Context, f Filter, holds func(data []byte) bool, work func(clip club.ID) ([]byte, error), do func(clip club.ID, date club.Date, players []club.ID, data []byte) error) error {
	var all []clipReading
	seq := int64(0)
	err := l.viewCached(ctx, func(tx *sql.Tx, usable bool) error {
		if err := tx.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM change").Scan(&seq); err != nil {
			return err
		}
		all = nil
		query, args := readings(f, usable)
		rows, err := tx.QueryContext(ctx, query, args...)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var c clipReading
			var players string
			if err := rows.Scan(&c.clip, &c.date, &c.print, &players, &c.bodies, &c.from, &c.data); err != nil {
				return err
			}
			if err := json.Unmarshal([]byte(players), &c.players); err != nil {
				return err
			}
			all = append(all, c)
		}
		return rows.Err()
	})
	if err != nil {
		return err
	}
	for _, c := range all {
		if c.bodies && (c.data == nil || !holds(c.data)) {
			if c.data, err = work(c.clip); err != nil {
				return err
			}
			if err := l.keepReading(ctx, seq, c); err != nil && !errors.Is(err, ErrReadOnly) {
				return err
			}
		}
		if err := do(c.clip, c.date, c.players, c.data); err != nil {
			return err
		}
	}
	return nil
}

// clipReading is what is kept of one clip.
type clipReading struct {
	clip    club.ID
	date    club.Date
	print   string
	players []club.ID
	bodies  bool   // joints were looked for
	from    string // the ends of the caches that it is made from, which are their sums
	data    []byte // nil: none that holds
}

const readingFrom = "coalesce(hex(substr(b.data, -4)), '') || ' ' || coalesce(hex(substr(h.data, -4)), '')"

// readings makes the statement, with the caches where they can be read.
func readings(f Filter, caches bool) (query string, args []any) {
	columns, join := "0, '', NULL", ""
	if caches {
		columns = "b.data IS NOT NULL, CASE WHEN b.data IS NULL THEN '' ELSE " + readingFrom + " END, CASE WHEN b.data IS NOT NULL AND r.made_from = " + readingFrom + " THEN r.data END"
		join = " LEFT JOIN body b ON b.fingerprint = c.fingerprint LEFT JOIN heard h ON h.fingerprint = c.fingerprint LEFT JOIN reading r ON r.clip_id = c.id"
	}
	of := `SELECT json_group_array(DISTINCT t.player_id) FROM turn t WHERE t.clip_id = c.id AND t.gone = 0
		AND EXISTS (SELECT 1 FROM stroke s WHERE s.clip_id = t.clip_id AND s.gone = 0 AND s.frame BETWEEN t.first AND t.last)`
	if len(f.Players) > 0 {
		of += " AND t.player_id IN (SELECT value FROM json_each(?))"
		args = append(args, idList(f.Players))
	}
	if len(f.Drills) > 0 {
		of += " AND t.drill_id IN (SELECT value FROM json_each(?))"
		args = append(args, idList(f.Drills))
	}
	query = "SELECT * FROM (SELECT c.id, d.date, c.fingerprint, (" + of + ") AS players, " + columns +
		" FROM session d CROSS JOIN clip c ON c.session_id = d.id AND c.gone = 0" + join + " WHERE d.gone = 0"
	if f.From != "" {
		query += " AND d.date >= ?"
		args = append(args, f.From)
	}
	if f.To != "" {
		query += " AND d.date <= ?"
		args = append(args, f.To)
	}
	return query + ") WHERE players <> '[]' ORDER BY 2, 1", args
}

// keepReading keeps what was worked out from what stood after a change, unless something
// has changed meanwhile.
func (l *Library) keepReading(ctx context.Context, seq int64, c clipReading) error {
	if c.data == nil {
		return nil
	}
	return l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO reading (clip_id, made_from, data) SELECT ?1, ?2, ?3
			WHERE (SELECT coalesce(max(seq), 0) FROM change) = ?4
			AND (SELECT `+readingFrom+` FROM body b LEFT JOIN heard h ON h.fingerprint = b.fingerprint WHERE b.fingerprint = ?5) = ?2`,
			c.clip, c.from, c.data, seq, c.print)
		return err
	})
}

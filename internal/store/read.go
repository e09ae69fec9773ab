package store

import (
	"context"
	"database/sql"
	"fmt"

	"strokeledger/internal/club"
)

// Catalogue returns all definitions, the retired included: coaches and players
// by name, drills by rung and name, faults by code.
func (l *Library) Catalogue(ctx context.Context) (c club.Catalogue, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		c, err = catalogue(ctx, tx)
		return err
	})
	return c, err
}

func catalogue(ctx context.Context, tx *sql.Tx) (c club.Catalogue, err error) {
	if c.Coaches, err = coaches().all(ctx, tx, "WHERE gone = 0 ORDER BY name COLLATE NOCASE, id"); err != nil {
		return c, err
	}
	if c.Players, err = players().all(ctx, tx, "WHERE gone = 0 ORDER BY name COLLATE NOCASE, id"); err != nil {
		return c, err
	}
	if c.Drills, err = drills().all(ctx, tx, "WHERE gone = 0 ORDER BY rung, name COLLATE NOCASE, id"); err != nil {
		return c, err
	}
	c.Faults, err = faults().all(ctx, tx, "WHERE gone = 0 ORDER BY code COLLATE NOCASE, id")
	return c, err
}

// Sessions returns all sessions by date, the earliest first.
func (l *Library) Sessions(ctx context.Context) ([]club.Session, error) {
	return list(ctx, l, sessions(), "WHERE gone = 0 ORDER BY date, id")
}

// Clips returns all clips in the order in which they were added.
func (l *Library) Clips(ctx context.Context) ([]club.Clip, error) {
	return list(ctx, l, clips(), "WHERE gone = 0 ORDER BY id")
}

// Rulings returns the coaches' words on the ladder, the earliest first.
func (l *Library) Rulings(ctx context.Context) ([]club.Ruling, error) {
	return list(ctx, l, rulings(), "WHERE gone = 0 ORDER BY date, id")
}

// Clip returns one clip, or ErrUnknown.
func (l *Library) Clip(ctx context.Context, id club.ID) (club.Clip, error) {
	return Get[club.Clip](ctx, l, id)
}

// Get returns one row of any kind, or ErrUnknown.
func Get[T Row](ctx context.Context, l *Library, id club.ID) (row T, err error) {
	t := tableOf[T]()
	found, err := list(ctx, l, t, "WHERE id = ? AND gone = 0", id)
	switch {
	case err != nil:
		return row, err
	case len(found) == 0:
		return row, goneAlready(t)
	}
	return found[0], nil
}

func goneAlready(k kind) error {
	return &failure{ErrUnknown, fmt.Sprintf("This %s is not in the library any more: somebody has removed it.", k.named()), nil}
}

// ClipByFingerprint returns the clip with that content, the first added of
// several, and whether there is one.
func (l *Library) ClipByFingerprint(ctx context.Context, fingerprint string) (club.Clip, bool, error) {
	found, err := list(ctx, l, clips(), "WHERE fingerprint = ? AND gone = 0 ORDER BY id LIMIT 1", fingerprint)
	if err != nil || len(found) == 0 {
		return club.Clip{}, false, err
	}
	return found[0], true, nil
}

// MarksByID returns the marks with these IDs that are there, in order of clip
// and frame.
func (l *Library) MarksByID(ctx context.Context, ids []club.ID) ([]club.Mark, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	return list(ctx, l, marks(), "WHERE id IN (SELECT value FROM json_each(?)) AND gone = 0 ORDER BY clip_id, frame, id", idList(ids))
}

func list[T Row](ctx context.Context, l *Library, t table[T], rest string, args ...any) (all []T, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		all, err = t.all(ctx, tx, rest, args...)
		return err
	})
	return all, err
}

// Ledger is all that was logged on one clip.
type Ledger struct {
	Turns   []club.Turn   // in order of frame
	Strokes []club.Stroke // in order of frame
	Marks   []club.Mark   // in order of frame
}

// OfClip returns what was logged on a clip.
func (l *Library) OfClip(ctx context.Context, clip club.ID) (led Ledger, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		if led.Turns, err = turns().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY first, id", clip); err != nil {
			return err
		}
		if led.Strokes, err = strokes().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY frame, id", clip); err != nil {
			return err
		}
		led.Marks, err = marks().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY frame, id", clip)
		return err
	})
	return led, err
}

// Count says how much was logged on a clip.
type Count struct{ Turns, Strokes, Marks int }

// Counts returns the counts of every clip on which anything was logged.
func (l *Library) Counts(ctx context.Context) (map[club.ID]Count, error) {
	counts := map[club.ID]Count{}
	err := l.view(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, "SELECT c.id, p.turns, p.strokes, p.marks FROM clip c LEFT JOIN pack p ON p.clip_id = c.id WHERE c.gone = 0")
		if err != nil {
			return err
		}
		defer rows.Close()
		var missing []club.ID // those that changed since they were packed
		for rows.Next() {
			var clip club.ID
			var turns, strokes, marks sql.NullInt64
			if err := rows.Scan(&clip, &turns, &strokes, &marks); err != nil {
				return err
			}
			switch c := (Count{int(turns.Int64), int(strokes.Int64), int(marks.Int64)}); {
			case !turns.Valid:
				missing = append(missing, clip)
			case c != Count{}:
				counts[clip] = c
			}
		}
		if err := rows.Err(); err != nil {
			return err
		}
		return count(ctx, tx, missing, counts)
	})
	return counts, err
}

// count adds the counts of those clips on which anything was logged.
func count(ctx context.Context, tx *sql.Tx, clips []club.ID, counts map[club.ID]Count) error {
	if len(clips) == 0 {
		return nil
	}
	of := func(table string) string {
		return " FROM json_each(?1) j CROSS JOIN " + table + " r ON r.clip_id = j.value WHERE r.gone = 0 GROUP BY r.clip_id"
	}
	rows, err := tx.QueryContext(ctx, "SELECT clip_id, sum(turns), sum(strokes), sum(marks) FROM ("+
		"SELECT r.clip_id, count(*) AS turns, 0 AS strokes, 0 AS marks"+of("turn")+" UNION ALL "+
		"SELECT r.clip_id, 0, count(*), 0"+of("stroke")+" UNION ALL "+
		"SELECT r.clip_id, 0, 0, count(*)"+of("mark")+") GROUP BY clip_id", idList(clips))
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var clip club.ID
		var c Count
		if err := rows.Scan(&clip, &c.Turns, &c.Strokes, &c.Marks); err != nil {
			return err
		}
		counts[clip] = c
	}
	return rows.Err()
}

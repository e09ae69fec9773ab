package store

import (
	"context"
	"database/sql"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/club"
)

// SessionPage is a stretch of the sessions with their clips, of one state of the
// library.
type SessionPage struct {
	Sessions []club.Session        // the latest first
	Clips    []club.Clip           // of these sessions, in the order in which they were added
	Counts   map[club.ID]Count     // of these clips, where anything was logged
	Players  map[club.ID][]club.ID // who has turns on these clips, in the order of their first frames
	// Looked is how many turns of a clip each coach has said to have looked through, whole,
	// for some fault at least: by clip and coach, "" where it is not known who.
	Looked  map[club.ID]map[club.ID]int
	Earlier int       // sessions before these
	Total   int       // sessions in the library
	First   club.Date // of the earliest of all, empty where there is none
}

// pageSessions chooses the latest ?2 sessions up to the day ?1; the empty day is
// the last, and -1 all of them.
const pageSessions = "gone = 0 AND (?1 = '' OR date <= ?1) ORDER BY date DESC, id DESC LIMIT ?2"

const inPage = "gone = 0 AND session_id IN (SELECT id FROM session WHERE " + pageSessions + ")"

// SessionPage returns the latest sessions up to a day, at most count of them. An
// empty day is the last one, and a count of 0 all of them.
func (l *Library) SessionPage(ctx context.Context, upTo club.Date, count int) (p SessionPage, err error) {
	if count <= 0 {
		count = -1
	}
	err = l.view(ctx, func(tx *sql.Tx) error {
		upToThen := 0
		if err := tx.QueryRowContext(ctx, "SELECT count(*), count(*) FILTER (WHERE ?1 = '' OR date <= ?1), coalesce(min(date), '') FROM session WHERE gone = 0", upTo).
			Scan(&p.Total, &upToThen, &p.First); err != nil {
			return err
		}
		if p.Sessions, err = sessions().all(ctx, tx, "WHERE "+pageSessions, upTo, count); err != nil {
			return err
		}
		p.Earlier = upToThen - len(p.Sessions)
		if p.Clips, err = clips().all(ctx, tx, "WHERE "+inPage+" ORDER BY id", upTo, count); err != nil {
			return err
		}
		if p.Counts, err = counts(ctx, tx, inPage, upTo, count); err != nil {
			return err
		}
		if p.Players, err = playersOn(ctx, tx, inPage, upTo, count); err != nil {
			return err
		}
		v, err := sightOf(ctx, tx)
		if err != nil {
			return err
		}
		if err := v.recount(ctx, tx, p.Counts); err != nil {
			return err
		}
		p.Looked, err = lookedThrough(ctx, tx, v, inPage, upTo, count)
		return err
	})
	return p, err
}

// playersOn tells who has turns on the clips that which chooses.
func playersOn(ctx context.Context, tx *sql.Tx, which string, args ...any) (map[club.ID][]club.ID, error) {
	rows, err := tx.QueryContext(ctx, "SELECT t.clip_id, t.player_id FROM turn t WHERE t.gone = 0 AND t.clip_id IN (SELECT id FROM clip WHERE "+which+") GROUP BY t.clip_id, t.player_id ORDER BY t.clip_id, min(t.first)", args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	on := map[club.ID][]club.ID{}
	for rows.Next() {
		var clip, player club.ID
		if err := rows.Scan(&clip, &player); err != nil {
			return nil, err
		}
		on[clip] = append(on[clip], player)
	}
	return on, rows.Err()
}

// ClipsByID returns the clips with these IDs that are there, in the order in which
// they were added.
func (l *Library) ClipsByID(ctx context.Context, ids []club.ID) ([]club.Clip, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	return list(ctx, l, clips(), "WHERE gone = 0 AND id IN (SELECT value FROM json_each(?)) ORDER BY id", idList(ids))
}

// Count says how much was logged on a clip.
type Count struct {
	Turns, Strokes, Marks int
	Unlooked              int // turns on which no look lies
}

// Count returns how much was logged on a clip, nothing for one that is not there.
func (l *Library) Count(ctx context.Context, clip club.ID) (Count, error) {
	var found map[club.ID]Count
	err := l.view(ctx, func(tx *sql.Tx) (err error) {
		if found, err = counts(ctx, tx, "gone = 0 AND id = ?", clip); err != nil {
			return err
		}
		v, err := sightOf(ctx, tx)
		if err != nil {
			return err
		}
		return v.recount(ctx, tx, found)
	})
	return found[clip], err
}

func countsOf(which string) string {
	return "SELECT c.id, p.turns, p.strokes, p.marks, p.unlooked FROM (SELECT id FROM clip WHERE " + which + ") c LEFT JOIN pack p INDEXED BY pack_counts ON p.clip_id = c.id"
}

// counts returns the counts of the clips that which chooses, those on which
// nothing was logged left out.
func counts(ctx context.Context, tx *sql.Tx, which string, args ...any) (map[club.ID]Count, error) {
	found, missing, err := packedCounts(ctx, tx, countsOf(which), args...)
	if isCode(err, sqlite3.ErrCorrupt) { // the packs are only a cache
		found, missing, err = packedCounts(ctx, tx, "SELECT id, NULL, NULL, NULL, NULL FROM clip WHERE "+which, args...)
	}
	if err != nil {
		return nil, err
	}
	return found, count(ctx, tx, missing, found)
}

// packedCounts reads the counts that are kept; missing are the clips that have
// changed since they were packed.
func packedCounts(ctx context.Context, tx *sql.Tx, query string, args ...any) (found map[club.ID]Count, missing []club.ID, err error) {
	found = map[club.ID]Count{}
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var clip club.ID
		var turns, strokes, marks, unlooked sql.NullInt64
		if err := rows.Scan(&clip, &turns, &strokes, &marks, &unlooked); err != nil {
			return nil, nil, err
		}
		switch c := (Count{int(turns.Int64), int(strokes.Int64), int(marks.Int64), int(unlooked.Int64)}); {
		case !turns.Valid:
			missing = append(missing, clip)
		case c != Count{}:
			found[clip] = c
		}
	}
	return found, missing, rows.Err()
}

// count adds the counts of those clips on which anything was logged.
func count(ctx context.Context, tx *sql.Tx, clips []club.ID, counts map[club.ID]Count) error {
	if len(clips) == 0 {
		return nil
	}
	of := func(table, and string) string {
		return ", (SELECT count(*) FROM " + table + " e WHERE e.clip_id = j.value AND e.gone = 0" + and + ")"
	}
	unlooked := ", (SELECT count(*) FROM turn t WHERE t.clip_id = j.value AND t.gone = 0 AND NOT EXISTS (SELECT 1 FROM look e WHERE e.clip_id = t.clip_id AND e.gone = 0 AND " + lookOver + " AND " + finished + "))"
	rows, err := tx.QueryContext(ctx, "SELECT j.value"+of("turn", "")+of("stroke", "")+of("mark", " AND "+finished)+unlooked+" FROM json_each(?1) j", idList(clips))
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var clip club.ID
		var c Count
		if err := rows.Scan(&clip, &c.Turns, &c.Strokes, &c.Marks, &c.Unlooked); err != nil {
			return err
		}
		if c != (Count{}) {
			counts[clip] = c
		}
	}
	return rows.Err()
}

// lookedThrough is SessionPage.Looked of the clips that which chooses, as far as the coach
// who marks may know.
func lookedThrough(ctx context.Context, tx *sql.Tx, v *sight, which string, args ...any) (map[club.ID]map[club.ID]int, error) {
	rows, err := tx.QueryContext(ctx, `SELECT DISTINCT t.clip_id, coalesce(e.coach_id, ''), t.id, t.first, t.last, coalesce(e.blind_id, '')
		FROM (SELECT id FROM clip WHERE `+which+`) c CROSS JOIN turn t ON t.clip_id = c.id AND t.gone = 0
		CROSS JOIN look e ON e.clip_id = t.clip_id AND e.gone = 0 AND e.assumed = 0 AND e.first <= t.first AND e.last >= t.last`, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	type once struct{ turn, coach club.ID }
	met := map[once]bool{}
	all := map[club.ID]map[club.ID]int{}
	for rows.Next() {
		var clip, coach, turn, blind club.ID
		var first, last int
		if err := rows.Scan(&clip, &coach, &turn, &first, &last, &blind); err != nil {
			return nil, err
		}
		if met[once{turn, coach}] || !v.shows(clip, first, last, blind) {
			continue
		}
		met[once{turn, coach}] = true
		if all[clip] == nil {
			all[clip] = map[club.ID]int{}
		}
		all[clip][coach]++
	}
	return all, rows.Err()
}

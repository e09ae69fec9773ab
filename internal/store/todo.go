package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
)

const (
	turnlessClips = `SELECT c.id, d.date FROM session d CROSS JOIN clip c ON c.session_id = d.id AND c.gone = 0
		WHERE d.gone = 0 AND c.fingerprint <> '' AND (?1 = '' OR d.date >= ?1) AND (?2 = '' OR d.date <= ?2)
		AND NOT EXISTS (SELECT 1 FROM turn t WHERE t.clip_id = c.id AND t.gone = 0)
		AND NOT EXISTS (SELECT 1 FROM pairing p WHERE p.id = c.id AND p.gone = 0)` // its turns lie on the clip that it is lined up with
	filmlessClips = "SELECT id FROM clip WHERE fingerprint = '' AND gone = 0"
)

// Turnless returns the clips of a period, both days included and an empty one open,
// that have a film and no turn, with the day of their session.
func (l *Library) Turnless(ctx context.Context, from, to club.Date) (map[club.ID]club.Date, error) {
	clips := map[club.ID]club.Date{}
	err := l.view(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, turnlessClips, from, to)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id club.ID
			var date club.Date
			if err := rows.Scan(&id, &date); err != nil {
				return err
			}
			clips[id] = date
		}
		return rows.Err()
	})
	return clips, err
}

// Filmless returns the clips whose film is forgotten while numbers of it are kept.
func (l *Library) Filmless(ctx context.Context) (map[club.ID]bool, error) {
	clips := map[club.ID]bool{}
	err := l.view(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, filmlessClips)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id club.ID
			if err := rows.Scan(&id); err != nil {
				return err
			}
			clips[id] = true
		}
		return rows.Err()
	})
	return clips, err
}

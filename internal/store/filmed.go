package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
)

// Filmed counts, by player, the clips that show the player: those with a turn of
// the player whose film is still in the library.
func (l *Library) Filmed(ctx context.Context) (map[club.ID]int, error) {
	filmed := map[club.ID]int{}
	err := l.view(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, `SELECT t.player_id, count(DISTINCT t.clip_id) FROM turn t JOIN clip c ON c.id = t.clip_id
			WHERE t.gone = 0 AND c.gone = 0 AND c.fingerprint <> '' GROUP BY t.player_id`)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var player club.ID
			var n int
			if err := rows.Scan(&player, &n); err != nil {
				return err
			}
			filmed[player] = n
		}
		return rows.Err()
	})
	return filmed, err
}

// FormerPlayer is the player who stands for the forgotten whose numbers were kept,
// "" for none.
func (l *Library) FormerPlayer(ctx context.Context) (club.ID, error) {
	id, err := l.Setting(ctx, settingFormer)
	return club.ID(id), err
}

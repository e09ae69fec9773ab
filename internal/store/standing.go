package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
)

// Standings is what was kept of each player by PutStandings and still holds.
type Standings struct {
	ByPlayer map[club.ID][]byte
	Missing  []club.ID // players with turns of whom nothing is kept, or it holds no more
	seq      int64     // the change after which it was read
}

// Standings returns what is kept of the players.
func (l *Library) Standings(ctx context.Context) (s Standings, err error) {
	err = l.viewCached(ctx, func(tx *sql.Tx, usable bool) error {
		s.ByPlayer, s.Missing = map[club.ID][]byte{}, nil
		data, join := "NULL", ""
		if usable {
			data, join = "s.data", " LEFT JOIN standing s ON s.player_id = p.id"
		}
		if err := tx.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM change").Scan(&s.seq); err != nil {
			return err
		}
		hidden, err := hiddenPlayers(ctx, tx)
		if err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, "SELECT p.id, "+data+" FROM player p"+join+`
			WHERE p.gone = 0 AND EXISTS (SELECT 1 FROM turn t WHERE t.player_id = p.id AND t.gone = 0) ORDER BY p.id`)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id club.ID
			var data []byte
			if err := rows.Scan(&id, &data); err != nil {
				return err
			}
			if data != nil && !hidden[id] {
				s.ByPlayer[id] = data
			} else {
				s.Missing = append(s.Missing, id)
			}
		}
		return rows.Err()
	})
	return s, err
}

// PutStandings keeps something about each of those players until something about
// them changes: their turns, what lies on the clips of those, or the pattern of a
// drill or the sides of a fault. since is where it comes from; what has
// changed meanwhile is not kept. It is a cache and no part of the change log.
func (l *Library) PutStandings(ctx context.Context, since Standings, byPlayer map[club.ID][]byte) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		hidden, err := hiddenPlayers(ctx, tx)
		if err != nil {
			return err
		}
		for id, data := range byPlayer {
			if hidden[id] {
				continue // what this coach sees of the player is not all that counts
			}
			if _, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO standing (player_id, data)
				SELECT ?, ? WHERE (SELECT coalesce(max(seq), 0) FROM change) = ?`, id, data, since.seq); err != nil {
				return err
			}
		}
		return nil
	})
}

// hiddenPlayers are those of whom the coach who marks does not see everything.
func hiddenPlayers(ctx context.Context, tx *sql.Tx) (map[club.ID]bool, error) {
	v, err := sightOf(ctx, tx)
	if err != nil || !v.blind() {
		return nil, err
	}
	hidden := map[club.ID]bool{}
	for _, on := range v.spans {
		for _, t := range on {
			hidden[t.PlayerID] = true
		}
	}
	return hidden, nil
}

package store

import (
	"context"
	"database/sql"
	"errors"

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

// SetFormerPlayer says who that is in a library that gets its players from another.
func (l *Library) SetFormerPlayer(ctx context.Context, id club.ID) error {
	return l.SetSetting(ctx, settingFormer, string(id))
}

// formerPlayer finds or makes the retired player who stands for the forgotten.
func (w *writing) formerPlayer() (id club.ID, err error) {
	err = w.tx.QueryRowContext(w.ctx, "SELECT p.id FROM setting s JOIN player p ON p.id = s.value WHERE s.key = ? AND p.gone = 0", settingFormer).Scan(&id)
	if !errors.Is(err, sql.ErrNoRows) {
		return id, err
	}
	id = club.NewID()
	row, err := players().picture(club.Player{ID: id, Name: formerPlayers, Hand: club.RightHand, Retired: true})
	if err != nil {
		return "", err
	}
	if err := players().put(w.ctx, w.tx, row, w.stamp); err != nil {
		return "", err
	}
	return id, w.all([]statement{{"INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value", []any{settingFormer, id}}})
}

// TurnsOf returns the turns of some clips, by clip and in order of frame.
func (l *Library) TurnsOf(ctx context.Context, clips []club.ID) (map[club.ID][]club.Turn, error) {
	by := map[club.ID][]club.Turn{}
	if len(clips) == 0 {
		return by, nil
	}
	all, err := list(ctx, l, turns(), "WHERE gone = 0 AND clip_id IN (SELECT value FROM json_each(?)) ORDER BY clip_id, first, id", idList(clips))
	for _, t := range all {
		by[t.ClipID] = append(by[t.ClipID], t)
	}
	return by, err
}

package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
)

// TurnFilter picks turns; empty fields pick all.
type TurnFilter struct {
	Session, Clip, Player club.ID
	Marks                 []club.ID // in which one of these lies
}

// aroundMarks finds the turns of marks, mark by mark: a club has many more than are asked for.
const aroundMarks = "SELECT i.id FROM json_each(?) j CROSS JOIN mark m ON m.id = j.value AND m.gone = 0 " +
	"CROSS JOIN turn i ON i.clip_id = m.clip_id AND i.gone = 0 AND i.first <= m.frame AND i.last >= m.frame"

// TurnIDs lists turns in order of date, clip and frame.
func (l *Library) TurnIDs(ctx context.Context, of TurnFilter) (ids []club.ID, err error) {
	query := "SELECT t.id FROM turn t JOIN clip c ON c.id = t.clip_id JOIN session d ON d.id = c.session_id WHERE t.gone = 0"
	var args []any
	for _, and := range []struct {
		column string
		id     club.ID
	}{{"d.id", of.Session}, {"c.id", of.Clip}, {"t.player_id", of.Player}} {
		if and.id != "" {
			query += " AND " + and.column + " = ?"
			args = append(args, and.id)
		}
	}
	if len(of.Marks) > 0 {
		query += " AND t.id IN (" + aroundMarks + ")"
		args = append(args, idList(of.Marks))
	}
	err = l.view(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, query+" ORDER BY d.date, c.id, t.first", args...)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id club.ID
			if err := rows.Scan(&id); err != nil {
				return err
			}
			ids = append(ids, id)
		}
		return rows.Err()
	})
	return ids, err
}

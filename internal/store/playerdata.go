package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
	"unicode"

	"strokeledger/internal/club"
)

// PlayerData says what a library holds about one player: what Forget takes away.
type PlayerData struct {
	Player                club.Player
	Turns, Strokes, Marks int
	Rulings               int
	Clips                 []playerClip // with a turn of the player, in the order in which they were added
	Mentions              []Mention
	Exports               []Export // that show the player
	Steps                 int      // changes in the log, all of which go
	Copies                []string // files in the library's folder that hold the player too
}

// playerClip is one clip with a turn of the player.
type playerClip struct {
	Clip   club.Clip
	Others []club.ID // players of other turns on it; none: it shows this player alone
	Turns  int       // of this player on it
}

// Mention is a text, not the player's own, in which the player's name stands.
type Mention struct {
	Kind  string // the table
	ID    club.ID
	Field string
	Text  string
	Whole bool // the whole name stands in it, not only a part or the alias
	Note  bool // it is a note, which can be emptied; else somebody has to rename something
}

// PlayerData looks for everything about a player, or returns ErrUnknown.
func (l *Library) PlayerData(ctx context.Context, player club.ID) (t PlayerData, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		if t, err = playerData(ctx, tx, player); err != nil {
			return err
		}
		v, err := sightOf(ctx, tx)
		if err != nil || !v.blind() {
			return err
		}
		all, err := marks().all(ctx, tx, "WHERE gone = 0 AND "+covered("mark"), player)
		t.Marks = len(seen(v, all))
		return err
	})
	if err == nil {
		t.Copies, err = l.copies()
	}
	return t, err
}

func playerData(ctx context.Context, tx *sql.Tx, player club.ID) (t PlayerData, err error) {
	found, err := players().all(ctx, tx, "WHERE id = ? AND gone = 0", player)
	switch {
	case err != nil:
		return t, err
	case len(found) == 0:
		return t, goneAlready(players())
	}
	t.Player = found[0]
	if err := tx.QueryRowContext(ctx, `SELECT
		(SELECT count(*) FROM turn WHERE player_id = ?1 AND gone = 0),
		(SELECT count(*) FROM stroke WHERE gone = 0 AND `+covered("stroke")+`),
		(SELECT count(*) FROM mark WHERE gone = 0 AND `+covered("mark")+`),
		(SELECT count(*) FROM ruling WHERE player_id = ?1 AND gone = 0),
		(SELECT count(*) FROM change)`, player).Scan(&t.Turns, &t.Strokes, &t.Marks, &t.Rulings, &t.Steps); err != nil {
		return t, err
	}
	if t.Clips, err = clipsOf(ctx, tx, player); err != nil {
		return t, err
	}
	if t.Exports, err = exportsOf(ctx, tx, player); err != nil {
		return t, err
	}
	t.Mentions, err = mentions(ctx, tx, t.Player)
	return t, err
}

// covered is the condition that a row lies in a living turn of player ?1.
func covered(table string) string {
	return `EXISTS (SELECT 1 FROM turn t WHERE t.player_id = ?1 AND t.gone = 0 AND t.clip_id = ` + table + `.clip_id AND ` + table + `.frame BETWEEN t.first AND t.last)`
}

func clipsOf(ctx context.Context, tx *sql.Tx, player club.ID) ([]playerClip, error) {
	found, err := clips().all(ctx, tx, "WHERE gone = 0 AND id IN (SELECT clip_id FROM turn WHERE player_id = ? AND gone = 0) ORDER BY id", player)
	if err != nil {
		return nil, err
	}
	all := make([]playerClip, len(found))
	at := make(map[club.ID]int, len(found))
	for i, c := range found {
		all[i].Clip, at[c.ID] = c, i
	}
	rows, err := tx.QueryContext(ctx, `SELECT clip_id, player_id, count(*) FROM turn WHERE gone = 0
		AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ? AND gone = 0) GROUP BY clip_id, player_id ORDER BY clip_id, player_id`, player)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var clip, who club.ID
		var n int
		if err := rows.Scan(&clip, &who, &n); err != nil {
			return nil, err
		}
		c := &all[at[clip]]
		if who == player {
			c.Turns = n
		} else {
			c.Others = append(c.Others, who)
		}
	}
	return all, rows.Err()
}

// freeText is a column in which people write what they like.
type freeText struct {
	table, column string
	note          bool   // it may be emptied
	empty         string // what an emptied one holds
}

func freeTexts() []freeText {
	return []freeText{
		{"session", "note", true, ""}, {"player", "note", true, ""}, {"drill", "note", true, ""}, {"fault", "cue", true, ""},
		{"mark", "note", true, ""}, {"drawing", "text", true, "(removed)"}, {"ruling", "reason", true, "(removed)"}, {"pair", "name", true, "(removed)"}, {"definition", "counts", true, ""}, {"definition", "counts_not", true, ""},
		{"player", "name", false, ""}, {"player", "alias", false, ""}, {"player", "group_name", false, ""}, {"player", "consent_by", false, ""},
		{"coach", "name", false, ""}, {"drill", "name", false, ""}, {"fault", "label", false, ""},
		{"clip", "name", false, ""}, {"clip", "path", false, ""},
	}
}

// mentions finds living texts, apart from the player's own row, in which the name
// or a part of it stands.
func mentions(ctx context.Context, tx *sql.Tx, p club.Player) (all []Mention, err error) {
	parts := nameParts(p)
	for _, f := range freeTexts() {
		rows, err := tx.QueryContext(ctx, "SELECT id, "+f.column+" FROM "+f.table+" WHERE gone = 0 AND id <> ? AND "+f.column+" <> '' ORDER BY id", p.ID)
		if err != nil {
			return nil, err
		}
		for rows.Next() {
			m := Mention{Kind: f.table, Field: f.column, Note: f.note}
			if err := rows.Scan(&m.ID, &m.Text); err != nil {
				return nil, errors.Join(err, rows.Close())
			}
			m.Whole = len(occurrences(m.Text, p.Name)) > 0
			if m.Whole || f.note && slices.ContainsFunc(parts, func(part string) bool { return len(occurrences(m.Text, part)) > 0 }) {
				all = append(all, m)
			}
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// nameParts are the words of the name and the alias that are long enough to mean
// somebody.
func nameParts(p club.Player) (parts []string) {
	for _, word := range append(strings.Fields(p.Name), p.Alias) {
		if len([]rune(word)) >= 3 {
			parts = append(parts, word)
		}
	}
	return parts
}

// occurrences finds, as pairs of rune numbers, where a name stands in a text as a
// whole word or words, whatever the case.
func occurrences(text, name string) (at [][2]int) {
	t, n := foldRunes(text), foldRunes(strings.TrimSpace(name))
	letter := func(i int) bool {
		return i >= 0 && i < len(t) && (unicode.IsLetter(t[i]) || unicode.IsDigit(t[i]))
	}
	for i := 0; len(n) > 0 && i+len(n) <= len(t); i++ {
		if slices.Equal(t[i:i+len(n)], n) && (!letter(i-1) || !letter(i)) && (!letter(i+len(n)) || !letter(i+len(n)-1)) {
			at = append(at, [2]int{i, i + len(n)})
			i += len(n) - 1
		}
	}
	return at
}

func foldRunes(s string) []rune {
	runes := []rune(s)
	for i, r := range runes {
		if !unicode.IsSpace(r) {
			runes[i] = []rune(club.Fold(string(r)))[0]
		}
	}
	return runes
}

// without takes a name out of a text.
func without(text, name string) string {
	runes := []rune(text)
	at := occurrences(text, name)
	for _, a := range slices.Backward(at) {
		runes = slices.Replace(runes, a[0], a[1], []rune("(removed)")...)
	}
	return string(runes)
}

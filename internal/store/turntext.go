package store

import (
	"cmp"
	"context"
	"database/sql"
	"strconv"
	"strings"

	"strokeledger/internal/club"
)

// SQLite hands what lies in a turn over as one text, an entry after the other: to
// fetch three million strokes column by column takes four times as long. Numbers
// end with a comma, texts that may hold anything come after their length in bytes
// and a colon, and a number with decimals is written by quote, which loses none
// (sqlite.org/lang_corefunc.html#quote).
const (
	strokeText = "concat(e.frame, ',', e.ticks, ',', e.side, ',', e.outcome, ',', e.ready_frame, ',', e.ready_ticks, ',', " +
		"iif(e.answer IS NULL, '', quote(e.answer)), ',', octet_length(e.id), ':', e.id)"
	markText = "concat(e.frame, ',', e.ticks, ',', octet_length(e.id), ':', e.id, " +
		"octet_length(e.fault_id), ':', e.fault_id, octet_length(e.stroke_id), ':', e.stroke_id)"
	// The faults, a JSON array, are one text.
	lookText = "concat(e.first, ',', e.last, ',', e.first_ticks, ',', e.last_ticks, ',', e.assumed, ',', octet_length(e.id), ':', e.id, " +
		"coalesce(octet_length(e.coach_id), 0), ':', e.coach_id, octet_length(e.faults), ':', e.faults)"

	inTurn = "e.frame BETWEEN t.first AND t.last"
)

// concatenated is the query of one such text, of what meets turn t in a table.
func concatenated(table, entry, meet string) string {
	return "(SELECT group_concat(" + entry + ", '') FROM " + table + " e WHERE e.clip_id = t.clip_id AND e.gone = 0 AND " + meet + ")"
}

// counted reads the turns that the filter picks with what pack keeps of them: what
// counts, so nothing of a blind look that goes on, and no mark that a decision drops.
func (r *record) counted(ctx context.Context, tx *sql.Tx, f Filter) error {
	if err := r.turns(ctx, tx, f); err != nil {
		return err
	}
	query, args := f.query(concatenated("stroke", strokeText, inTurn)+", "+concatenated("mark", markText, inTurn+" AND "+finished+" AND "+undropped)+", "+concatenated("look", lookText, lookOver+" AND "+finished), "")
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var place int64
		var strokes, marks, looks sql.NullString // null where there are none
		if err := rows.Scan(&place, &strokes, &marks, &looks); err != nil {
			return err
		}
		t := &r.all[r.at[place]]
		u := textReader{rest: strokes.String}
		t.Strokes = make([]club.Stroke, 0, strings.Count(u.rest, ":"))
		for u.rest != "" {
			t.Strokes = append(t.Strokes, u.stroke())
		}
		u.rest = marks.String
		t.Marks = make([]club.Mark, 0, strings.Count(u.rest, ":")/3)
		for u.rest != "" {
			t.Marks = append(t.Marks, club.Mark{Frame: int(u.int()), Ticks: u.int(), ID: u.id(), FaultID: u.id(), StrokeID: u.id()})
		}
		for u.rest = looks.String; u.rest != ""; {
			t.Looks = append(t.Looks, u.look())
		}
		if u.bad {
			return errPack
		}
		inOrder(t.Looks, byFirst)
		inOrder(t.Strokes, func(a, b club.Stroke) int { return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.ID, b.ID)) })
		inOrder(t.Marks, func(a, b club.Mark) int { return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.ID, b.ID)) })
	}
	return rows.Err()
}

// textReader takes entries off the front of such a text. What it returns shares
// the text's memory.
type textReader struct {
	rest string
	bad  bool // and rest is empty
}

func (u *textReader) stroke() club.Stroke {
	s := club.Stroke{Frame: int(u.int()), Ticks: u.int(), Side: club.Side(u.word(',')), Outcome: club.Outcome(u.word(','))}
	frame, ticks, answer := u.word(','), u.word(','), u.word(',')
	if frame != "" {
		s.Ready = &club.Moment{Frame: int(u.number(frame)), Ticks: u.number(ticks)}
	}
	if answer != "" {
		at, err := strconv.ParseFloat(answer, 64)
		u.check(err == nil)
		s.Answer = &at
	}
	s.ID = u.id()
	return s
}

func (u *textReader) look() club.Look {
	l := club.Look{First: int(u.int()), Last: int(u.int()), FirstTicks: u.int(), LastTicks: u.int(), Assumed: u.int() == 1}
	l.ID, l.CoachID = u.id(), u.id()
	faults := idArray{&l.Faults}
	u.check(faults.Scan(string(u.id())) == nil)
	return l
}

// word is what stands before the next end.
func (u *textReader) word(end byte) string {
	i := strings.IndexByte(u.rest, end)
	if u.check(i >= 0); u.bad {
		return ""
	}
	word := u.rest[:i]
	u.rest = u.rest[i+1:]
	return word
}

func (u *textReader) int() int64 { return u.number(u.word(',')) }

func (u *textReader) number(word string) int64 {
	n, err := strconv.ParseInt(word, 10, 64)
	u.check(err == nil)
	return n
}

func (u *textReader) id() club.ID {
	n := u.number(u.word(':'))
	if u.check(n >= 0 && n <= int64(len(u.rest))); u.bad {
		return ""
	}
	id := u.rest[:n]
	u.rest = u.rest[n:]
	return club.ID(id)
}

func (u *textReader) check(ok bool) {
	if !ok {
		u.bad, u.rest = true, ""
	}
}

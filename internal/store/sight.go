package store

import (
	"context"
	"database/sql"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
)

// sight is what a coach gets to see while blind looks and tests go on: the coach of one
// sees of its turns what it has entered and nothing else, and of the others' blind looks
// nobody sees anything. It is part of every reading of this package, so that no screen,
// command or document has to think of it. Nil: none goes on.
type sight struct {
	open  map[club.ID]bool               // blind looks and tests that go on, whoever's
	tests map[club.ID]bool               // of them, tests: nothing is entered in those
	mine  map[club.ID]club.ID            // the coach's own, by turn
	spans map[club.ID][]club.Turn        // turns of the coach's own, by clip
	rows  map[club.ID]standard.Judgement // how this coach judged strokes, by stroke
}

// The coach who marks, as the library's setting says: the one chosen last, else the
// first still in the team.
const marking = `coalesce((SELECT c.id FROM setting s JOIN coach c ON c.id = s.value WHERE s.key = 'coach' AND c.gone = 0 AND c.retired = 0),
	(SELECT id FROM coach WHERE gone = 0 AND retired = 0 ORDER BY name COLLATE NOCASE, id LIMIT 1), '')`

// sightOf is what hides from the coach who marks.
func sightOf(ctx context.Context, tx *sql.Tx) (*sight, error) {
	looks, tests, err := goingOn(ctx, tx)
	if err != nil || len(looks)+len(tests) == 0 {
		return nil, err
	}
	var coach club.ID
	if err := tx.QueryRowContext(ctx, "SELECT "+marking).Scan(&coach); err != nil {
		return nil, err
	}
	return sightFor(ctx, tx, looks, tests, coach)
}

// goingOn are the blind looks and tests that are not finished.
func goingOn(ctx context.Context, tx *sql.Tx) (looks []standard.BlindLook, tests []standard.Trial, err error) {
	if looks, err = blindLooks().all(ctx, tx, "WHERE gone = 0 AND finished IS NULL"); err == nil {
		tests, err = trials().all(ctx, tx, "WHERE gone = 0 AND finished IS NULL")
	}
	return looks, tests, err
}

// testedTurns are the turns of a test's strokes.
func testedTurns(ctx context.Context, tx *sql.Tx, t standard.Trial) ([]club.ID, error) {
	strokes := make([]club.ID, len(t.Answers))
	for i, a := range t.Answers {
		strokes[i] = a.StrokeID
	}
	all, err := turns().all(ctx, tx, `WHERE gone = 0 AND EXISTS (SELECT 1 FROM json_each(?) j JOIN stroke s ON s.id = j.value
		WHERE s.gone = 0 AND s.clip_id = turn.clip_id AND s.frame BETWEEN turn.first AND turn.last)`, idList(strokes))
	ids := make([]club.ID, len(all))
	for i, t := range all {
		ids[i] = t.ID
	}
	return ids, err
}

// sightFor is what hides from a coach while some blind looks and tests go on.
func sightFor(ctx context.Context, tx *sql.Tx, looks []standard.BlindLook, tests []standard.Trial, coach club.ID) (*sight, error) {
	v := &sight{open: map[club.ID]bool{}, tests: map[club.ID]bool{}, mine: map[club.ID]club.ID{}, spans: map[club.ID][]club.Turn{}, rows: map[club.ID]standard.Judgement{}}
	for _, t := range tests {
		if v.tests[t.ID] = true; t.CoachID == coach {
			on, err := testedTurns(ctx, tx, t)
			if err != nil {
				return nil, err
			}
			looks = append(looks, standard.BlindLook{ID: t.ID, CoachID: coach, Turns: on})
		}
	}
	var on, own []club.ID
	for _, b := range looks {
		v.open[b.ID] = true
		if b.CoachID == coach {
			own = append(own, b.ID)
			for _, t := range b.Turns {
				v.mine[t] = b.ID
				on = append(on, t)
			}
		}
	}
	if len(own) == 0 {
		return v, nil
	}
	spans, err := turns().all(ctx, tx, "WHERE gone = 0 AND id IN (SELECT value FROM json_each(?))", idList(on))
	if err != nil {
		return nil, err
	}
	for _, t := range spans {
		v.spans[t.ClipID] = append(v.spans[t.ClipID], t)
	}
	rows, err := judgements().all(ctx, tx, "WHERE gone = 0 AND blind_id IN (SELECT value FROM json_each(?))", idList(own))
	for _, j := range rows {
		v.rows[j.StrokeID] = j
	}
	return v, err
}

// within is the coach's own blind look that covers some of these frames of a clip, ""
// for none.
func (v *sight) within(clip club.ID, first, last int) club.ID {
	if v == nil {
		return ""
	}
	for _, t := range v.spans[clip] {
		if t.First <= last && first <= t.Last {
			return v.mine[t.ID]
		}
	}
	return ""
}

// shows reports whether the coach sees what lies on those frames and was entered in a
// blind look, or openly.
func (v *sight) shows(clip club.ID, first, last int, blind club.ID) bool {
	if v == nil {
		return true
	}
	if own := v.within(clip, first, last); own != "" {
		return blind == own
	}
	return !v.open[blind]
}

// stroke is how the coach sees a stroke.
func (v *sight) stroke(s club.Stroke) club.Stroke {
	if v.within(s.ClipID, s.Frame, s.Frame) == "" {
		return s
	}
	if j, ok := v.rows[s.ID]; ok {
		return j.On(s)
	}
	return standard.Unjudged(s)
}

// seen are those of some rows that the coach sees, as the coach sees them. The rows are
// used again.
func seen[T Row](v *sight, rows []T) []T {
	if v == nil {
		return rows
	}
	kept := rows[:0]
	for i := range rows {
		show := true
		switch r := any(&rows[i]).(type) {
		case *club.Mark:
			show = v.shows(r.ClipID, r.Frame, r.Frame, r.BlindID)
		case *club.Look:
			show = v.shows(r.ClipID, r.First, r.Last, r.BlindID)
		case *club.Stroke:
			*r = v.stroke(*r)
		case *standard.Judgement:
			show = !v.open[r.BlindID] || v.rows[r.StrokeID].ID == r.ID
		case *standard.Decision:
			show = len(v.spans[r.ClipID]) == 0
		case *standard.Model:
			show = v.within(r.ClipID, r.Frame, r.Frame) == ""
		case *picture.Pair: // its name may say what was seen there
			show = v.within(r.ClipID, r.Frame, r.Frame) == "" && v.within(r.OtherID, r.OtherFrame, r.OtherFrame) == ""
		case *picture.Drawing:
			show = v.within(r.ClipID, r.First, r.Last) == ""
		}
		if show {
			kept = append(kept, rows[i])
		}
	}
	return kept
}

// hides reports whether a sight has anything to do with rows of this kind.
func hides[T Row]() bool {
	switch any(new(T)).(type) {
	case *club.Mark, *club.Look, *club.Stroke, *standard.Judgement, *standard.Decision, *standard.Model, *picture.Pair, *picture.Drawing:
		return true
	}
	return false
}

// hidden reports whether the coach is in a blind look at a turn.
func (v *sight) hidden(turn club.ID) bool { return v != nil && v.mine[turn] != "" }

// blind reports whether the coach is in a blind look at all.
func (v *sight) blind() bool { return v != nil && len(v.mine) > 0 }

// notBlind refuses what hides nothing to a coach in a blind look.
func notBlind(ctx context.Context, tx *sql.Tx) error {
	v, err := sightOf(ctx, tx)
	if err == nil && v.blind() {
		err = &club.Problem{Say: "A record holds what the other coach has marked, and your second look or test goes on: finish it first."}
	}
	return err
}

// finished is the condition that what was entered in e counts: openly, or in a blind
// look that is over.
const finished = "(e.blind_id IS NULL OR e.blind_id IN (SELECT id FROM blind_look WHERE finished IS NOT NULL AND gone = 0))"

// undropped is the condition that no decision has taken mark e out of what counts.
const undropped = "NOT EXISTS (SELECT 1 FROM decision d, json_each(d.dropped) o WHERE d.gone = 0 AND d.clip_id = e.clip_id AND o.value = e.id)"

// recount counts anew what the coach sees of the clips with turns of the own blind look.
func (v *sight) recount(ctx context.Context, tx *sql.Tx, counts map[club.ID]Count) error {
	if !v.blind() {
		return nil
	}
	for clip := range v.spans {
		c, there := counts[clip]
		if !there {
			continue
		}
		led, err := ledgerOf(ctx, tx, clip, v)
		if err != nil {
			return err
		}
		c.Marks, c.Unlooked = len(led.Marks), 0
		for _, t := range led.Turns {
			if !slices.ContainsFunc(led.Looks, func(l club.Look) bool { return l.First <= t.Last && l.Last >= t.First }) {
				c.Unlooked++
			}
		}
		counts[clip] = c
	}
	return nil
}

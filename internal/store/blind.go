package store

import (
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
)

// sight is what hides from the author of this change; it is read once.
func (w *writing) sight() (*sight, error) {
	if !w.sighted {
		looks, tests, err := goingOn(w.ctx, w.tx)
		if err != nil {
			return nil, err
		}
		if len(looks)+len(tests) > 0 {
			if w.hidden, err = sightFor(w.ctx, w.tx, looks, tests, w.author); err != nil {
				return nil, err
			}
		}
		w.sighted = true
	}
	return w.hidden, nil
}

// blinded makes of an edit what it is in the author's blind look: marks and looks are
// entered in it, what is said of a stroke becomes a judgement of the author's own, and
// what the author does not see cannot be changed.
func (w *writing) blinded(e Edit) (Edit, error) {
	v, err := w.sight()
	if err != nil || v == nil {
		return e, err
	}
	row, known, err := e.kind.find(w.ctx, w.tx, e.id)
	if err != nil {
		return e, err
	}
	var before image
	if known && !row.Gone {
		before = row.Image
	}
	switch t := e.kind.(type) {
	case table[club.Mark]:
		return entered(v, t, e, before, func(m *club.Mark) (club.ID, int, int, *club.ID) { return m.ClipID, m.Frame, m.Frame, &m.BlindID })
	case table[club.Look]:
		return entered(v, t, e, before, func(l *club.Look) (club.ID, int, int, *club.ID) { return l.ClipID, l.First, l.Last, &l.BlindID })
	case table[club.Stroke]:
		return w.judged(v, t, e, before)
	case table[standard.Model]:
		return e, modelled(v, t, e, before)
	case table[picture.Drawing]:
		return e, undrawn(v, t, e.after, before)
	}
	return e, nil
}

// undrawn keeps the turns of the author's blind look as they are: what is drawn on them
// would tell what its coach has seen, and is hidden.
func undrawn(v *sight, t table[picture.Drawing], images ...image) error {
	for _, i := range images {
		if i == nil {
			continue
		}
		if d, err := t.read(i); err != nil {
			return err
		} else if v.within(d.ClipID, d.First, d.Last) != "" {
			return &club.Problem{Say: "In a second look nothing is drawn on the pictures of its turns: draw after it is finished."}
		}
	}
	return nil
}

// entered puts the author's blind look into a row that lies on frames of it.
func entered[T Row](v *sight, t table[T], e Edit, before image, place func(*T) (clip club.ID, first, last int, blind *club.ID)) (Edit, error) {
	if before != nil {
		was, err := t.read(before)
		if err != nil {
			return e, err
		}
		if clip, first, last, blind := place(&was); !v.shows(clip, first, last, *blind) {
			return e, goneAlready(t)
		}
	}
	if e.after == nil {
		return e, nil
	}
	row, err := t.read(e.after)
	if err != nil {
		return e, err
	}
	clip, first, last, blind := place(&row)
	if own := v.within(clip, first, last); v.tests[own] {
		return e, testGoesOn()
	} else if own != "" || v.open[*blind] {
		*blind = own
		e.after, err = t.picture(row)
	}
	return e, err
}

// modelled refuses model pictures of turns of the author's blind look, which show what
// was marked in them.
func modelled(v *sight, t table[standard.Model], e Edit, before image) error {
	for _, row := range []image{before, e.after} {
		if row == nil {
			continue
		}
		m, err := t.read(row)
		if err == nil && v.within(m.ClipID, m.Frame, m.Frame) != "" {
			err = &club.Problem{Say: "Your second look or test goes on over this turn: take model pictures of it after that is finished."}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func testGoesOn() error {
	return &club.Problem{Say: "Your test goes on, and this turn has a stroke of it: finish or leave the test first, under Agreement."}
}

// judged makes of a stroke in the author's blind look a judgement.
func (w *writing) judged(v *sight, t table[club.Stroke], e Edit, before image) (Edit, error) {
	stay := &club.Problem{Say: "In a second look the strokes stay as they are, so that both coaches judge the same ones: add or move strokes after it is finished."}
	if before == nil {
		if e.after == nil {
			return e, nil
		}
		s, err := t.read(e.after)
		if err == nil && v.within(s.ClipID, s.Frame, s.Frame) != "" {
			err = stay
		}
		return e, err
	}
	was, err := t.read(before)
	if err != nil {
		return e, err
	}
	own := v.within(was.ClipID, was.Frame, was.Frame)
	switch {
	case own == "":
		return e, nil
	case v.tests[own]:
		return e, testGoesOn()
	}
	if e.after == nil {
		return e, stay
	}
	s, err := t.read(e.after)
	if err != nil {
		return e, err
	}
	if s.Frame != was.Frame || s.ClipID != was.ClipID {
		return e, stay
	}
	j, there := v.rows[s.ID]
	if !there {
		j = standard.Judgement{ID: club.NewID(), BlindID: own, ClipID: s.ClipID, StrokeID: s.ID}
	}
	j.Side, j.Outcome, j.Ready = s.Side, s.Outcome, s.Ready
	v.rows[s.ID] = j
	put := Put(j)
	return put, put.err
}

// blindUntouched keeps the turns of a blind look that goes on as they are.
func (w *writing) blindUntouched() error {
	looks, err := blindLooks().all(w.ctx, w.tx, "WHERE gone = 0 AND finished IS NULL")
	if err != nil || len(looks) == 0 {
		return err
	}
	in := map[club.ID]bool{}
	for _, b := range looks {
		for _, t := range b.Turns {
			in[t] = true
		}
	}
	for _, r := range w.rows {
		if r.kind.named() != "turn" || !in[r.id] || r.before == nil {
			continue
		}
		was, err := turns().read(r.before)
		if err != nil {
			return err
		}
		is := club.Turn{}
		if r.after != nil {
			if is, err = turns().read(r.after); err != nil {
				return err
			}
		}
		if was.First != is.First || was.Last != is.Last || was.PlayerID != is.PlayerID || was.DrillID != is.DrillID {
			return &club.Problem{Say: fmt.Sprintf("The turn at frames %d to %d is in a second look that goes on: finish or leave that first, under Agreement.", was.First, was.Last)}
		}
	}
	return nil
}

// blindStep keeps the coach of a blind look from undoing, or doing again, what somebody
// else did: that would show it.
func (w *writing) blindStep(target int64) error {
	v, err := w.sight()
	if err != nil || !v.blind() {
		return err
	}
	var author club.ID
	if err := w.tx.QueryRowContext(w.ctx, "SELECT author FROM change WHERE seq = ?", target).Scan(&author); err != nil {
		return err
	}
	if author != w.author {
		return &club.Problem{Say: "This step is another coach's, and your second look or test goes on: finish it first."}
	}
	return nil
}

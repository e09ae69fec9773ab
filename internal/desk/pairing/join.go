package pairing

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// sameStroke is how far apart two coaches may log one stroke, seconds, on pictures of two
// cameras: a player's own strokes follow each other by twice that at least.
const sameStroke = .25

// joined is what the entries of two clips become when one keeps those of both.
type joined struct {
	edits []store.Edit
	// Counts for the sentence.
	turns, strokes, marks int // that are kept in the main clip now
	same                  int // strokes that both had
	stay                  int // turns that stay where they were
}

// joinEntries puts the entries of a clip onto the main one. A turn that both have, of one player
// at one drill, becomes one, as long as the two together; strokes of it that lie within
// sameStroke of each other are one, and marks of both hang on it, where they
// count once. A turn stays with its entries where the main clip does not show all of it,
// or shows it as a turn of somebody else, as where each camera films its own player.
func joinEntries(main, side store.Ledger, m mapping, on club.ID, newID func() club.ID) (j joined) {
	turns := slices.Clone(main.Turns)
	stays := map[club.ID]bool{}
	for _, t := range side.Turns {
		n, ok := m.turn(t, on)
		if !ok {
			stays[t.ID] = true
			continue
		}
		if !addTurn(&turns, n) {
			stays[t.ID] = true
		}
	}
	j.stay = len(stays)
	for _, t := range side.Turns {
		if stays[t.ID] {
			continue
		}
		j.turns++
		if !slices.ContainsFunc(turns, func(o club.Turn) bool { return o.ID == t.ID }) {
			j.edits = append(j.edits, store.Remove[club.Turn](t.ID))
		}
	}
	for _, t := range turns {
		if i := slices.IndexFunc(main.Turns, func(o club.Turn) bool { return o.ID == t.ID }); i < 0 || main.Turns[i] != t {
			j.edits = append(j.edits, store.Put(t))
		}
	}
	staying := func(frame int) bool {
		return slices.ContainsFunc(side.Turns, func(t club.Turn) bool { return stays[t.ID] && t.Covers(frame) })
	}
	one := j.putStrokes(main, side, m, on, staying)
	j.putMarks(main, side, m, on, staying, one)
	j.putLooks(side, m, on, stays, newID)
	return j
}

// turn is where a turn lies in the other clip; false where that does not show all of it.
func (m mapping) turn(t club.Turn, on club.ID) (club.Turn, bool) {
	var a, b bool
	t.First, t.FirstTicks, a = m.place(t.FirstTicks)
	t.Last, t.LastTicks, b = m.place(t.LastTicks)
	t.ClipID = on
	if t.Anchor != nil {
		_, at, _ := m.place(*t.Anchor)
		at = min(max(at, t.FirstTicks), t.LastTicks)
		t.Anchor = &at
	}
	return t, a && b
}

// addTurn adds a turn to those of a clip, or makes one of it and the turn of the same
// player and drill that it overlaps; false where it overlaps others.
func addTurn(turns *[]club.Turn, n club.Turn) bool {
	var over []int
	for i, t := range *turns {
		if t.First <= n.Last && n.First <= t.Last {
			over = append(over, i)
		}
	}
	if len(over) == 0 {
		*turns = append(*turns, n)
		return true
	}
	t := (*turns)[over[0]]
	if len(over) > 1 || t.PlayerID != n.PlayerID || t.DrillID != n.DrillID {
		return false
	}
	if n.First < t.First {
		t.First, t.FirstTicks = n.First, n.FirstTicks
	}
	if n.Last > t.Last {
		t.Last, t.LastTicks = n.Last, n.LastTicks
	}
	if t.Anchor == nil {
		t.Anchor = n.Anchor
	}
	t.Settled = t.Settled || n.Settled
	(*turns)[over[0]] = t
	return true
}

// putStrokes moves the strokes, and tells which of them are strokes that the main clip has
// already.
func (j *joined) putStrokes(main, side store.Ledger, m mapping, on club.ID, staying func(int) bool) map[club.ID]club.ID {
	type near struct {
		side, main int
		apart      float64
	}
	moved := make([]club.Stroke, len(side.Strokes))
	shown := make([]bool, len(side.Strokes))
	var nears []near
	for i, s := range side.Strokes {
		n := s
		if n.Frame, n.Ticks, shown[i] = m.place(s.Ticks); !shown[i] || staying(s.Frame) {
			shown[i] = false
			continue
		}
		n.ClipID = on
		if s.Ready != nil {
			if f, t, ok := m.place(s.Ready.Ticks); ok && f > n.Frame {
				n.Ready = &club.Moment{Frame: f, Ticks: t}
			} else {
				n.Ready = nil
			}
		}
		if s.Answer != nil {
			at := m.fit.At(*s.Answer)
			n.Answer = &at
		}
		moved[i] = n
		for k, o := range main.Strokes {
			if d := math.Abs(m.to.Base().Seconds(o.Ticks - n.Ticks)); d <= sameStroke {
				nears = append(nears, near{i, k, d})
			}
		}
	}
	slices.SortStableFunc(nears, func(a, b near) int { return cmp.Compare(a.apart, b.apart) })
	one, taken := map[club.ID]club.ID{}, map[int]bool{}
	for _, n := range nears {
		s, o := moved[n.side], main.Strokes[n.main]
		if _, done := one[s.ID]; done || taken[n.main] {
			continue
		}
		one[s.ID], taken[n.main] = o.ID, true
		j.same++
		j.edits = append(j.edits, store.Remove[club.Stroke](s.ID))
		was := o
		if o.Side == "" {
			o.Side = s.Side
		}
		if o.Ready == nil && s.Ready != nil && s.Ready.Frame > o.Frame {
			o.Ready = s.Ready
		}
		if o.Answer == nil {
			o.Answer = s.Answer
		}
		if o != was {
			j.edits = append(j.edits, store.Put(o))
		}
	}
	frames := map[int]bool{}
	for _, s := range main.Strokes {
		frames[s.Frame] = true
	}
	for i, s := range moved {
		if _, done := one[s.ID]; !shown[i] || done {
			continue
		}
		if frames[s.Frame] { // one picture shows one stroke
			j.edits = append(j.edits, store.Remove[club.Stroke](s.ID))
			continue
		}
		frames[s.Frame] = true
		j.strokes++
		j.edits = append(j.edits, store.Put(s))
	}
	return one
}

// putMarks moves the marks. Two of one fault by one coach on one picture are one.
func (j *joined) putMarks(main, side store.Ledger, m mapping, on club.ID, staying func(int) bool, one map[club.ID]club.ID) {
	type place struct {
		frame        int
		fault, coach club.ID
	}
	there := map[place]bool{}
	for _, k := range main.Marks {
		there[place{k.Frame, k.FaultID, k.CoachID}] = true
	}
	for _, k := range side.Marks {
		if staying(k.Frame) {
			continue
		}
		n := k
		var ok bool
		if n.Frame, n.Ticks, ok = m.place(k.Ticks); !ok {
			continue
		}
		n.ClipID = on
		switch n.SeenID {
		case "":
			n.SeenID = k.ClipID
		case on:
			n.SeenID = ""
		}
		if o, done := one[n.StrokeID]; done {
			n.StrokeID = o
		}
		at := place{n.Frame, n.FaultID, n.CoachID}
		if there[at] && n.Note == "" && n.Sign == nil {
			j.edits = append(j.edits, store.Remove[club.Mark](k.ID))
			continue
		}
		for there[at] && at.frame+1 < m.to.Len() { // its note and its drawing stay: on the next picture
			at.frame++
			n.Frame, n.Ticks = at.frame, m.to.Ticks(at.frame)
		}
		there[at] = true
		j.marks++
		j.edits = append(j.edits, store.Put(n))
	}
}

// putLooks moves the looks; one that shows a turn that stays is there as well.
func (j *joined) putLooks(side store.Ledger, m mapping, on club.ID, stays map[club.ID]bool, newID func() club.ID) {
	begin, end := m.from.Ticks(0)+m.from.Base().Ticks(m.fit.Back(0)), m.from.Ticks(0)+m.from.Base().Ticks(m.fit.Back(m.to.EndSeconds()))
	for _, l := range side.Looks {
		n := l
		var a, b bool
		n.First, n.FirstTicks, a = m.place(max(l.FirstTicks, begin+1))
		n.Last, n.LastTicks, b = m.place(min(l.LastTicks, end-1))
		if !a || !b || n.First > n.Last {
			continue
		}
		n.ClipID = on
		if slices.ContainsFunc(side.Turns, func(t club.Turn) bool { return stays[t.ID] && t.First <= l.Last && l.First <= t.Last }) {
			n.ID = newID()
		}
		j.edits = append(j.edits, store.Put(n))
	}
}

// rowOf is the pairing of a fit.
func rowOf(clip, on, coach club.ID, f alignment.Fit) alignment.Pairing {
	return alignment.Pairing{ID: clip, ClipID: clip, OnID: on, CoachID: coach,
		Offset: f.Offset, Drift: f.Drift, OffsetHalf: f.OffsetHalf, DriftHalf: f.DriftHalf, Matched: f.Matched}
}

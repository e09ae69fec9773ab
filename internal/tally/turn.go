package tally

import (
	"math"
	"slices"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/group"
)

// sidesOf is club.TurnRecord.Sides into a slice that is used again.
func sidesOf(sides []club.Side, r *club.TurnRecord, p club.Pattern) []club.Side {
	for i := range r.Strokes {
		s := r.Strokes[i].Side
		if s == "" {
			s = p.Side(i)
		}
		sides = append(sides, s)
	}
	return sides
}

// exposed counts strokes by exposure.
func exposed(sides []club.Side) (n [exposures]int) {
	for _, s := range sides {
		switch s {
		case club.Forehand:
			n[knownForehand]++
		case club.Backhand:
			n[knownBackhand]++
		}
	}
	n[onAny] = len(sides)
	n[onForehand] = n[onAny] - n[knownBackhand]
	n[onBackhand] = n[onAny] - n[knownForehand]
	return n
}

// placeMarks hangs the turn's marks on its strokes.
func (k *Counter) placeMarks(r *club.TurnRecord, c *cell, p *accumulator) {
	k.met, k.hits = k.met[:0], k.hits[:0]
	byHand := false
	for i := range r.Marks {
		byHand = byHand || r.Marks[i].StrokeID != ""
	}
	k.next = 0
	for i := range r.Marks {
		m := &r.Marks[i]
		f := k.fault(m.FaultID)
		h := &k.here[f]
		if h.x == 0 && h.minutes == 0 && !slices.Contains(k.met, f) {
			k.met = append(k.met, f)
			h.last = -1
		}
		kind, side := unlogged, club.Side("")
		switch at := k.partOf(f); {
		case len(r.Strokes) > 0:
			kind, side = k.place(r, m, f, h, byHand)
		case at == nil || at.seconds == 0 || !at.covers(r, m.Frame): // no time, no rate
			kind = unlooked
		default:
			h.minutes++
		}
		p.at(f, len(k.faults)).kinds[kind]++
		if !k.o.Lean {
			k.marks = append(k.marks, countedMark{m.ID, c, f, side})
		}
	}
}

// place says what a mark is in a turn with logged strokes, and the side of its
// stroke. Marks come in order of time, and so do the strokes that marks of one
// fault hang on by themselves.
func (k *Counter) place(r *club.TurnRecord, m *club.Mark, f int, h *here, byHand bool) (markKind, club.Side) {
	stroke := k.hangOn(r, m, k.faults[f])
	switch {
	case stroke < 0:
		return unplaced, ""
	case stroke == h.last || byHand && slices.Contains(k.hits, hit{f, stroke}):
		return repeated, k.sides[stroke]
	}
	h.last = stroke
	k.hits = append(k.hits, hit{f, stroke})
	if at := k.partOf(f); at == nil || !at.covers(r, r.Strokes[stroke].Frame) {
		return unlooked, k.sides[stroke]
	}
	h.x++
	switch k.sides[stroke] {
	case club.Forehand:
		h.sides[0]++
	case club.Backhand:
		h.sides[1]++
	}
	return struck, k.sides[stroke]
}

// hangOn is aim.HangOn. For marks in order of time it goes along the
// strokes instead of searching them anew.
func (k *Counter) hangOn(r *club.TurnRecord, m *club.Mark, f club.Fault) int {
	if m.StrokeID != "" {
		return aim.HangOn(r, *m, f, k.sides)
	}
	for k.next > 0 && r.Strokes[k.next-1].Ticks >= m.Ticks {
		k.next--
	}
	for k.next < len(r.Strokes) && r.Strokes[k.next].Ticks < m.Ticks {
		k.next++
	}
	return aim.Neighbour(r, m.Ticks, k.next, f, k.sides)
}

// addTurn counts what does not depend on faults.
func (p *accumulator) addTurn(r *club.TurnRecord, day, good int, n [exposures]int) {
	p.days.add(day)
	p.turns++
	seconds := r.Seconds()
	p.seconds += seconds
	if len(r.Strokes) == 0 {
		p.unloggedTurns++
		p.unloggedSeconds += seconds
		return
	}
	p.hits.Add(good, len(r.Strokes))
	for e := range p.strokes {
		p.strokes[e] += n[e]
	}
}

// addTurn counts one fault's strokes in one turn: n of those that were looked at
// could have had it. Where no strokes are logged, its marks in so many minutes.
func (c *count) addTurn(h here, n int, all [exposures]int, minutes float64) {
	c.own.add(h.x, n)
	c.sides[0].add(h.sides[0], all[knownForehand])
	c.sides[1].add(h.sides[1], all[knownBackhand])
	c.timed.Join(h.timed(minutes))
}

func (p *accumulator) addStreak(r *club.TurnRecord, number int, run climb.Run, target int) {
	p.joinStreak(&accumulator{
		streak: group.Streak{
			Longest: run.Longest, Current: run.Current, Target: target, Reached: run.Longest >= target,
			TurnID: r.ID, ClipID: r.ClipID, Frame: r.First,
		},
		streakAt: number, lastAt: number,
	})
}

// addTempo counts how fast the strokes of a turn follow one another.
func (p *accumulator) addTempo(r *club.TurnRecord) {
	gaps := len(r.Strokes) - 1
	if gaps < 1 {
		return
	}
	whole := r.Strokes[gaps].Ticks - r.Strokes[0].Ticks
	if whole <= 0 {
		return
	}
	p.paces = append(p.paces, 60*float64(gaps)/r.Base.Seconds(whole))
	p.freely += gaps - 1
	perMean := float64(gaps) / float64(whole)
	for i := range gaps {
		d := float64(r.Strokes[i+1].Ticks-r.Strokes[i].Ticks)*perMean - 1
		p.uneven += d * d
	}
}

// addReadiness counts the margins of a turn and remembers its late strokes.
func (k *Counter) addReadiness(r *club.TurnRecord, p *accumulator) {
	n, late := 0, 0
	for i := range r.Strokes {
		s := &r.Strokes[i]
		if s.Ready == nil || s.Answer == nil || math.IsNaN(*s.Answer) {
			continue
		}
		n++
		margin := *s.Answer - r.Base.Seconds(s.Ready.Ticks-r.Zero)
		p.margins = append(p.margins, margin)
		if margin >= 0 {
			continue
		}
		late++
		if !k.o.Lean {
			p.lates = append(p.lates, lateAt{turn: k.turns, Late: group.Late{
				ClipID: r.ClipID, TurnID: r.ID, StrokeID: s.ID, Frame: s.Frame,
				ReadyFrame: s.Ready.Frame, ReadyTicks: s.Ready.Ticks, Margin: margin, Marked: k.marked(i),
			}})
		}
	}
	p.late.Add(late, n)
}

// marked reports whether a fault of getting ready hangs on the stroke.
func (k *Counter) marked(stroke int) bool {
	for _, h := range k.hits {
		if ph := k.faults[h.fault].Phase; h.stroke == stroke && (ph == club.Ready || ph == club.Recovery) {
			return true
		}
	}
	return false
}

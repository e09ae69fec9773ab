package tally

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/club"
)

// Summarise counts the turns whose date lies in the closed period; an empty end
// is open. It is SummariseWith for those options.
func Summarise(c club.Catalogue, turns []club.TurnRecord, from, to club.Date) Summary {
	return SummariseWith(c, turns, Options{From: from, To: to})
}

// SummariseWith counts the turns as the options say. Their order does not matter.
// Strokes and marks of a turn are in order of frame, as club.TurnRecord promises,
// and every mark lies in its turn. Nothing given is changed.
//
// A fault's X is the number of distinct strokes on which a mark of it hangs
// (club.TurnRecord.HangOn), so that two coaches who mark the same fault on the
// same stroke count once; its N is its exposure, the strokes on which it could
// have happened. Turns without one logged stroke go to the per-minute figure.
// Definitions that are retired, or missing from the catalogue, appear where they
// have marks or turns.
//
// The work grows with the number of turns, strokes and marks; one mark costs a
// binary search among its turn's strokes.
func SummariseWith(c club.Catalogue, turns []club.TurnRecord, o Options) Summary {
	order := make([]*club.TurnRecord, len(turns))
	for i := range turns {
		order[i] = &turns[i]
	}
	slices.SortFunc(order, InOrder)
	k := NewCounter(c, o)
	for _, r := range order {
		k.Add(r)
	}
	return k.Summary()
}

// InOrder compares turns by date, clip and frame: the order in which a Counter
// wants them.
func InOrder(a, b *club.TurnRecord) int {
	if c := cmp.Compare(a.Date, b.Date); c != 0 {
		return c
	}
	if c := cmp.Compare(a.ClipID, b.ClipID); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.ID, b.ID))
}

// Counter counts turns one by one, so that a whole library never has to be in
// memory. It is for one goroutine.
type Counter struct {
	o       Options
	faults  []club.Fault    // the catalogue's, then those met that it lacks
	faultAt map[club.ID]int // index in faults
	drills  map[club.ID]club.Drill
	ladder  []club.Drill // in use, in the order of the ladder
	players map[club.ID]club.Player

	dates []club.Date // met, in order
	turns int         // counted so far
	books []*book
	cells []*cell
	byID  map[club.ID]*book
	byKey map[cellKey]*cell
	marks []countedMark // all, in the order of turns; none in a lean summary
	tests []*Test       // all that were made

	months []float64 // of dates; see monthOf
	club   *spread   // the club's own; see Summary

	// Of the turn at hand:
	sides []club.Side
	here  []here // by fault
	met   []int  // faults of this turn
	hits  []hit  // in order of the marks
	next  int    // the first stroke at or after the last mark
}

type cellKey struct{ player, drill club.ID }

// cell is one player at one drill: two piles where periods are compared, else
// only the first.
type cell struct {
	drill  club.Drill
	book   *book
	parts  [2]pile
	climbs climbs
	heaps  []*heap // where it is shown
}

// book is one player.
type book struct {
	player   club.ID
	cells    []*cell
	sessions []sessionCount
	place    []int // of each fault in the last session, counted from 1; 0 for none
	best     bead
	latest   bead
}

// here is what the turn at hand has of one fault.
type here struct {
	last    int // the stroke that was counted last, -1 for none
	x       int
	sides   [2]int
	minutes int
}

// hit is a fault on a stroke.
type hit struct{ fault, stroke int }

// countedMark remembers where a mark was counted, so that its ID can be shown
// there.
type countedMark struct {
	id    club.ID
	cell  *cell
	fault int
}

// NewCounter returns a Counter of nothing yet.
func NewCounter(c club.Catalogue, o Options) *Counter {
	k := &Counter{
		o:       o,
		faults:  slices.Clone(c.Faults),
		faultAt: make(map[club.ID]int, len(c.Faults)),
		drills:  make(map[club.ID]club.Drill, len(c.Drills)),
		players: make(map[club.ID]club.Player, len(c.Players)),
		byID:    map[club.ID]*book{},
		byKey:   map[cellKey]*cell{},
	}
	for i, f := range k.faults {
		k.faultAt[f.ID] = i
	}
	for _, d := range c.Drills {
		k.drills[d.ID] = d
		if !d.Retired {
			k.ladder = append(k.ladder, d)
		}
	}
	sortDrills(k.ladder)
	for _, p := range c.Players {
		k.players[p.ID] = p
	}
	k.here = make([]here, len(k.faults))
	return k
}

// drill returns the definition, or a stand-in where the catalogue lacks it.
func (k *Counter) drill(id club.ID) club.Drill {
	if d, ok := k.drills[id]; ok {
		return d
	}
	return club.Drill{ID: id, Name: "A drill that is no longer defined", Method: club.Free, Streak: club.DefaultStreakTarget, Retired: true}
}

// fault returns the index of the definition, making a stand-in where the
// catalogue lacks it.
func (k *Counter) fault(id club.ID) int {
	i, ok := k.faultAt[id]
	if !ok {
		i = len(k.faults)
		k.faultAt[id] = i
		k.faults = append(k.faults, club.Fault{ID: id, Code: "?", Label: "A fault that is no longer defined", Sides: club.BothSides, Retired: true})
		k.here = append(k.here, here{})
	}
	return i
}

// cell returns where turns of the player at the drill are counted.
func (k *Counter) cell(player, drill club.ID) *cell {
	key := cellKey{player, drill}
	c := k.byKey[key]
	if c == nil {
		b := k.byID[player]
		if b == nil {
			b = &book{player: player}
			k.byID[player] = b
			k.books = append(k.books, b)
		}
		c = &cell{drill: k.drill(drill), book: b}
		b.cells = append(b.cells, c)
		k.byKey[key] = c
		k.cells = append(k.cells, c)
	}
	return c
}

// Add counts one turn. Turns come in the order of InOrder; nothing of r is kept
// but its IDs. Turns after the period are left out, those before it count on the
// ladder only.
func (k *Counter) Add(r *club.TurnRecord) {
	if k.o.To != "" && r.Date > k.o.To {
		return
	}
	c := k.cell(r.PlayerID, r.DrillID)
	run := runOf(r.Strokes)
	inside := k.o.From == "" || r.Date >= k.o.From
	c.climbs.add(r, run, inside, c.drill.Streak, k.o.Lean)
	if !inside {
		return
	}
	k.turns++
	if n := len(k.dates); n == 0 || k.dates[n-1] != r.Date {
		k.dates = append(k.dates, r.Date)
	}
	part := 0
	if k.o.Split != "" && r.Date >= k.o.Split {
		part = 1
	}
	p := &c.parts[part]
	k.sides = sidesOf(k.sides[:0], r, c.drill.Pattern)
	n := exposed(k.sides)
	k.placeMarks(r, c, p)
	p.addTurn(r, len(k.dates)-1, run.good, n)
	for _, f := range k.met {
		p.at(f, len(k.faults)).addTurn(k.here[f], n[exposureOf(k.faults[f].Sides)], n)
	}
	if len(r.Strokes) > 0 {
		p.addStreak(r, k.turns, run, c.drill.Streak)
		p.addTempo(r)
		k.addReadiness(r, p)
		if !k.o.Lean {
			c.book.addBeads(k, r, c.drill.Streak, run)
		}
	}
	c.book.addSession(k, r, n, run)
	for _, f := range k.met {
		k.here[f] = here{}
	}
}

// run is how the strokes of a turn went.
type run struct{ good, longest, current int }

// runOf counts good strokes, and those in a row as club.TurnRecord.Streak does.
func runOf(strokes []club.Stroke) (n run) {
	for i := range strokes {
		if strokes[i].Outcome != club.Good {
			n.current = 0
			continue
		}
		n.good++
		n.current++
		n.longest = max(n.longest, n.current)
	}
	return n
}

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
func (k *Counter) placeMarks(r *club.TurnRecord, c *cell, p *pile) {
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
		kind := unlogged
		if len(r.Strokes) > 0 {
			kind = k.place(r, m, f, h, byHand)
		} else {
			h.minutes++
		}
		p.at(f, len(k.faults)).kinds[kind]++
		if !k.o.Lean {
			k.marks = append(k.marks, countedMark{m.ID, c, f})
		}
	}
}

// place says what a mark is in a turn with logged strokes. Marks come in order of
// time, and so do the strokes that marks of one fault hang on by themselves.
func (k *Counter) place(r *club.TurnRecord, m *club.Mark, f int, h *here, byHand bool) markKind {
	stroke := k.hangOn(r, m, k.faults[f].Sides)
	switch {
	case stroke < 0:
		return unplaced
	case stroke == h.last || byHand && slices.Contains(k.hits, hit{f, stroke}):
		return repeated
	}
	h.last = stroke
	h.x++
	switch k.sides[stroke] {
	case club.Forehand:
		h.sides[0]++
	case club.Backhand:
		h.sides[1]++
	}
	k.hits = append(k.hits, hit{f, stroke})
	return struck
}

// hangOn is club.TurnRecord.HangOn. For marks in order of time it goes along the
// strokes instead of searching them anew.
func (k *Counter) hangOn(r *club.TurnRecord, m *club.Mark, could club.Sides) int {
	if m.StrokeID != "" {
		return r.HangOn(*m, could, k.sides)
	}
	for k.next > 0 && r.Strokes[k.next-1].Ticks >= m.Ticks {
		k.next--
	}
	for k.next < len(r.Strokes) && r.Strokes[k.next].Ticks < m.Ticks {
		k.next++
	}
	before, after := k.next-1, k.next
	if could != club.BothSides {
		for before >= 0 && !could.Could(k.sides[before]) {
			before--
		}
		for after < len(r.Strokes) && !could.Could(k.sides[after]) {
			after++
		}
	}
	switch {
	case after == len(r.Strokes):
		return before
	case before < 0 || r.Strokes[after].Ticks-m.Ticks < m.Ticks-r.Strokes[before].Ticks:
		return after
	}
	return before
}

// addTurn counts what does not depend on faults.
func (p *pile) addTurn(r *club.TurnRecord, day, good int, n [exposures]int) {
	p.days.add(day)
	p.turns++
	seconds := r.Seconds()
	p.seconds += seconds
	if len(r.Strokes) == 0 {
		p.unloggedTurns++
		p.unloggedSeconds += seconds
		return
	}
	p.good += good
	for e := range p.exposure {
		p.exposure[e].Add(0, n[e])
	}
}

// addTurn counts one fault's strokes in one turn: n of them could have had it.
func (c *count) addTurn(h here, n int, all [exposures]int) {
	c.own.add(h.x, n)
	c.sides[0].add(h.sides[0], all[knownForehand])
	c.sides[1].add(h.sides[1], all[knownBackhand])
}

func (p *pile) addStreak(r *club.TurnRecord, number int, run run, target int) {
	p.joinStreak(&pile{
		streak: Streak{
			Longest: run.longest, Current: run.current, Target: target, Reached: run.longest >= target,
			TurnID: r.ID, ClipID: r.ClipID, Frame: r.First,
		},
		streakAt: number, lastAt: number,
	})
}

// addTempo counts how fast the strokes of a turn follow one another.
func (p *pile) addTempo(r *club.TurnRecord) {
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

// addReadiness counts the margins of a turn and remembers the late strokes that
// nobody has marked.
func (k *Counter) addReadiness(r *club.TurnRecord, p *pile) {
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
		if !k.o.Lean && !k.marked(i) {
			p.unmarked = append(p.unmarked, lateAt{turn: k.turns, Late: Late{
				ClipID: r.ClipID, TurnID: r.ID, StrokeID: s.ID, Frame: s.Frame,
				ReadyFrame: s.Ready.Frame, ReadyTicks: s.Ready.Ticks, Margin: margin,
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

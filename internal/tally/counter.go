package tally

import (
	"cmp"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/rate"
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
// A fault's N is its exposure: the strokes on which it could have happened and at
// which somebody has looked for it (club.Look). Its X is the number of those on which
// a mark of it hangs (aim.HangOn), so that two coaches who mark the same
// fault on the same stroke count once. Turns without one logged stroke go to the
// per-minute figure, as far as they were looked at.
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
	listed  []club.Player    // the catalogue's
	only    map[club.ID]bool // drills that are counted; nil: all

	dates []club.Date // met, in order
	turns int         // counted so far
	books []*book
	cells []*cell
	byID  map[club.ID]*book
	byKey map[cellKey]*cell
	marks []countedMark    // all, in the order of turns; none in a lean summary
	tests []*contrast.Test // all that were made

	months []float64 // of dates; see fillMonths
	club   *spread   // the club's own; see know
	alike  likeness

	// Of the turn at hand:
	sides []club.Side
	here  []here // by fault
	met   []int  // faults of this turn
	hits  []hit  // in order of the marks
	next  int    // the first stroke at or after the last mark
	parts []part // what was looked at of it
	seen  []club.Side

	sets   faultSets
	inUse  *faultSet
	single []int // the first look of a turn, where there is one
}

type cellKey struct{ player, drill club.ID }

// cell is one player at one drill: two accumulators where periods are compared,
// else only the first.
type cell struct {
	drill club.Drill
	book  *book
	parts [2]accumulator
	climb climb.Climb
	heaps []*heap // where it is shown
}

// book is one player.
type book struct {
	player   club.ID
	cells    []*cell
	sessions []sessionCount
	pairs    [pairings][]rate.DayPairs // by fault; see pairUp
	place    []int                     // of each fault in the last session, counted from 1; 0 for none
	best     rememberedTurn
	latest   rememberedTurn
}

// here is what the turn at hand has of one fault.
type here struct {
	last    int // the stroke that was counted last, -1 for none
	x       int
	sides   [2]int
	minutes int
}

// timed are the marks of a turn without strokes, of so many minutes that are counted
// elsewhere.
func (h here) timed(minutes float64) rate.Minutes {
	return rate.Minutes{X: h.minutes, XX: h.minutes * h.minutes, XT: float64(h.minutes) * minutes}
}

// hit is a fault on a stroke.
type hit struct{ fault, stroke int }

// countedMark remembers where a mark was counted, so that its ID can be shown
// there.
type countedMark struct {
	id    club.ID
	cell  *cell
	fault int
	side  club.Side // of the stroke that it hangs on, as far as it is known
}

// NewCounter returns a Counter of nothing yet.
func NewCounter(c club.Catalogue, o Options) *Counter {
	k := &Counter{
		o:       o,
		faults:  slices.Clone(c.Faults),
		faultAt: make(map[club.ID]int, len(c.Faults)),
		drills:  make(map[club.ID]club.Drill, len(c.Drills)),
		players: make(map[club.ID]club.Player, len(c.Players)),
		listed:  c.Players,
		byID:    map[club.ID]*book{},
		byKey:   map[cellKey]*cell{},
	}
	for i, f := range k.faults {
		k.faultAt[f.ID] = i
	}
	var inUse []int
	for i, f := range k.faults {
		if !f.Retired {
			inUse = append(inUse, i)
		}
	}
	k.inUse, k.single = k.sets.of(inUse), []int{0}
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
	if len(o.Drills) > 0 {
		k.only = make(map[club.ID]bool, len(o.Drills))
		for _, id := range o.Drills {
			k.only[id] = true
		}
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

// former reports whether a player is the one who stands for former players.
func (k *Counter) former(player club.ID) bool { return k.o.Former != "" && player == k.o.Former }

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

// Marks returns the marks that were counted and that keep wants, by their fault
// and the side of the stroke on which they hang ("" where that is not known), in
// order of date, clip and frame. A lean counter has none.
func (k *Counter) Marks(keep func(f club.Fault, side club.Side) bool) []club.ID {
	ids := []club.ID{}
	for _, m := range k.marks {
		if keep(k.faults[m.fault], m.side) {
			ids = append(ids, m.id)
		}
	}
	return ids
}

// Add counts one turn. Turns come in the order of InOrder; nothing of r is kept
// but its IDs. Turns after the period are left out; those before it, and those at
// other drills than Options.Drills, count on the ladder only.
func (k *Counter) Add(r *club.TurnRecord) {
	if k.o.To != "" && r.Date > k.o.To {
		return
	}
	c := k.cell(r.PlayerID, r.DrillID)
	run := climb.RunOf(r.Strokes)
	inside := k.o.From == "" || r.Date >= k.o.From
	c.climb.Add(r, run, inside, c.drill.Streak, k.o.Lean)
	if !inside || k.only != nil && !k.only[r.DrillID] {
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
	k.watch(r, n)
	k.placeMarks(r, c, p)
	p.addTurn(r, len(k.dates)-1, run.Good, n)
	p.looked.Join(k.looked(r))
	for i := range k.parts {
		p.watches.add(&k.parts[i])
	}
	for _, f := range k.met {
		if at := k.partOf(f); at != nil {
			p.at(f, len(k.faults)).addTurn(k.here[f], at.n[exposureOf(k.faults[f].Sides)], at.n, at.seconds/60)
		}
	}
	if len(r.Strokes) > 0 {
		p.addStreak(r, k.turns, run, c.drill.Streak)
		p.addTempo(r)
		k.addReadiness(r, p)
		if !k.o.Lean {
			c.book.rememberTurn(k, r, c.drill.Streak, run)
		}
	}
	c.book.addSession(k, r, run, c.drill)
	for _, f := range k.met {
		k.here[f] = here{}
	}
}

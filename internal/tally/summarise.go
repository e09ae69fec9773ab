package tally

import (
	"cmp"
	"slices"

	"strokeledger/internal/club"
)

// Summarise counts the turns whose date lies in the closed period; an empty end
// is open. The order of turns does not matter. Strokes and marks of a turn are
// in order of frame, as club.TurnRecord promises, and every mark lies in its
// turn. Nothing given is changed.
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
func Summarise(c club.Catalogue, turns []club.TurnRecord, from, to club.Date) Summary {
	t := newTallier(c)
	order := make([]*club.TurnRecord, 0, len(turns))
	for i := range turns {
		if turns[i].Date.Between(from, to) {
			order = append(order, &turns[i])
		}
	}
	slices.SortFunc(order, func(a, b *club.TurnRecord) int {
		return cmp.Or(
			cmp.Compare(a.Date, b.Date),
			cmp.Compare(a.ClipID, b.ClipID),
			cmp.Compare(a.First, b.First),
			cmp.Compare(a.ID, b.ID),
		)
	})
	for _, r := range order {
		t.add(r)
	}
	return t.summary(from, to)
}

// tallier holds what has been counted so far.
type tallier struct {
	faults  []club.Fault    // the catalogue's, then those met that it lacks
	faultAt map[club.ID]int // index in faults
	drills  map[club.ID]club.Drill
	players map[club.ID]club.Player

	team   *book
	books  map[club.ID]*book // by player
	last   []int             // by fault: the stroke of this turn that was counted last
	counts map[int]Interval  // Poisson intervals worked out already, by count
}

// book is what becomes one sheet.
type book struct {
	all     *pile
	methods map[club.Method]*pile
	drills  map[club.ID]*pile
}

func newBook() *book {
	return &book{all: new(pile), methods: map[club.Method]*pile{}, drills: map[club.ID]*pile{}}
}

func newTallier(c club.Catalogue) *tallier {
	t := &tallier{
		faults:  slices.Clone(c.Faults),
		faultAt: make(map[club.ID]int, len(c.Faults)),
		drills:  make(map[club.ID]club.Drill, len(c.Drills)),
		players: make(map[club.ID]club.Player, len(c.Players)),
		team:    newBook(),
		books:   map[club.ID]*book{},
		counts:  map[int]Interval{},
	}
	for i, f := range t.faults {
		t.faultAt[f.ID] = i
	}
	for _, d := range c.Drills {
		t.drills[d.ID] = d
	}
	for _, p := range c.Players {
		t.players[p.ID] = p
	}
	return t
}

// drill returns the definition, or a stand-in where the catalogue lacks it.
func (t *tallier) drill(id club.ID) club.Drill {
	if d, ok := t.drills[id]; ok {
		return d
	}
	return club.Drill{ID: id, Name: "A drill that is no longer defined", Method: club.Free, Streak: club.DefaultStreakTarget}
}

// fault returns the index of the definition, making a stand-in where the
// catalogue lacks it.
func (t *tallier) fault(id club.ID) int {
	i, ok := t.faultAt[id]
	if !ok {
		i = len(t.faults)
		t.faultAt[id] = i
		t.faults = append(t.faults, club.Fault{ID: id, Code: "?", Label: "A fault that is no longer defined", Sides: club.BothSides, Retired: true})
	}
	return i
}

// piles returns the six groups that a turn of the player at the drill counts in.
func (t *tallier) piles(player club.ID, d club.Drill) [6]*pile {
	own := t.books[player]
	if own == nil {
		own = newBook()
		t.books[player] = own
	}
	return [6]*pile{
		t.team.all, entry(t.team.methods, d.Method), entry(t.team.drills, d.ID),
		own.all, entry(own.methods, d.Method), entry(own.drills, d.ID),
	}
}

func entry[K comparable](m map[K]*pile, k K) *pile {
	p := m[k]
	if p == nil {
		p = new(pile)
		m[k] = p
	}
	return p
}

// add counts one turn. Turns come in order of date.
func (t *tallier) add(r *club.TurnRecord) {
	d := t.drill(r.DrillID)
	piles := t.piles(r.PlayerID, d)
	sides := r.Sides(d.Pattern)
	here := exposureOf(sides)
	for _, p := range piles {
		p.addTurn(r, here, d.Streak)
	}
	for i := range t.last {
		t.last[i] = -1
	}
	for _, m := range r.Marks {
		f := t.fault(m.FaultID)
		for len(t.last) <= f {
			t.last = append(t.last, -1)
		}
		kind := unlogged
		if len(r.Strokes) > 0 {
			kind = t.place(r, m, f, sides, here)
		}
		for _, p := range piles {
			p.addMark(f, m.ID, kind)
		}
	}
}

// place says what a mark is in a turn with logged strokes. Marks come in order
// of time, and so do the strokes that marks of one fault hang on.
func (t *tallier) place(r *club.TurnRecord, m club.Mark, f int, sides []club.Side, here exposure) markKind {
	could := t.faults[f].Sides
	if here.of(could) == 0 {
		return unplaced
	}
	stroke := r.HangOn(m.Ticks, could, sides)
	if stroke == t.last[f] {
		return repeated
	}
	t.last[f] = stroke
	return struck
}

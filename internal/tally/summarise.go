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
	marks := 0
	for i := range turns {
		if turns[i].Date.Between(from, to) {
			order = append(order, &turns[i])
			marks += len(turns[i].Marks)
		}
	}
	slices.SortFunc(order, inOrder)
	t.marks = make([]countedMark, 0, marks)
	for _, r := range order {
		t.add(r)
	}
	t.fillMarkIDs()
	return t.summary(from, to)
}

// inOrder compares turns by date, clip and frame.
func inOrder(a, b *club.TurnRecord) int {
	if c := cmp.Compare(a.Date, b.Date); c != 0 {
		return c
	}
	if c := cmp.Compare(a.ClipID, b.ClipID); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(a.ID, b.ID))
}

// tallier holds what has been counted so far.
type tallier struct {
	faults  []club.Fault    // the catalogue's, then those met that it lacks
	faultAt map[club.ID]int // index in faults
	drills  map[club.ID]club.Drill
	players map[club.ID]club.Player

	team   *book
	books  map[club.ID]*book        // by player
	chosen map[[2]club.ID]*[6]*pile // by player and drill: the groups in which such a turn counts
	marks  []countedMark            // all, in the order of turns
	last   []int                    // by fault: the stroke of this turn that was counted last
	counts map[int]Interval         // Poisson intervals worked out already, by count
}

// countedMark remembers where a mark was counted, so that its ID can be noted
// there once the number of marks is known: growing a list for every fault of
// every group would cost more than all the counting.
type countedMark struct {
	id    club.ID
	piles *[6]*pile
	fault int
}

// book is what becomes one sheet.
type book struct {
	all     *pile
	methods map[club.Method]*pile
	drills  map[club.ID]*pile
}

func newPile() *pile { return new(pile) }

func newBook() *book {
	return &book{all: newPile(), methods: map[club.Method]*pile{}, drills: map[club.ID]*pile{}}
}

func newTallier(c club.Catalogue) *tallier {
	t := &tallier{
		faults:  slices.Clone(c.Faults),
		faultAt: make(map[club.ID]int, len(c.Faults)),
		drills:  make(map[club.ID]club.Drill, len(c.Drills)),
		players: make(map[club.ID]club.Player, len(c.Players)),
		team:    newBook(),
		books:   map[club.ID]*book{},
		chosen:  map[[2]club.ID]*[6]*pile{},
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
func (t *tallier) piles(player club.ID, d club.Drill) *[6]*pile {
	key := [2]club.ID{player, d.ID}
	piles := t.chosen[key]
	if piles == nil {
		own := entry(t.books, player, newBook)
		piles = &[6]*pile{
			t.team.all, entry(t.team.methods, d.Method, newPile), entry(t.team.drills, d.ID, newPile),
			own.all, entry(own.methods, d.Method, newPile), entry(own.drills, d.ID, newPile),
		}
		t.chosen[key] = piles
	}
	return piles
}

func entry[K comparable, V any](m map[K]*V, k K, make func() *V) *V {
	v := m[k]
	if v == nil {
		v = make()
		m[k] = v
	}
	return v
}

// add counts one turn. Turns come in order of date.
func (t *tallier) add(r *club.TurnRecord) {
	d := t.drill(r.DrillID)
	piles := t.piles(r.PlayerID, d)
	sides := r.Sides(d.Pattern)
	seen := look(r, sides, d.Streak)
	for _, p := range piles {
		p.addTurn(r, seen)
	}
	for i := range t.last {
		t.last[i] = -1
	}
	for i := range r.Marks {
		m := &r.Marks[i]
		f := t.fault(m.FaultID)
		for len(t.last) <= f {
			t.last = append(t.last, -1)
		}
		kind := unlogged
		if len(r.Strokes) > 0 {
			kind = t.place(r, m, f, sides, seen.exposure)
		}
		for _, p := range piles {
			p.addMark(f, kind)
		}
		t.marks = append(t.marks, countedMark{m.ID, piles, f})
	}
}

// place says what a mark is in a turn with logged strokes. Marks come in
// order of time, and so do the strokes that marks of one fault hang on.
func (t *tallier) place(r *club.TurnRecord, m *club.Mark, f int, sides []club.Side, here exposure) markKind {
	could := t.faults[f].Sides
	if here.of(could) == 0 {
		return unplaced
	}
	stroke := r.HangOn(*m, could, sides)
	if stroke == t.last[f] {
		return repeated
	}
	t.last[f] = stroke
	return struck
}

// fillMarkIDs notes each mark in every group where it was counted.
func (t *tallier) fillMarkIDs() {
	for _, m := range t.marks {
		for _, p := range m.piles {
			p.noteMark(m.fault, m.id)
		}
	}
}

package merge

import (
	"cmp"
	"maps"
	"slices"

	"strokeledger/internal/club"
)

// Side is what one library has, or a file brings: rows by table, removed ones too.
type Side map[string][]Row

// Options say how two sides are merged.
type Options struct {
	Now     Stamp             // of what is decided while merging, later than anything on both sides
	Choices map[string]string // what the coach has chosen, by [Doubt.Key]
	// Partial says that of what lies on clips ours has only what lies on theirs.
	Partial bool
	Told    bool // theirs tells names and notes
	// Forgotten says which of their players ours has forgotten.
	Forgotten func(player club.ID) bool
	// OurFormer and TheirFormer are the players who stand for the forgotten.
	OurFormer, TheirFormer club.ID
	// Alike says whether one of our films and one of theirs sound the same.
	Alike func(ours, theirs club.Clip) bool
	// Film gives the pictures of a film by what is known of it.
	Film func(club.Clip) Film
}

// Film knows the pictures of a film.
type Film interface {
	// Nearest is the picture nearest to a moment, in seconds on clip time.
	Nearest(seconds float64) (frame int, ticks int64)
}

// Plan is what merging comes to.
type Plan struct {
	Writes []Write // what our library has to take over, in no order
	Tables []Count // by table, those with something to tell
	Items  []Item  // each definition, session, clip and ruling that comes in or changes, and each entry that changes
	Doubts []Doubt
	Left   []string // what cannot be placed and stays out, by name
	Notes  []string // sentences on what else happens
	Whole  bool     // more of our library is needed than was given: see Options.Partial
}

// Write is one row as it is to be.
type Write struct {
	Table string
	Row
}

// Count is how many rows of a table come in, change, go, come back, and are the same.
type Count struct {
	Table   string `json:"table"`
	New     int    `json:"new"`
	Changed int    `json:"changed"`
	Removed int    `json:"removed"`
	Back    int    `json:"back"`
}

// Item is one row that comes in or changes, in words.
type Item struct {
	Table string `json:"table"`
	What  string `json:"what"` // new, changed, removed, back
	Say   string `json:"say"`
}

// Doubt is a question to the coach.
type Doubt struct {
	Key     string   `json:"key"`
	Kind    string   `json:"kind"` // same, removed, used, turns, strokes, film, forgotten
	Say     string   `json:"say"`
	Choices []Choice `json:"choices"`
	Chosen  string   `json:"chosen"` // by the coach, or what is proposed; empty: nothing yet
}

// Choice is one answer, with what it does.
type Choice struct {
	Value string `json:"value"`
	Say   string `json:"say"`
}

// Open counts the questions without an answer.
func (p Plan) Open() (n int) {
	for _, d := range p.Doubts {
		if d.Chosen == "" {
			n++
		}
	}
	return n
}

// item is one thing with all rows that stand for it.
type item struct {
	table        *Table
	ours, theirs []Row
	row          Row  // what they come to
	brought      Row  // what theirs come to
	fought       bool // one side removed it, the other changed it
}

// bringing is one merge under way.
type bringing struct {
	Options
	Plan
	tables  []*Table
	ours    Side
	theirs  Side
	one     map[string]map[club.ID]club.ID // by table of IDs: one that is kept for an ID that is given up
	items   map[string]map[club.ID]*item
	say     *words
	refused map[club.ID]bool // their players who stay out
	moves   map[club.ID]move // by clip whose rows of one side go onto another film
	newSame []Same
}

// Bring works out what merging theirs into ours comes to. Errors: a *club.Problem where
// a row does not read.
func Bring(ours, theirs Side, o Options) (Plan, error) {
	b := &bringing{Options: o, tables: tables(), ours: ours, theirs: theirs, one: map[string]map[club.ID]club.ID{},
		items: map[string]map[club.ID]*item{}, refused: map[club.ID]bool{}, moves: map[club.ID]move{}}
	b.say = &words{b: b}
	b.said()
	for _, step := range []func() error{b.forgotten, b.definitions, b.films, b.entries, b.sameEntries, b.removals, b.turnsApart, b.parents, b.pairedOnce, b.unique, b.writes} {
		if err := step(); err != nil {
			return Plan{}, err
		}
	}
	return b.Plan, nil
}

// said takes over what both sides say is the same, and what they are known by.
func (b *bringing) said() {
	for _, side := range []Side{b.ours, b.theirs} {
		for _, r := range side["same"] {
			if s, err := read[Same](r); err == nil && !r.Gone {
				b.unite(s.Table, s.Given, s.Keep)
			}
		}
	}
}

// keep is the ID that stands for an ID.
func (b *bringing) keep(ids string, id club.ID) club.ID {
	for {
		to, ok := b.one[ids][id]
		if !ok {
			return id
		}
		id = to
	}
}

// unite makes two IDs one, which is the least of all that mean the same.
func (b *bringing) unite(ids string, x, y club.ID) {
	x, y = b.keep(ids, x), b.keep(ids, y)
	if x == y {
		return
	}
	if b.one[ids] == nil {
		b.one[ids] = map[club.ID]club.ID{}
	}
	b.one[ids][max(x, y)] = min(x, y)
}

// decide makes two IDs one because that was found or chosen now.
func (b *bringing) decide(ids string, x, y club.ID) {
	if x, y := b.keep(ids, x), b.keep(ids, y); x != y {
		b.newSame = append(b.newSame, NewSame(ids, x, y))
	}
	b.unite(ids, x, y)
}

// chosen is the answer to a question: the coach's, else what is proposed.
func (b *bringing) ask(d Doubt) string {
	if v, ok := b.Choices[d.Key]; ok && slices.ContainsFunc(d.Choices, func(c Choice) bool { return c.Value == v }) {
		d.Chosen = v
	}
	b.Doubts = append(b.Doubts, d)
	return d.Chosen
}

// gatherAll puts the rows of both sides together.
func (b *bringing) gatherAll(tables ...string) error {
	for _, name := range tables {
		t := b.table(name)
		b.items[name] = map[club.ID]*item{}
		if err := b.gather(t, b.ours[name], true); err != nil {
			return err
		}
		if err := b.gather(t, b.theirs[name], false); err != nil {
			return err
		}
		for _, it := range b.items[name] {
			if err := it.settle(); err != nil {
				return err
			}
		}
	}
	return nil
}

func (b *bringing) table(name string) *Table {
	return b.tables[slices.IndexFunc(b.tables, func(t *Table) bool { return t.Name == name })]
}

// gather takes the rows of one side into its items, under the IDs that are kept. Rows
// that one side has given up already are in what it kept.
func (b *bringing) gather(t *Table, rows []Row, ours bool) error {
	side := b.theirs
	if ours {
		side = b.ours
	}
	given := map[club.ID]bool{}
	for _, r := range side["same"] {
		if s, err := read[Same](r); err == nil && !r.Gone && s.Table == t.ids {
			given[s.Given] = true
		}
	}
	for _, r := range rows {
		if given[r.ID] {
			continue
		}
		r, err := b.named(t, r)
		if err == nil {
			r, err = b.moved(t, r, ours)
		}
		if err != nil {
			return err
		}
		id := r.ID
		it := b.items[t.Name][id]
		if it == nil {
			it = &item{table: t}
			b.items[t.Name][id] = it
		}
		if ours {
			it.ours = append(it.ours, r)
		} else {
			it.theirs = append(it.theirs, b.redacted(t, r))
		}
	}
	return nil
}

// redacted makes the parts that a record without names does not tell older than anything.
func (b *bringing) redacted(t *Table, r Row) Row {
	if b.Told || len(t.untold) == 0 {
		return r
	}
	return t.stamped(r, func(p string) Stamp {
		if slices.Contains(t.untold, p) {
			return Stamp{Clock: untold}
		}
		return r.at(p)
	})
}

// settle works out what the rows of an item come to.
func (it *item) settle() (err error) {
	fold := func(rows []Row) (Row, error) {
		all := rows[0]
		for _, r := range rows[1:] {
			if all, _, err = it.table.join(all, r); err != nil {
				return all, err
			}
		}
		return all, nil
	}
	var own Row
	if len(it.ours) > 0 {
		if own, err = fold(it.ours); err != nil {
			return err
		}
	}
	if len(it.theirs) > 0 {
		if it.brought, err = fold(it.theirs); err != nil {
			return err
		}
	}
	switch {
	case len(it.theirs) == 0:
		it.row = own
	case len(it.ours) == 0:
		it.row = it.brought
	default:
		it.row, it.fought, err = it.table.join(own, it.brought)
	}
	return err
}

// onlyOurs and onlyTheirs report whether it is there and the other side never had it.
func (it *item) onlyOurs() bool   { return len(it.theirs) == 0 && !it.row.Gone }
func (it *item) onlyTheirs() bool { return len(it.ours) == 0 && !it.row.Gone }

// set changes fields of what an item comes to, as decided now.
func (b *bringing) set(it *item, image []byte) error {
	row, err := it.table.Changed(it.row, image, b.Now)
	if err == nil {
		it.row = row
	}
	return err
}

// inOrder lists the items of a table by ID, so that everybody comes to the same.
func (b *bringing) inOrder(table string) []*item {
	all := slices.Collect(maps.Values(b.items[table]))
	slices.SortFunc(all, func(x, y *item) int { return cmp.Compare(x.id(), y.id()) })
	return all
}

func (it *item) id() club.ID {
	if len(it.ours) > 0 {
		return it.ours[0].ID
	}
	return it.theirs[0].ID
}

// merge makes one item of two of a table.
func (b *bringing) merge(table string, x, y *item) error {
	ids := x.table.ids
	b.decide(ids, x.id(), y.id())
	into, from := x, y
	if y.id() < x.id() {
		into, from = y, x
	}
	delete(b.items[table], from.id())
	for _, rows := range []struct{ to, from *[]Row }{{&into.ours, &from.ours}, {&into.theirs, &from.theirs}} {
		for _, r := range *rows.from {
			r, err := b.named(into.table, r)
			if err != nil {
				return err
			}
			*rows.to = append(*rows.to, r)
		}
	}
	return into.settle()
}

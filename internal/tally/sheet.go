package tally

import (
	"cmp"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/text/collate"
	"golang.org/x/text/language"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/prior"
	"strokeledger/internal/tally/rate"
)

// Summary turns what was counted into sheets. It is called once, after the last
// Add.
func (k *Counter) Summary() Summary {
	s := Summary{Version: Version, From: k.o.From, To: k.o.To, Split: k.o.Split, Players: []Sheet{}}
	shown, others := make([]*book, 0, len(k.books)), false
	for _, b := range k.books {
		switch {
		case !slices.ContainsFunc(b.cells, func(c *cell) bool { return c.parts[0].turns+c.parts[1].turns > 0 }):
		case k.o.TeamOnly || k.former(b.player):
			others = true
		default:
			shown = append(shown, b)
		}
	}
	brief := k.o.Lean && len(shown) > 1
	k.fillMonths()
	k.know()
	team := k.newSheet(k.cells, k.books, k.teamSessions(), false)
	players := k.newSheets(shown, brief)
	drafts := append(slices.Clone(players), team)
	// The team's turns may be one player's: then its tests are the same once more.
	twice := len(shown) == 1 && !others && len(team.tests) == len(players[0].tests)
	for _, d := range drafts {
		if !twice || d != team {
			k.tests = append(k.tests, d.tests...)
		}
	}
	k.fillMarkIDs(drafts)

	aliases := k.aliases()
	for i, d := range players {
		k.expect(d)
		d.Ladder = k.ladderOf(shown[i].player, shown[i])
		d.PlayerID = shown[i].player
		d.Name, d.Alias = k.name(d.PlayerID), aliases[d.PlayerID]
	}
	k.drawToTeam(team.Drills)
	s.Tested = contrast.Adjust(k.tests, over(len(shown), twice, brief))
	if twice {
		for i, t := range players[0].tests {
			*team.tests[i] = *t
		}
	}
	for _, d := range drafts {
		k.conclude(d)
	}
	for i, d := range players {
		d.WorkOn = k.basis(d).WorkOn()
		d.Balance = advice.BalanceOf(d.Methods, k.o.Irregular, d.WorkOn)
		if !k.o.Lean {
			d.Best, d.Latest = shown[i].best.row(k.faults), shown[i].latest.row(k.faults)
		}
		s.Players = append(s.Players, d.Sheet)
	}
	s.Team = team.Sheet
	s.Team.Name, s.Team.Alias = "Team", "Team"
	sortByName(s.Players)
	s.Rankings = k.rankings(s.Team.All.Faults, s.Players)
	return s
}

// draft is a sheet that is being made, with the accumulators behind it.
type draft struct {
	Sheet
	all     *heap
	methods map[club.Method]*heap
	drills  map[club.ID]*heap
	cells   []*cell
	brief   bool
	tests   []*contrast.Test // that were made for it
}

// newSheets makes the players' sheets, on all processors: they share nothing that
// is still being written.
func (k *Counter) newSheets(books []*book, brief bool) []*draft {
	sheets := make([]*draft, len(books))
	onAllProcessors(len(books), func(i int) {
		sheets[i] = k.newSheet(books[i].cells, books[i:i+1], books[i].sessions, brief)
	})
	return sheets
}

// onAllProcessors does it for each of so many, which share nothing that it writes.
func onAllProcessors(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for i := w; i < n; i += workers {
				do(i)
			}
		})
	}
	wait.Wait()
}

// heap is the accumulator of a group with the marks behind its numbers.
type heap struct {
	accumulator
	ids [][]club.ID // by fault
}

// whole is both periods of a cell.
func (c *cell) whole() *accumulator {
	if c.parts[1].turns == 0 {
		return &c.parts[0]
	}
	return joined(&c.parts[0], &c.parts[1])
}

// all is everything of a player.
func (b *book) all() *accumulator {
	p := &accumulator{}
	for _, c := range b.cells {
		p.join(&c.parts[0])
		p.join(&c.parts[1])
	}
	return p
}

// know works out what the club says of its players.
func (k *Counter) know() {
	totals := k.o.Club
	if totals == nil {
		totals = k.Totals() // pairs them up
	} else {
		onAllProcessors(len(k.books), func(i int) { k.books[i].pairUp(k) })
	}
	k.club, k.alike = k.newSpread(totals), k.newLikeness(totals)
}

// newSheet puts together the cells of some players, and their sessions. A brief sheet
// is one of many in a lean summary.
func (k *Counter) newSheet(cells []*cell, books []*book, sessions []sessionCount, brief bool) *draft {
	d := &draft{all: &heap{}, methods: map[club.Method]*heap{}, drills: map[club.ID]*heap{}, cells: cells, brief: brief}
	add := func(h *heap, c *cell, p *accumulator) *heap {
		if h == nil {
			h = &heap{}
		}
		h.join(p)
		c.heaps = append(c.heaps, h)
		return h
	}
	for _, c := range cells {
		p := c.whole()
		if p.turns == 0 {
			continue
		}
		add(d.all, c, p)
		d.methods[c.drill.Method] = add(d.methods[c.drill.Method], c, p)
		if !brief {
			d.drills[c.drill.ID] = add(d.drills[c.drill.ID], c, p)
		}
	}
	d.Sheet = Sheet{All: k.group(d.all), Methods: []group.Group{}, Drills: []group.Group{}, Sessions: []Session{}}
	d.All.Kind, d.All.Name = "all", "All drills"
	for _, m := range club.Methods() {
		if h := d.methods[m]; h != nil {
			g := k.group(h)
			g.Kind, g.Name, g.Method = "method", methodName(m), m
			d.Methods = append(d.Methods, g)
		}
	}
	for id, h := range d.drills {
		r, g := k.drill(id), k.group(h)
		g.Kind, g.Name, g.DrillID, g.Method, g.Rung = "drill", r.Name, id, r.Method, r.Rung
		d.Drills = append(d.Drills, g)
	}
	names := collate.New(language.Und)
	slices.SortFunc(d.Drills, func(a, b group.Group) int {
		return cmp.Or(cmp.Compare(a.Rung, b.Rung), names.CompareString(a.Name, b.Name), cmp.Compare(a.DrillID, b.DrillID))
	})
	k.trends(d, books, sessions)
	d.Comparisons = k.comparisons(d, books)
	d.Phases = phases(d.All.Faults)
	d.Balance = advice.BalanceOf(d.Methods, k.o.Irregular, nil)
	if !brief {
		d.Sessions = k.shown(sessions, d.All.Faults)
	}
	return d
}

// sortDrills puts drills in the order of the ladder.
func sortDrills(drills []club.Drill) {
	names := collate.New(language.Und)
	slices.SortFunc(drills, func(a, b club.Drill) int {
		return cmp.Or(cmp.Compare(a.Rung, b.Rung), names.CompareString(a.Name, b.Name), cmp.Compare(a.ID, b.ID))
	})
}

func methodName(m club.Method) string {
	switch m {
	case club.Regular:
		return "Regular"
	case club.Irregular:
		return "Irregular"
	default:
		return "Free"
	}
}

func (k *Counter) group(h *heap) group.Group {
	p := &h.accumulator
	n, first, last := p.days.span()
	g := group.Group{
		Sessions: n, Turns: p.turns, Seconds: p.seconds,
		Strokes: p.strokes[onAny], Good: p.hits.X, GoodShare: rate.ShareOver(p.hits, k.alike.any), Looked: p.looked,
		UnloggedTurns: p.unloggedTurns, UnloggedSeconds: p.unloggedSeconds,
		Streak: p.streak, Readiness: p.readiness(k.alike.any), Tempo: p.tempo(),
		Faults: []group.FaultLine{},
	}
	if n > 0 {
		g.First, g.Last = k.dates[first], k.dates[last]
	}
	indexes := make([]int, 0, len(k.faults))
	for i, f := range k.faults {
		if !f.Retired || p.of(i).marks() > 0 {
			indexes = append(indexes, i)
		}
	}
	slices.SortFunc(indexes, func(a, b int) int {
		x, y := p.of(a), p.of(b)
		return cmp.Or(
			cmp.Compare(y.occurrences(), x.occurrences()),
			cmp.Compare(y.marks(), x.marks()),
			cmp.Compare(k.faults[b].Weight, k.faults[a].Weight),
			cmp.Compare(k.faults[a].Code, k.faults[b].Code),
			cmp.Compare(k.faults[a].ID, k.faults[b].ID),
		)
	})
	g.Faults = make([]group.FaultLine, len(indexes))
	for at, i := range indexes {
		f, c := &k.faults[i], p.of(i)
		m := p.moments(i, exposureOf(f.Sides))
		g.Faults[at] = group.FaultLine{
			FaultID: f.ID, Code: f.Code, Label: f.Label, Phase: f.Phase, Weight: f.Weight, Cue: f.Cue, Retired: f.Retired,
			Marks: c.marks(), Unplaced: int(c.kinds[unplaced]),
			Unlooked: int(c.kinds[unlooked]), UnlookedTurns: p.turns - p.watches.turns(i), UnlookedStrokes: p.strokes[exposureOf(f.Sides)] - m.N,
			PerStroke: rate.ShareOver(m, k.alike.turns[i]),
			PerMinute: rate.PaceOver(p.minutes(i), k.alike.minutes[i]),
			MarkIDs:   []club.ID{},
		}
	}
	g.Describe()
	return g
}

// fillMarkIDs shows each mark in every group where it was counted.
func (k *Counter) fillMarkIDs(drafts []*draft) {
	for _, m := range k.marks {
		for _, h := range m.cell.heaps {
			for len(h.ids) <= m.fault {
				h.ids = append(h.ids, nil)
			}
			ids := &h.ids[m.fault]
			if *ids == nil {
				*ids = make([]club.ID, 0, h.of(m.fault).marks())
			}
			*ids = append(*ids, m.id)
		}
	}
	fill := func(h *heap, lines []group.FaultLine) {
		for i := range lines {
			if f := k.faultAt[lines[i].FaultID]; f < len(h.ids) && h.ids[f] != nil {
				lines[i].MarkIDs = h.ids[f]
			}
		}
	}
	for _, d := range drafts {
		fill(d.all, d.All.Faults)
		for _, g := range d.Methods {
			fill(d.methods[g.Method], g.Faults)
		}
		for _, g := range d.Drills {
			fill(d.drills[g.DrillID], g.Faults)
		}
	}
}

// expect says of every line of a player what to expect.
func (k *Counter) expect(d *draft) {
	fill := func(lines []group.FaultLine) {
		for i := range lines {
			lines[i].Expected = k.club.expected(k.faultAt[lines[i].FaultID], &lines[i])
		}
	}
	fill(d.All.Faults)
	for _, g := range d.Methods {
		fill(g.Faults)
	}
	for _, g := range d.Drills {
		fill(g.Faults)
	}
}

// conclude says what depends on which tests survive.
func (k *Counter) conclude(d *draft) {
	for i := range d.All.Faults {
		if t := d.All.Faults[i].Trend; t != nil {
			t.Conclude()
		}
	}
	contrast.Conclude(d.Comparisons)
	d.Contrasts = contrast.OfMethods(d.Comparisons)
}

// basis is what advice on a player rests on. The ladder is made, and the tests are
// adjusted.
func (k *Counter) basis(d *draft) *advice.Basis {
	b := &advice.Basis{
		All: d.All, Methods: d.Methods, Comparisons: d.Comparisons, Ladder: d.Ladder, Drills: k.ladder,
		Share: func(drill, fault club.ID) *rate.Share {
			f := k.faultAt[fault]
			return rate.ShareOver(k.byKey[cellKey{d.PlayerID, drill}].whole().moments(f, exposureOf(k.faults[f].Sides)), k.alike.turns[f])
		},
		Fault:  func(fault club.ID) club.Fault { return k.faults[k.faultAt[fault]] },
		Fitted: func(fault club.ID) bool { return k.club.strokes(k.faultAt[fault]).How == prior.Fitted },
	}
	for _, c := range d.cells {
		if c.whole().turns > 0 {
			b.Trained = append(b.Trained, c.drill)
		}
	}
	return b
}

// over says which sheets' tests are corrected together.
func over(players int, alone, brief bool) string {
	many := fmt.Sprintf("those of %d players", players)
	switch {
	case alone:
		return "every comparison and trend in the player's sheet"
	case players == 0:
		return "every comparison and trend in the team's sheet"
	case players == 1:
		many = "the player's"
	case brief:
		return "every comparison and trend in the team's sheet, and the comparison of methods and the trends in " + many
	}
	return "every comparison and trend in the team's sheet and in " + many
}

package tally

import (
	"cmp"
	"slices"

	"golang.org/x/text/collate"
	"golang.org/x/text/language"

	"strokeledger/internal/club"
)

// summary turns what was counted into sheets.
func (t *tallier) summary(from, to club.Date) Summary {
	s := Summary{Version: Version, From: from, To: to, Team: t.sheet(t.team), Players: []Sheet{}, Rankings: []Ranking{}}
	s.Team.Name = "Team"
	s.Team.Alias = "Team"
	for id, b := range t.books {
		sheet := t.sheet(b)
		sheet.PlayerID = id
		sheet.Name, sheet.Alias = "A player who is no longer listed", "Player"
		if p, ok := t.players[id]; ok {
			sheet.Name, sheet.Alias = p.Name, p.Alias
		}
		s.Players = append(s.Players, sheet)
	}
	sortByName(s.Players)
	fillAliases(s.Players)
	return s
}

func (t *tallier) sheet(b *book) Sheet {
	s := Sheet{All: t.group(b.all), Methods: []Group{}, Drills: []Group{}, Comparisons: []Comparison{}, Phases: []PhaseCount{}, Sessions: []Session{}}
	s.All.Kind, s.All.Name = "all", "All drills"
	for _, m := range club.Methods() {
		if p := b.methods[m]; p != nil {
			g := t.group(p)
			g.Kind, g.Name, g.Method = "method", methodName(m), m
			s.Methods = append(s.Methods, g)
		}
	}
	for id, p := range b.drills {
		d, g := t.drill(id), t.group(p)
		g.Kind, g.Name, g.DrillID, g.Method, g.Rung = "drill", d.Name, id, d.Method, d.Rung
		s.Drills = append(s.Drills, g)
	}
	names := collate.New(language.Und)
	slices.SortFunc(s.Drills, func(a, b Group) int {
		return cmp.Or(cmp.Compare(a.Rung, b.Rung), names.CompareString(a.Name, b.Name), cmp.Compare(a.DrillID, b.DrillID))
	})
	s.Contrasts = t.contrasts(s.All.Faults, b)
	return s
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

func (t *tallier) group(p *pile) Group {
	g := Group{
		Sessions: p.sessions, First: p.first, Last: p.last,
		Turns: p.turns, Seconds: p.seconds,
		Strokes: p.exposure.all(), Good: p.good,
		UnloggedTurns: p.unloggedTurns, UnloggedSeconds: p.unloggedSeconds,
		Streak: p.streak,
		Faults: []FaultLine{},
	}
	indexes := make([]int, 0, len(t.faults))
	for i, f := range t.faults {
		if !f.Retired || p.of(i).marks() > 0 {
			indexes = append(indexes, i)
		}
	}
	slices.SortFunc(indexes, func(a, b int) int {
		return cmp.Or(
			cmp.Compare(p.of(b).occurrences(), p.of(a).occurrences()),
			cmp.Compare(p.of(b).marks(), p.of(a).marks()),
			cmp.Compare(t.faults[b].Weight, t.faults[a].Weight),
			cmp.Compare(t.faults[a].Code, t.faults[b].Code),
			cmp.Compare(t.faults[a].ID, t.faults[b].ID),
		)
	})
	for _, i := range indexes {
		g.Faults = append(g.Faults, t.line(&t.faults[i], p, p.of(i)))
	}
	return g
}

func (t *tallier) line(f *club.Fault, p *pile, c *count) FaultLine {
	ids := c.ids
	if ids == nil {
		ids = []club.ID{}
	}
	return FaultLine{
		FaultID: f.ID, Code: f.Code, Label: f.Label, Phase: f.Phase, Weight: f.Weight, Cue: f.Cue, Retired: f.Retired,
		Marks: c.marks(), Unplaced: c.kinds[unplaced],
		PerStroke: ShareOf(c.kinds[struck], p.exposure.of(f.Sides)),
		PerMinute: t.pace(c.kinds[unlogged], p.unloggedSeconds/60),
		MarkIDs:   ids,
	}
}

// pace is PaceOf with the interval of each count worked out once: the quantiles
// are by far the dearest step, and most lines of a club share a few small counts.
func (t *tallier) pace(x int, minutes float64) *Pace {
	if !(minutes > 0) {
		return nil
	}
	limits, ok := t.counts[x]
	if !ok {
		limits = Poisson(x)
		t.counts[x] = limits
	}
	return &Pace{X: x, Minutes: minutes, Rate: float64(x) / minutes, Low: limits.Low / minutes, High: limits.High / minutes}
}

// contrasts sets irregular against regular for each of those faults that could
// have happened in both.
func (t *tallier) contrasts(faults []FaultLine, b *book) []Contrast {
	list := []Contrast{}
	regular, irregular := b.methods[club.Regular], b.methods[club.Irregular]
	if regular == nil || irregular == nil {
		return list
	}
	for _, l := range faults {
		f := t.faultAt[l.FaultID]
		sides := t.faults[f].Sides
		r := ShareOf(regular.of(f).kinds[struck], regular.exposure.of(sides))
		i := ShareOf(irregular.of(f).kinds[struck], irregular.exposure.of(sides))
		if r == nil || i == nil {
			continue
		}
		d, limits, _ := Difference(i.X, i.N, r.X, r.N)
		list = append(list, Contrast{
			FaultID: l.FaultID, Code: l.Code, Label: l.Label,
			Regular: *r, Irregular: *i,
			Difference: d, Low: limits.Low, High: limits.High,
		})
	}
	return list
}

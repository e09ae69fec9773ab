package tally

import (
	"cmp"
	"iter"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/prior"
)

// Ranking is one fault with the players in order of the rate to expect, the
// highest first. Players with strokes are ranked per stroke; the others stand in
// a ranking of their own with PerMinute set.
type Ranking struct {
	FaultID   club.ID   `json:"fault_id"`
	Code      string    `json:"code"`
	Label     string    `json:"label"`
	PerMinute bool      `json:"per_minute"`
	Fit       prior.Fit `json:"fit"`
	Players   []Ranked  `json:"players"`
}

// Ranked is one player's place; the numbers behind it stand in the player's sheet.
type Ranked struct {
	PlayerID club.ID        `json:"player_id"`
	X        int            `json:"x"`
	N        float64        `json:"n"` // strokes, or minutes
	Expected prior.Expected `json:"expected"`
}

// PhaseCount is how many of a sheet's faults sit in one phase of the stroke.
type PhaseCount struct {
	Phase club.Phase `json:"phase"`
	Seen  int        `json:"seen"`  // strokes with a fault, and marks where no strokes are logged
	Of    int        `json:"of"`    // of all phases
	Marks int        `json:"marks"` // every mark
}

// Totals is what the counted players showed, for Options.Club; in order of
// player.
func (k *Counter) Totals() []Total {
	totals := make([]Total, 0, len(k.books))
	k.fillMonths()
	onAllProcessors(len(k.books), func(i int) { k.books[i].pairUp(k) })
	var w series
	for _, b := range k.books {
		all := b.all()
		t := Total{PlayerID: b.player}
		w.table(k, b.sessions)
		for f := range k.faults {
			own := exposureOf(k.faults[f].Sides)
			m := all.moments(f, own)
			minutes := all.minutes(f)
			if m.N == 0 && minutes.T == 0 {
				continue
			}
			total := FaultTotal{FaultID: k.faults[f].ID, X: m.X, N: m.N, Marks: minutes.X, Minutes: minutes.T, TurnSquares: float64(m.NN), MinuteSquares: minutes.TT}
			for _, c := range b.cells {
				turns := c.parts[0].moments(f, own)
				turns.Join(c.parts[1].moments(f, own))
				total.Turns.Join(turns.Alike())
				timed := c.parts[0].minutes(f)
				timed.Join(c.parts[1].minutes(f))
				total.Unlogged.Join(timed.Alike())
			}
			w.fill(k, b.sessions, f, nil)
			for _, size := range w.size {
				total.DaySquares += size * size
			}
			if line, ok := w.line(); ok {
				total.Days = line.Alike
			}
			for by := range b.pairs {
				p := &b.pairs[by][f]
				total.Pairs.Join(p.Pairs)
				total.PairStrokes += p.Strokes
				total.PairSquares += p.Squares
			}
			t.Faults = append(t.Faults, total)
		}
		totals = append(totals, t)
	}
	slices.SortFunc(totals, func(a, b Total) int { return cmp.Compare(a.PlayerID, b.PlayerID) })
	return totals
}

// spread is the club's own spread of each fault, fitted when it is first asked
// for.
type spread struct {
	perStroke, perMinute map[int]prior.Fit
	x, n, marks          map[int][]int
	minutes              map[int][]float64
}

func (k *Counter) newSpread(totals []Total) *spread {
	s := &spread{map[int]prior.Fit{}, map[int]prior.Fit{}, map[int][]int{}, map[int][]int{}, map[int][]int{}, map[int][]float64{}}
	for i, f := range k.eachFault(totals) {
		s.x[i] = append(s.x[i], f.X)
		s.n[i] = append(s.n[i], f.N)
		s.marks[i] = append(s.marks[i], f.Marks)
		s.minutes[i] = append(s.minutes[i], f.Minutes)
	}
	return s
}

// eachFault goes over the faults of each player, with their index.
func (k *Counter) eachFault(totals []Total) iter.Seq2[int, FaultTotal] {
	return func(yield func(int, FaultTotal) bool) {
		for _, t := range totals {
			if k.former(t.PlayerID) {
				continue // several people, who are no one player
			}
			for _, f := range t.Faults {
				if i, ok := k.faultAt[f.FaultID]; ok && !yield(i, f) {
					return
				}
			}
		}
	}
}

func (s *spread) strokes(fault int) prior.Fit {
	fit, ok := s.perStroke[fault]
	if !ok {
		fit = prior.FitShares(s.x[fault], s.n[fault])
		s.perStroke[fault] = fit
	}
	return fit
}

func (s *spread) paces(fault int) prior.Fit {
	fit, ok := s.perMinute[fault]
	if !ok {
		fit = prior.FitPaces(s.marks[fault], s.minutes[fault])
		s.perMinute[fault] = fit
	}
	return fit
}

// expected is what to expect of a line.
func (s *spread) expected(fault int, l *group.FaultLine) *prior.Expected {
	var e prior.Expected
	switch {
	case l.PerStroke != nil:
		e = s.strokes(fault).Expect(l.PerStroke.X, float64(l.PerStroke.N), false)
	case l.PerMinute != nil:
		e = s.paces(fault).Expect(l.PerMinute.X, l.PerMinute.Minutes, true)
	default:
		return nil
	}
	return &e
}

// drawToTeam draws the drills of the team's sheet towards the team, fault by
// fault.
func (k *Counter) drawToTeam(drills []group.Group) {
	for f := range k.faults {
		var lines []*group.FaultLine
		var x, n []int
		for g := range drills {
			i := slices.IndexFunc(drills[g].Faults, func(l group.FaultLine) bool { return l.FaultID == k.faults[f].ID })
			if i >= 0 && drills[g].Faults[i].PerStroke != nil {
				l := &drills[g].Faults[i]
				lines, x, n = append(lines, l), append(x, l.PerStroke.X), append(n, l.PerStroke.N)
			}
		}
		fit := prior.FitShares(x, n)
		for i, l := range lines {
			e := fit.Expect(x[i], float64(n[i]), false)
			l.Expected = &e
		}
	}
}

// rankings puts the players in order, fault by fault.
func (k *Counter) rankings(team []group.FaultLine, players []Sheet) []Ranking {
	list := []Ranking{}
	if len(players) < 2 {
		return list
	}
	lines := make([]map[club.ID]*group.FaultLine, len(players))
	for i := range players {
		lines[i] = make(map[club.ID]*group.FaultLine, len(players[i].All.Faults))
		for j := range players[i].All.Faults {
			l := &players[i].All.Faults[j]
			lines[i][l.FaultID] = l
		}
	}
	for _, l := range team {
		if l.Marks == 0 {
			continue
		}
		f := k.faultAt[l.FaultID]
		strokes := Ranking{FaultID: l.FaultID, Code: l.Code, Label: l.Label}
		minutes := strokes
		minutes.PerMinute = true
		for i := range players {
			own := lines[i][l.FaultID]
			switch {
			case own == nil || own.Expected == nil:
			case own.PerStroke != nil:
				strokes.Players = append(strokes.Players, Ranked{players[i].PlayerID, own.PerStroke.X, float64(own.PerStroke.N), *own.Expected})
			case own.PerMinute != nil:
				minutes.Players = append(minutes.Players, Ranked{players[i].PlayerID, own.PerMinute.X, own.PerMinute.Minutes, *own.Expected})
			}
		}
		strokes.Fit, minutes.Fit = k.club.strokes(f), k.club.paces(f)
		for _, r := range []Ranking{strokes, minutes} {
			if len(r.Players) < 2 {
				continue
			}
			slices.SortStableFunc(r.Players, func(a, b Ranked) int { return cmp.Compare(b.Expected.Rate, a.Expected.Rate) })
			list = append(list, r)
		}
	}
	return list
}

// phases counts by phase of the stroke.
func phases(faults []group.FaultLine) []PhaseCount {
	list := make([]PhaseCount, 0, len(club.Phases()))
	all := 0
	for _, ph := range club.Phases() {
		c := PhaseCount{Phase: ph}
		for _, l := range faults {
			if l.Phase == ph {
				c.Seen += l.Seen()
				c.Marks += l.Marks
			}
		}
		all += c.Seen
		list = append(list, c)
	}
	for i := range list {
		list[i].Of = all
	}
	return list
}

package tally_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/prior"
	"strokeledger/internal/tally/rate"
)

// faults is a turn of n strokes, 0.3 s apart, with fault f on the first x[f].
func faults(id, player, drill club.ID, date club.Date, n int, x map[club.ID]int) club.TurnRecord {
	r := turn(id, player, drill, date, 0, "")
	for i := range n {
		r.Strokes = append(r.Strokes, club.Stroke{ID: club.ID(fmt.Sprint(id, "s", i)), Ticks: int64(i * 30), Frame: i * 10, Outcome: club.Good})
		for _, f := range []club.ID{"late", "elbow", "near", "old"} {
			if i < x[f] {
				r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprint(id, f, i)), FaultID: f, Ticks: int64(i * 30)})
			}
		}
	}
	return r
}

// several is such a turn, so many times.
func several(turns int, id, player, drill club.ID, date club.Date, n int, x map[club.ID]int) (list []club.TurnRecord) {
	for i := range turns {
		r := faults(club.ID(fmt.Sprint(id, "-", i)), player, drill, date, n, x)
		r.First = 1000 * i
		list = append(list, r)
	}
	return list
}

func joined(lists ...[]club.TurnRecord) []club.TurnRecord { return slices.Concat(lists...) }

// ladderClub has drills of both methods at three rungs.
func ladderClub() club.Catalogue {
	c := catalogue()
	c.Drills = nil
	for r := 1; r <= 3; r++ {
		c.Drills = append(c.Drills,
			club.Drill{ID: club.ID(fmt.Sprint("reg", r)), Name: fmt.Sprint("Regular ", r), Method: club.Regular, Rung: r, Streak: 10, Pattern: "FB"},
			club.Drill{ID: club.ID(fmt.Sprint("irr", r)), Name: fmt.Sprint("Irregular ", r), Method: club.Irregular, Rung: r, Streak: 10})
	}
	c.Drills = append(c.Drills, club.Drill{ID: "fore", Name: "Forehands only", Method: club.Regular, Rung: 1, Streak: 10, Pattern: "F"})
	return c
}

func drillsOf(hints []advice.DrillHint) (ids []club.ID) {
	for _, h := range hints {
		ids = append(ids, h.DrillID)
	}
	return ids
}

// The example of the common practice: late ready in far more irregular strokes than
// regular ones holds when the ball is known; an elbow that wanders in both goes back to
// regular practice, a rung lower.
func TestWorkOn(t *testing.T) {
	c := ladderClub()
	c.Faults[0].Cue, c.Faults[0].Phase = "Racket up!", club.Ready
	s := tally.Summarise(c, joined(
		several(8, "t1", "p1", "reg2", "2026-03-02", 50, map[club.ID]int{"late": 1, "elbow": 20, "old": 9}),
		several(8, "t2", "p1", "irr3", "2026-03-02", 50, map[club.ID]int{"late": 19, "elbow": 20}),
		[]club.TurnRecord{faults("t3", "p1", "irr2", "2026-03-02", 50, map[club.ID]int{"near": 1})},
	), "", "")
	w := s.Players[0].WorkOn
	require.NotNil(t, w)
	require.Len(t, w.Faults, 2, "one stroke is no habit, and OLD is not in use any more")
	assert.Equal(t, []any{advice.SentenceID("listed"), ""}, []any{w.Sentence, w.Say})
	late, elbow := w.Faults[1], w.Faults[0]
	if late.Code != "LATE" {
		late, elbow = elbow, late
	}
	assert.Equal(t, []any{"LATE", "Racket up!", club.Ready, 3, advice.InIrregular}, []any{late.Code, late.Cue, late.Phase, late.Weight, late.Where})
	assert.Equal(t, "Late return to ready in 34 % (30–38) of irregular strokes against 2.0 % (1.0–3.9) in regular: holds when the ball is known, breaks when it is not.", late.Why)
	assert.Equal(t, "More irregular practice at the same rung.", late.Say)
	assert.Equal(t, []club.ID{"irr3"}, drillsOf(late.Drills))
	assert.Equal(t, advice.InBoth, elbow.Where)
	assert.Contains(t, elbow.Why, "it is there already when the ball is known.")
	assert.Equal(t, "Back to regular practice at a lower rung.", elbow.Say)
	assert.Equal(t, []club.ID{"reg1"}, drillsOf(elbow.Drills), "not the drill of forehands: it has no backhand")
	assert.Equal(t, contrast.TooEarly, elbow.Trend)
	assert.InDelta(t, 3*late.Excess, late.Score, 1e-9)
	assert.InDelta(t, 2*elbow.Excess, elbow.Score, 1e-9)
	assert.False(t, w.Holds)
	require.Len(t, w.Cautions, 3)
	assert.Contains(t, w.Cautions[0], "common practice, without a source; the coach decides")
	assert.Contains(t, w.Cautions[1], "weak in the young")
	assert.Nil(t, s.Team.WorkOn)

	// There from the lowest rung on: the same drill.
	turns := several(20, "t1", "p1", "reg1", "2026-03-02", 50, map[club.ID]int{"near": 9})
	near := tally.Summarise(c, turns, "", "").Players[0].WorkOn.Faults[0]
	assert.Equal(t, advice.InRegular, near.Where)
	assert.Equal(t, []club.ID{"fore", "reg1"}, drillsOf(near.Drills))
	assert.Contains(t, near.Say, "no lower rung")
	assert.Contains(t, near.Why, "irregular ones were not logged")

	// What the ladder calls enough for today, the advice does too.
	near = tally.SummariseWith(c, turns, tally.Options{TriesCap: 3, Today: "2026-03-02"}).Players[0].WorkOn.Faults[0]
	assert.Equal(t, []bool{false, true}, []bool{near.Drills[0].Enough, near.Drills[1].Enough})

	// Irregular drills alone do not say whether it holds when the ball is known.
	near = tally.Summarise(c, several(20, "t1", "p1", "irr2", "2026-03-02", 50, map[club.ID]int{"near": 9}), "", "").Players[0].WorkOn.Faults[0]
	assert.Equal(t, []any{advice.InSome, advice.SentenceID("where-unknown")}, []any{near.Where, near.Sentence})
	assert.Equal(t, "Cannot tell yet whether it holds when the ball is known: film 20 more strokes of regular drills, in several turns.", near.Say)
	assert.Equal(t, []club.ID{"fore", "reg1"}, drillsOf(near.Drills))
}

// What shows in free play alone says nothing against the drills.
func TestWorkOnInFreePlay(t *testing.T) {
	c := ladderClub()
	c.Drills = append(c.Drills, club.Drill{ID: "open", Name: "Open rally", Method: club.Free, Rung: 4, Streak: 10})
	free := several(20, "t1", "p1", "open", "2026-03-02", 40, map[club.ID]int{"late": 10})
	regular := several(10, "t2", "p1", "reg2", "2026-03-02", 60, nil)
	irregular := several(10, "t3", "p1", "irr2", "2026-03-02", 60, nil)
	given := func(turns ...[]club.TurnRecord) advice.Advice {
		w := tally.Summarise(c, joined(turns...), "", "").Players[0].WorkOn
		require.Len(t, w.Faults, 1)
		return w.Faults[0]
	}
	alone := given(free)
	assert.Equal(t, []any{advice.InSome, "Late return to ready in 25 % (22–28) of the strokes, in free play."}, []any{alone.Where, alone.Why})
	assert.Contains(t, alone.Say, "Cannot tell yet whether it holds when the ball is known: film ")
	assert.Contains(t, alone.Say, " more strokes of regular drills")
	one := given(free, regular)
	assert.Contains(t, one.Say, "Cannot tell yet whether it comes more often when the ball is not known: film ")
	both := given(free, regular, irregular)
	assert.Equal(t, []any{advice.InFree, "More free play, with the cue in mind."}, []any{both.Where, both.Say})
	assert.Contains(t, both.Why, "often in free play, in neither kind of drill.")
	assert.Empty(t, both.Drills)
	// The rate is that of the drills which show it.
	there := given(free, several(10, "t2", "p1", "reg2", "2026-03-02", 60, map[club.ID]int{"late": 30}))
	assert.Equal(t, "Late return to ready in 50 % (46–54) of the strokes, in regular drills; irregular ones were not logged: it is there already when the ball is known.", there.Why)
	c.Faults[0].Label = "متأخر"
	assert.Contains(t, given(free).Why, "\u2068متأخر\u2069 in 25 %", "a label turns no sentence round")
}

// A fault that comes more often from session to session weighs more.
func TestWorkOnCountsTheTrend(t *testing.T) {
	c := ladderClub()
	var turns []club.TurnRecord
	for i := range 8 {
		turns = append(turns, faults(club.ID(fmt.Sprint("t", i)), "p1", "reg2", club.Date(fmt.Sprintf("2026-0%d-02", 1+i)), 100, map[club.ID]int{"near": 4 + 6*i, "late": 40 - 5*i}))
	}
	p := tally.Summarise(c, turns, "", "").Players[0]
	near, late := line(t, p.All, "NEAR"), line(t, p.All, "LATE")
	assert.Equal(t, contrast.Rising, near.Trend.Direction)
	assert.Equal(t, contrast.Falling, late.Trend.Direction)
	assert.Equal(t, 8, near.Trend.Sessions)
	assert.InDelta(t, 6, near.Trend.Slope.PerMonth, .1, "six points more a month")
	assert.Greater(t, near.Trend.Slope.Low, 0.)
	assert.Less(t, near.Trend.Effect, 20.)
	assert.Contains(t, near.Trend.Say, "Getting worse over 8 sessions: +6.0 points a month (+")
	for _, a := range p.WorkOn.Faults {
		factor := map[string]float64{"NEAR": 1.5, "LATE": .75}[a.Code]
		assert.InDelta(t, float64(a.Weight)*a.Excess*factor, a.Score, 1e-9)
	}
	assert.Contains(t, p.WorkOn.Faults[0].Why+p.WorkOn.Faults[1].Why, "; it is getting worse.")

	two := tally.Summarise(c, turns[:2], "", "").Players[0]
	assert.Equal(t, contrast.TooEarly, line(t, two.All, "NEAR").Trend.Direction)
	assert.Equal(t, "Too early to tell: its strokes come from two sessions, and a trend needs three.", line(t, two.All, "NEAR").Trend.Say)
	assert.Nil(t, line(t, two.All, "NEAR").Trend.Slope)
	// One session in which it could not happen says nothing about it.
	three := append(turns[:2:2], faults("t9", "p1", "fore", "2026-04-01", 50, nil))
	assert.Equal(t, 2, line(t, tally.Summarise(c, three, "", "").Players[0].All, "ELB").Trend.Sessions)

	require.Len(t, p.Sessions, 8)
	assert.Equal(t, club.Date("2026-02-02"), p.Sessions[1].Date)
	for _, f := range p.Sessions[1].Faults {
		if f.FaultID == "near" {
			assert.Equal(t, []int{10, 100, 1}, []int{f.PerStroke.X, f.PerStroke.N, f.PerStroke.Turns})
		}
	}
}

func TestWorkOnMovesUp(t *testing.T) {
	c := ladderClub()
	c.Drills = c.Drills[:6]
	some := map[club.ID]int{"late": 1}
	all := joined(
		several(10, "p1a", "p1", "reg1", "2026-03-02", 60, some), several(10, "p1b", "p1", "irr1", "2026-03-02", 60, some),
		several(10, "p2a", "p2", "reg2", "2026-03-02", 60, nil), several(10, "p2b", "p2", "irr2", "2026-03-02", 60, nil),
		several(10, "p3a", "p3", "reg1", "2026-03-02", 60, nil),
		[]club.TurnRecord{turn("t6", "gone", "reg1", "2026-03-02", 0, "")},
	)
	// How far turns differ is known from somebody with faults.
	all = append(all, several(40, "p6", "p6", "reg1", "2026-03-02", 60, map[club.ID]int{"late": 24, "elbow": 24, "near": 24})...)
	for _, d := range c.Drills { // p4 has passed everything
		all = append(all, several(10, "p4"+d.ID, "p4", d.ID, "2026-03-02", 30, nil)...)
	}
	missed := joined(several(10, "p5a", "p5", "reg1", "2026-03-02", 60, nil), several(10, "p5b", "p5", "irr1", "2026-03-02", 60, nil))
	for i := range missed {
		for j := range missed[i].Strokes[:20] {
			missed[i].Strokes[3*j].Outcome = club.Missed
		}
	}
	by := map[club.ID]*advice.WorkOn{}
	for _, p := range tally.Summarise(c, append(all, missed...), "", "").Players {
		by[p.PlayerID] = p.WorkOn
	}
	assert.True(t, by["p1"].Holds)
	assert.Contains(t, by["p1"].Say, "time to move up a rung")
	assert.Equal(t, []club.ID{"irr2", "reg2"}, drillsOf(by["p1"].MoveUp), "the ladder's next rung")
	assert.True(t, by["p2"].Holds)
	assert.Contains(t, by["p2"].Say, "a rung that is not passed yet")
	assert.Equal(t, []club.ID{"irr1", "reg1"}, drillsOf(by["p2"].MoveUp))
	assert.Equal(t, advice.SentenceID("hold-unknown"), by["p3"].Sentence)
	assert.Equal(t, "No fault comes often. Cannot tell yet whether the strokes hold in irregular drills: film 40 more strokes of them, in several turns.", by["p3"].Say)
	assert.Contains(t, by["p4"].Say, "no higher rung")
	assert.Empty(t, by["p4"].MoveUp)
	assert.Equal(t, "No fault comes often in regular or in irregular drills. That the strokes hold is not shown: 400 of 600 regular ones and 400 of 600 irregular ones are good.", by["p5"].Say)
	assert.Contains(t, by["gone"].Say, "No strokes are logged")
}

// With a club of enough players, what is usual there is nothing to work on.
func TestWorkOnSetsPlayersAgainstTheClub(t *testing.T) {
	c := ladderClub()
	var turns []club.TurnRecord
	for i, x := range []int{4, 6, 10, 12, 5, 60} {
		id := club.ID(fmt.Sprint("q", i))
		c.Players = append(c.Players, club.Player{ID: id, Name: string(id)})
		turns = append(turns, several(5, club.ID(fmt.Sprint("t", i)), id, "reg2", "2026-03-02", 100, map[club.ID]int{"late": x})...)
	}
	s := tally.Summarise(c, turns, "", "")
	for i, p := range s.Players {
		assert.Equal(t, i == 5, len(p.WorkOn.Faults) == 1, p.Name)
	}
	late := line(t, s.Players[5].All, "LATE")
	assert.Less(t, late.Expected.Rate, .6)
	assert.Greater(t, late.Expected.Rate, .5)
	assert.InDelta(t, late.Expected.Rate-late.Expected.Club, late.Expected.Excess, 1e-12)
	assert.Contains(t, s.Players[5].WorkOn.Faults[0].Why, "the club's rate is")

	require.Len(t, s.Rankings, 1)
	r := s.Rankings[0]
	assert.Equal(t, []any{"LATE", false, prior.Fitted, 6}, []any{r.Code, r.PerMinute, r.Fit.How, r.Fit.Players})
	var order []club.ID
	for _, p := range r.Players {
		order = append(order, p.PlayerID)
	}
	assert.Equal(t, []club.ID{"q5", "q3", "q2", "q1", "q4", "q0"}, order)
	assert.Equal(t, *late.Expected, r.Players[0].Expected)

	// One player alone, drawn towards the totals of all: the same numbers.
	k := tally.NewCounter(c, tally.Options{Lean: true})
	for i := range turns {
		k.Add(&turns[i])
	}
	one := tally.SummariseWith(c, turns[25:], tally.Options{Club: k.Totals()})
	assert.Equal(t, late.Expected, line(t, one.Players[0].All, "LATE").Expected)
	assert.Empty(t, one.Rankings)
	alone := tally.SummariseWith(c, turns[25:], tally.Options{})
	assert.NotEqual(t, late.Expected, line(t, alone.Players[0].All, "LATE").Expected)
}

func TestBalanceAndPhases(t *testing.T) {
	c := ladderClub()
	c.Faults[0].Phase, c.Faults[1].Phase, c.Faults[2].Phase = club.Ready, club.ContactPhase, club.Ready
	turns := []club.TurnRecord{
		faults("t1", "p1", "reg2", "2026-03-02", 30, map[club.ID]int{"late": 3, "elbow": 4, "near": 1}),
		faults("t2", "p1", "irr3", "2026-03-02", 10, map[club.ID]int{"late": 2}),
	}
	p := tally.Summarise(c, turns, "", "").Players[0]
	assert.Equal(t, []int{30, 10, 0}, []int{p.Balance.Regular, p.Balance.Irregular, p.Balance.Free})
	assert.Equal(t, rate.ShareOf(10, 40), p.Balance.Share)
	assert.Equal(t, "25 % of the strokes in regular and irregular drills were irregular; the club wishes 50 %: more irregular drills would bring it closer.", p.Balance.Say)
	goal := tally.SummariseWith(c, turns, tally.Options{Irregular: .3}).Players[0].Balance
	assert.Equal(t, "25 % of the strokes in regular and irregular drills were irregular; the club wishes 30 %.", goal.Say)

	// ELB on the first four strokes hangs on backhands only: 2 and 4, and with both
	// sides of 1 and 3 nearest to those.
	require.Len(t, p.Phases, 6)
	assert.Equal(t, tally.PhaseCount{Phase: club.Ready, Seen: 6, Of: 6 + p.Phases[3].Seen, Marks: 6}, p.Phases[0])
	assert.Equal(t, line(t, p.All, "ELB").PerStroke.X, p.Phases[3].Seen)
	assert.Equal(t, 4, p.Phases[3].Marks)
}

// A lean summary has the same numbers, without what fills a screen many times.
func TestLean(t *testing.T) {
	c := ladderClub()
	turns := []club.TurnRecord{
		faults("t1", "p1", "reg2", "2026-03-02", 30, map[club.ID]int{"late": 3}),
		faults("t2", "p2", "irr3", "2026-03-09", 30, map[club.ID]int{"late": 9}),
	}
	full := tally.Summarise(c, turns, "", "")
	lean := tally.SummariseWith(c, turns, tally.Options{Lean: true})
	for i := range full.Players {
		f, l := full.Players[i].All, lean.Players[i].All
		for n := range f.Faults {
			f.Faults[n].MarkIDs = []club.ID{}
		}
		assert.Equal(t, f, l)
		assert.Empty(t, lean.Players[i].Drills)
		assert.Equal(t, full.Players[i].WorkOn.Faults, lean.Players[i].WorkOn.Faults)
		assert.Equal(t, full.Players[i].Ladder.Passed, lean.Players[i].Ladder.Passed)
	}
	assert.Equal(t, full.Rankings, lean.Rankings)
	assert.Len(t, lean.Team.Drills, 2)
	team := tally.SummariseWith(c, turns, tally.Options{Lean: true, TeamOnly: true})
	assert.Empty(t, team.Players)
	assert.Equal(t, lean.Team.All, team.Team.All)
	assert.NotEmpty(t, team.Team.Sessions[0].Faults)
}

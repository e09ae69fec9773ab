package tally_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/climb"
)

func rung(t *testing.T, l *climb.Ladder, drill club.ID) climb.Rung {
	t.Helper()
	for _, r := range l.Rungs {
		if r.DrillID == drill {
			return r
		}
	}
	t.Fatalf("no rung %s", drill)
	return climb.Rung{}
}

func TestLadder(t *testing.T) {
	clean := strings.Repeat("g", 10)
	turns := []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "ggmg"),
		turn("t2", "p1", "d1", "2026-03-09", 0, "mggg"),
		turn("t3", "p1", "d1", "2026-03-09", 300, "gggg"),
		turn("t4", "p1", "d2", "2026-03-09", 600, "ggmgg"),
		turn("t5", "p2", "d2", "2026-03-10", 0, clean[:9]),
		turn("t6", "p1", "d3", "2026-03-10", 300, ""),
	}
	ladder := func(o tally.Options) *climb.Ladder {
		for _, p := range tally.SummariseWith(catalogue(), turns, o).Players {
			if p.PlayerID == "p1" {
				return p.Ladder
			}
		}
		return nil
	}

	l := ladder(tally.Options{TriesCap: 2, Today: "2026-03-09"})
	var order []club.ID
	for _, r := range l.Rungs {
		order = append(order, r.DrillID)
	}
	assert.Equal(t, []club.ID{"d2", "d3", "d1"}, order, "by rung, then name")
	assert.Equal(t, club.ID("d2"), l.Next)
	assert.Equal(t, []int{1, 3, 2}, []int{l.Passed, l.Of, l.TriesCap})

	d1 := rung(t, l, "d1")
	assert.True(t, d1.Passed, "three in a row are its target")
	assert.Equal(t, climb.ByTurn, d1.By)
	assert.Equal(t, []any{club.Date("2026-03-09"), club.ID("t2")}, []any{d1.PassedOn, d1.TurnID}, "the first turn that reached it")
	assert.Equal(t, []int{3, 2, 4, 12, 10}, []int{d1.Tries, d1.TriesToday, d1.Best, d1.Strokes, d1.Good})
	assert.True(t, d1.Enough)
	assert.Equal(t, "2 tries today; the club suggests at most 2: let it be for today.", d1.Say)
	assert.Equal(t, []climb.Try{
		{Date: "2026-03-02", TurnID: "t1", ClipID: "c1", Strokes: 4, Longest: 2, Current: 1},
		{Date: "2026-03-09", TurnID: "t2", ClipID: "c1", Strokes: 4, Longest: 3, Current: 3, Reached: true},
		{Date: "2026-03-09", TurnID: "t3", ClipID: "c1", Frame: 300, Strokes: 4, Longest: 4, Current: 4, Reached: true},
	}, d1.History)
	d2 := rung(t, l, "d2")
	assert.False(t, d2.Passed)
	assert.Equal(t, "1 try today; the club suggests at most 2.", d2.Say)
	assert.Zero(t, rung(t, l, "d3").Tries, "a turn without strokes is no try")
	assert.Nil(t, rung(t, l, "d3").Chance)
	assert.Empty(t, rung(t, ladder(tally.Options{Today: "2026-03-11"}), "d1").Say)
	assert.Contains(t, l.Assume, "every stroke as good or missed by itself")

	// What came before the period counts on the ladder, what comes after does not.
	l = ladder(tally.Options{From: "2026-03-10"})
	assert.True(t, rung(t, l, "d1").Passed)
	assert.Equal(t, 3, rung(t, l, "d1").Tries)
	l = ladder(tally.Options{To: "2026-03-02"})
	assert.False(t, rung(t, l, "d1").Passed)

	// A coach's word stands until the next one.
	passed := club.Ruling{ID: "r1", PlayerID: "p1", DrillID: "d2", CoachID: "k", Date: "2026-03-09", Passed: true, Reason: "clean in matches"}
	not := club.Ruling{ID: "r2", PlayerID: "p1", DrillID: "d1", CoachID: "k", Date: "2026-03-12", Reason: "only when rested"}
	other := club.Ruling{ID: "r3", PlayerID: "p2", DrillID: "d3", Date: "2026-03-12", Passed: true, Reason: "-"}
	l = ladder(tally.Options{Rulings: []club.Ruling{passed, not, other}})
	d1, d2 = rung(t, l, "d1"), rung(t, l, "d2")
	assert.Equal(t, []any{false, climb.ByRuling, club.Date(""), "only when rested"}, []any{d1.Passed, d1.By, d1.PassedOn, d1.Reason})
	assert.Equal(t, []any{true, climb.ByRuling, club.Date("2026-03-09"), club.ID("k")}, []any{d2.Passed, d2.By, d2.PassedOn, d2.CoachID})
	assert.Equal(t, club.ID("d3"), l.Next)
	l = ladder(tally.Options{Rulings: []club.Ruling{not}, To: "2026-03-11"})
	assert.True(t, rung(t, l, "d1").Passed, "the ruling came later")
	again := club.Ruling{ID: "r4", PlayerID: "p1", DrillID: "d1", Date: "2026-03-20", Passed: true, Reason: "now it holds"}
	d1 = rung(t, ladder(tally.Options{Rulings: []club.Ruling{again, not}}), "d1")
	assert.Equal(t, []any{true, climb.ByTurn, club.Date("2026-03-09")}, []any{d1.Passed, d1.By, d1.PassedOn})
}

// 27 of 30 good strokes in three turns of ten: the sentence and its chances.
func TestLadderSaysTheChance(t *testing.T) {
	c := catalogue()
	c.Drills[0].Streak = 10
	nine := strings.Repeat("g", 9) + "m"
	s := tally.Summarise(c, []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, nine), turn("t2", "p1", "d1", "2026-03-02", 300, nine), turn("t3", "p1", "d1", "2026-03-03", 0, nine),
		turn("t4", "p2", "d1", "2026-03-03", 300, strings.Repeat("g", 30)),
	}, "", "")
	ch := rung(t, s.Players[1].Ladder, "d1").Chance
	require.NotNil(t, ch)
	assert.Equal(t, []int{27, 30, 10, 10}, []int{ch.Good, ch.Strokes, ch.Target, ch.Turn})
	assert.InDelta(t, .31070406, ch.Clean, 1e-8)
	assert.InDelta(t, .34867844, ch.CleanPlain, 1e-8)
	assert.Equal(t, ch.Clean, ch.InTurn)
	assert.Equal(t, "At 27 of 30 good strokes, about 3 in 10 turns of ten would be clean (5 in 100 to 7 in 10).", ch.Say)
	ch = rung(t, s.Players[0].Ladder, "d1").Chance
	assert.InDelta(t, 31.0/41, ch.Clean, 1e-12)
	assert.Equal(t, 30, ch.Turn)
	assert.Equal(t, "At 30 of 30 good strokes, about 8 in 10 turns of ten would be clean (3 in 10 to nearly all). Within a turn of 30 strokes, nearly all would hold ten in a row.", ch.Say)

	s = tally.Summarise(c, []club.TurnRecord{turn("t1", "p1", "d1", "2026-03-02", 0, strings.Repeat("ggm", 8)+"gggggg")}, "", "")
	ch = rung(t, s.Players[0].Ladder, "d1").Chance
	assert.InDelta(t, .05754373, ch.Clean, 1e-8)
	assert.Contains(t, ch.Say, "At 22 of 30 good strokes, about 6 in 100 turns of ten would be clean (hardly any to 2 in 10).", "not one in ten")
}

func TestStrokeRows(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t1", "p1", "d2", "2026-03-02", 0, "gggm", at(190, "late"), at(210, "elbow"), at(220, "late")),
		turn("t2", "p1", "d2", "2026-03-03", 40, "mg"),
		turn("t3", "p1", "d2", "2026-03-04", 0, ""),
	}, "", "")
	p := s.Players[0]
	assert.Equal(t, &tally.StrokeRow{TurnID: "t1", ClipID: "c1", DrillID: "d2", Date: "2026-03-02", Target: 10, Longest: 3, Strokes: []tally.RowStroke{
		{Frame: 25, Side: club.Forehand, Outcome: club.Good, Faults: []string{}},
		{Frame: 50, Side: club.Backhand, Outcome: club.Good, Faults: []string{"LATE", "ELB"}},
		{Frame: 75, Side: club.Forehand, Outcome: club.Good, Faults: []string{}},
		{Frame: 100, Side: club.Backhand, Outcome: club.Missed, Faults: []string{}},
	}}, p.Best)
	assert.Equal(t, club.ID("t2"), p.Latest.TurnID, "the last turn with strokes")
	assert.Equal(t, []int{1, 1, 40}, []int{p.Latest.Longest, p.Latest.Current, p.Latest.Frame})
	assert.Nil(t, s.Team.Best)
}

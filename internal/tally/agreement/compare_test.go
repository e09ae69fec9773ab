package agreement_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/agreement"
	"strokeledger/internal/timecode"
)

// habits are those of an invented second coach.
type habits struct {
	missed   float64 // of what the first said
	confused float64 // of the forehand codes FOUR that are seen, said as FIVE
	late     int     // frames
}

var team = club.Catalogue{
	Drills: []club.Drill{{ID: "drill", Pattern: "FB"}},
	Faults: []club.Fault{
		{ID: "f1", Code: "ONE", Phase: "contact", Sides: club.BothSides, Weight: 1},
		{ID: "f4", Code: "FOUR", Phase: "contact", Sides: club.BothSides, Weight: 3},
		{ID: "f5", Code: "FIVE", Phase: "contact", Sides: club.BothSides, Weight: 2},
		{ID: "f9", Code: "NINE", Phase: "contact", Sides: club.BothSides, Weight: 1},
	},
}

// read draws turns of ten strokes, 60 frames apart at 50 a second, as two coaches read
// them.
func read(turns int, h habits, seed uint64) (pairs []agreement.Pair) {
	random := rand.New(rand.NewPCG(seed, 42))
	look := club.Look{First: 0, Last: 800, Faults: []club.ID{"f1", "f4", "f5", "f9"}}
	for n := range turns {
		one := club.TurnRecord{Turn: club.Turn{ID: club.ID(fmt.Sprint("turn ", n)), DrillID: "drill", PlayerID: "p", Last: 800, LastTicks: 800}, Base: timecode.Base{Num: 1, Den: 50}, Looks: []club.Look{look}}
		two := one
		for i := range 10 {
			frame := 60 + 60*i
			stroke := club.Stroke{ID: club.ID(fmt.Sprint(n, " ", i)), Frame: frame, Ticks: int64(frame), Outcome: club.Good}
			one.Strokes, two.Strokes = append(one.Strokes, stroke), append(two.Strokes, stroke)
			for _, f := range []club.ID{"f1", "f4"} {
				if random.Float64() >= map[club.ID]float64{"f1": 0.2, "f4": 0.3}[f] {
					continue
				}
				id := club.ID(fmt.Sprint(n, " ", i, " ", f))
				one.Marks = append(one.Marks, club.Mark{ID: id, FaultID: f, Frame: frame, Ticks: int64(frame)})
				if random.Float64() < h.missed {
					continue
				}
				if f == "f4" && random.Float64() < h.confused {
					f = "f5"
				}
				two.Marks = append(two.Marks, club.Mark{ID: id + " too", FaultID: f, Frame: frame + h.late, Ticks: int64(frame + h.late)})
			}
		}
		pairs = append(pairs, agreement.Pair{First: agreement.Reading{TurnRecord: one}, Second: agreement.Reading{TurnRecord: two}})
	}
	return pairs
}

// The figures find what was planted, on seeds that nothing was chosen by.
func TestFindsWhatWasPlanted(t *testing.T) {
	held, cells := 0, 0
	for seed := range uint64(20) {
		pairs := read(40, habits{missed: 0.2, confused: 0.15, late: 3}, 9000+seed)
		r := agreement.Compare(team, pairs, agreement.Words{First: "Ana", Second: "Ben"}, seed)
		require.Equal(t, 40, r.Turns)
		require.Equal(t, 400, r.Strokes)
		one := r.Faults[0]
		require.Equal(t, "ONE", one.Code)
		require.Zero(t, one.Second)
		require.Equal(t, fmt.Sprintf("Of %d ONE that either saw, both saw %d; only Ana saw %d, only Ben 0.", one.Either(), one.Both, one.First), one.Say)
		require.InDelta(t, 0.2, float64(one.First)/float64(one.Either()), 0.15, "missed")
		// Ever so many strokes: both 0.16, first 0.04, neither 0.8.
		truth, _ := agreement.Counts{Both: 16, First: 4, Neither: 80}.Kappa()
		cells++
		if one.Kappa.Range.Low <= truth && truth <= one.Kappa.Range.High {
			held++
		}
		require.Equal(t, 3.0, one.Frames.Median)
		require.InDelta(t, 60.0, one.Millis.Median, 1e-9, "three frames at 50 a second")
		for _, c := range r.Codes {
			if c.First == "FOUR" && c.Second == "FIVE" {
				require.InDelta(t, 0.8*0.15, float64(c.N)/float64(c.Of), 0.09, "confused")
				cells++
				if c.Low <= 0.12 && 0.12 <= c.High {
					held++
				}
			}
		}
		nine := r.Faults[3]
		require.Equal(t, "Neither said NINE on 400 strokes.", nine.Say)
		require.Nil(t, nine.Kappa)
		require.Nil(t, r.Outcome, "nobody judged the strokes anew")
		require.GreaterOrEqual(t, r.Disagreements[0].Cost, 5, "FOUR beside FIVE comes first")
	}
	require.GreaterOrEqual(t, held, cells*85/100, "%d of %d intervals hold the truth", held, cells)
}

// What only one has looked at, or what was only assumed, is no unit.
func TestUnitsAreWhatBothLookedAt(t *testing.T) {
	pairs := read(10, habits{}, 1)
	for i := range pairs {
		looks := []club.Look{{First: 0, Last: 330, Faults: []club.ID{"f1"}}}
		pairs[i].Second.Looks = looks
	}
	r := agreement.Compare(team, pairs, agreement.Words{}, 1)
	require.Equal(t, 50, r.Strokes, "those at 60 to 300 of each turn")
	require.Len(t, r.Faults, 1)
	require.Equal(t, 50, r.Faults[0].Units())
	require.Contains(t, r.Faults[0].Say, "both saw all")
	require.Nil(t, r.Faults[0].Kappa.Range, "nothing differs")
	for i := range pairs {
		pairs[i].First.Looks = []club.Look{{First: 0, Last: 800, Faults: []club.ID{"f1"}, Assumed: true}}
	}
	require.Zero(t, agreement.Compare(team, pairs, agreement.Words{}, 1).Strokes, "assumed")
}

// Strokes that were judged anew are compared too.
func TestOutcomesAndSides(t *testing.T) {
	pairs := read(12, habits{}, 2)
	for i := range pairs {
		two := &pairs[i].Second
		two.Judged = true
		two.Strokes[0].Outcome = club.Missed
		two.Strokes[1].Side = club.Forehand // the pattern says backhand
		pairs[i].First.Strokes[2].Ready = &club.Moment{Frame: 190, Ticks: 190}
		two.Strokes[2].Ready = &club.Moment{Frame: 190 + i, Ticks: 190 + int64(i)}
	}
	r := agreement.Compare(team, pairs, agreement.Words{}, 1)
	require.Equal(t, agreement.Counts{Second: 12, Neither: 108}, r.Outcome.Counts)
	require.Equal(t, agreement.Counts{Both: 60, Second: 12, Neither: 48}, r.Side.Counts)
	require.Equal(t, 12, r.Ready.N)
	require.InDelta(t, 5.5/50, r.Ready.Mean, 1e-9)
}

// Three coaches, one of whom has seen half.
func TestSeveral(t *testing.T) {
	pairs := read(20, habits{missed: 0.3}, 3)
	var turns [][]*agreement.Reading
	for i := range pairs {
		third := &pairs[i].First
		if i%2 == 0 {
			third = nil
		}
		turns = append(turns, []*agreement.Reading{&pairs[i].First, &pairs[i].Second, third})
	}
	all := agreement.CompareSeveral(team, turns, 1)
	require.Equal(t, "ONE", all[0].Code)
	require.Equal(t, 200, all[0].Strokes)
	require.NotNil(t, all[0].Alpha.Range)
	require.Greater(t, all[0].Alpha.Value, 0.6)
	require.LessOrEqual(t, all[0].Alpha.Range.Low, all[0].Alpha.Value)
	require.GreaterOrEqual(t, all[0].Alpha.Range.High, all[0].Alpha.Value)
	require.Nil(t, all[3].Alpha, "nobody said NINE")
}

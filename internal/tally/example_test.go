package tally_test

import (
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// Seven of 52 strokes had the fault: the rate that lies behind may be half of that, or
// nearly twice as much.
func ExampleWilson() {
	i, ok := tally.Wilson(7, 52)
	fmt.Printf("%.1f %% to %.1f %%, %v\n", 100*i.Low, 100*i.High, ok)
	// Output: 6.7 % to 25.3 %, true
}

func ExampleDifference() {
	d, i, _ := tally.Difference(22, 50, 7, 50)
	fmt.Printf("%+.2f (%+.2f to %+.2f)\n", d, i.Low, i.High)
	// Output: +0.30 (+0.12 to +0.45)
}

// A clean streak of ten within thirty strokes, of a player who plays nine in ten well.
func ExampleRunChance() {
	fmt.Printf("%.3f\n", tally.RunChance(30, 10, 0.9))
	// Output: 0.870
}

// Five tests at once: what is below 0.05 alone need not stay there.
func ExampleAdjust() {
	fmt.Printf("%.3f\n", tally.Adjust([]float64{0.004, 0.03, 0.045, 0.2, 0.6}))
	// Output: [0.020 0.075 0.075 0.250 0.600]
}

// A turn of ten strokes, two of them with a mark of one fault.
func ExampleSummarise() {
	catalogue := club.Catalogue{
		Players: []club.Player{{ID: "p", Name: "Oda Brandt", Hand: club.RightHand}},
		Drills:  []club.Drill{{ID: "d", Name: "Forehand diagonal", Method: club.Regular, Pattern: "F", Streak: 10}},
		Faults:  []club.Fault{{ID: "f", Code: "LATE", Label: "Late return to ready", Phase: club.Recovery, Sides: club.BothSides, Weight: 3}},
	}
	turn := club.TurnRecord{
		Turn: club.Turn{ID: "t", ClipID: "c", PlayerID: "p", DrillID: "d", Last: 499, LastTicks: 499 * 512},
		Date: "2026-03-02", Picture: 0.04, Looks: []club.Look{{Last: 499, LastTicks: 499 * 512, Faults: []club.ID{"f"}}},
	}
	turn.Base.Num, turn.Base.Den = 1, 12800
	for i := range 10 {
		frame := 20 + 45*i
		turn.Strokes = append(turn.Strokes, club.Stroke{Frame: frame, Ticks: int64(frame) * 512, Outcome: club.Good})
		if i%5 == 2 {
			turn.Marks = append(turn.Marks, club.Mark{FaultID: "f", Frame: frame + 10, Ticks: int64(frame+10) * 512})
		}
	}
	all := tally.Summarise(catalogue, []club.TurnRecord{turn}, "", "").Players[0].All
	fmt.Println(all.Faults[0].Code, all.Faults[0].PerStroke.X, "of", all.Faults[0].PerStroke.N)
	fmt.Println("streak", all.Streak.Longest, "of", all.Streak.Target)
	// Output:
	// LATE 2 of 10
	// streak 10 of 10
}

package tally_test

import (
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

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

package reading

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// kind is a sort of player that is drawn.
type kind struct {
	name         string
	days, turns  int     // turns a day
	turn, stroke float64 // standard deviations, cm
	day, camera  float64
	skew         bool    // strokes lie skewed, with a long side to the table
	nearer       float64 // in irregular drills, cm
	drift        float64 // from the first day to the last, cm
	mixed        bool    // methods lie unevenly on days
	mostStrokes  int
	clips        int // a day
}

// drawn is a player's turns; the median of a stroke is 50, in irregular drills less.
func (k kind) drawn(rng *rand.Rand) []Turn {
	var all []Turn
	for d := range k.days {
		day := k.day*rng.NormFloat64() + k.drift*float64(d)/max(1, float64(k.days-1))
		errors := make([]float64, max(1, k.clips))
		for i := range errors {
			errors[i] = k.camera * rng.NormFloat64()
		}
		for n := range k.turns {
			irregular := n%2 == 1
			if k.mixed {
				irregular = rng.Float64() < float64(d+1)/float64(k.days+1)
			}
			clip := n * len(errors) / k.turns
			t := Turn{ClipID: club.ID(fmt.Sprint(d, " ", clip)), PlayerID: "p", DrillID: "regular", Date: club.Date(fmt.Sprintf("2026-%02d-01", d+1)),
				Values: map[club.Measure][]float64{}, Shared: map[club.Measure]float64{club.FeetBehind: k.camera}}
			mean := 50 + day + errors[clip] + k.turn*rng.NormFloat64()
			if irregular {
				t.DrillID = "irregular"
				mean -= k.nearer
			}
			for range 3 + rng.IntN(max(1, k.mostStrokes-3)) {
				e := rng.NormFloat64()
				if k.skew {
					e = math.Log(2) - rng.ExpFloat64()
				}
				t.Values[club.FeetBehind] = append(t.Values[club.FeetBehind], mean+k.stroke*e)
			}
			all = append(all, t)
		}
	}
	return all
}

func names() Names {
	return Names{Drills: []club.Drill{{ID: "regular", Name: "A", Method: club.Regular}, {ID: "irregular", Name: "B", Method: club.Irregular}},
		Faults: []club.Fault{{Code: "CLOSE", Measure: club.FeetBehind, Limit: 45}}}
}

// Of sheets without any difference at most one in twenty calls one, and intervals hold
// the middle, however turns, days and cameras differ. READINGS is the number of players
// of each kind; the figures of DEVELOPERS.md are of 4000.
func TestIntervalsHold(t *testing.T) {
	players := 150
	if n, err := strconv.Atoi(os.Getenv("READINGS")); err == nil {
		players = n
	}
	for _, k := range []kind{
		{name: "one day, eight turns", days: 1, turns: 8, turn: 4, stroke: 6, camera: 1.7, clips: 2, mostStrokes: 12},
		{name: "one day, ten turns, skewed", days: 1, turns: 10, turn: 4, stroke: 8, camera: 1.7, clips: 3, skew: true, mostStrokes: 20},
		{name: "one day, 24 turns", days: 1, turns: 24, turn: 6, stroke: 6, camera: 2, clips: 3, mostStrokes: 10},
		{name: "turns alike, camera far off", days: 2, turns: 8, turn: 1, stroke: 5, camera: 5, clips: 2, mostStrokes: 12},
		{name: "six days, days differ", days: 6, turns: 6, turn: 3, stroke: 6, day: 4, camera: 1.7, clips: 2, mostStrokes: 12},
		{name: "six days, methods uneven", days: 6, turns: 6, turn: 3, stroke: 6, day: 5, camera: 1.7, clips: 2, mostStrokes: 12, mixed: true},
		{name: "irregular 6 cm nearer, one day", days: 1, turns: 12, turn: 3, stroke: 6, camera: 1.7, clips: 2, mostStrokes: 12, nearer: 6},
		{name: "irregular 9 cm nearer, three days", days: 3, turns: 6, turn: 3, stroke: 6, day: 3, camera: 1.7, clips: 2, mostStrokes: 12, nearer: 9},
		{name: "8 cm farther in eight days", days: 8, turns: 4, turn: 3, stroke: 6, day: 1, camera: 1.7, clips: 2, mostStrokes: 12, drift: 8},
	} {
		t.Run(k.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(7, uint64(len(k.name))))
			var told, held, methodTold, methodHeld, called, wrong, sheets int
			for range players {
				s := Of(Readings{Turns: k.drawn(rng)}, "p", nil, names())
				l, m := s.All.Lines[0], s.Measures[0]
				if k.nearer != 0 { // then of regular drills alone
					l = s.Methods[0].Lines[0]
				}
				if l.Half != nil && k.drift == 0 {
					told++
					if math.Abs(l.Median-50) <= *l.Half {
						held++
					}
				}
				if m.Methods != nil && m.Methods.By != nil {
					methodTold++
					if math.Abs(*m.Methods.By+k.nearer) <= *m.Methods.Half {
						methodHeld++
					}
				}
				false1 := m.Methods != nil && m.Methods.Holds && (k.nearer == 0 || *m.Methods.By > 0)
				false2 := m.Days != nil && m.Days.Holds && (k.drift == 0 || *m.Days.By < 0)
				if m.Methods != nil && m.Methods.Holds || m.Days != nil && m.Days.Holds {
					called++
				}
				if false1 || false2 {
					wrong++
				}
				sheets++
			}
			part := func(x, n int) float64 { return float64(x) / max(1, float64(n)) }
			t.Logf("%-36s| interval told %4.2f holds %5.3f | difference told %4.2f holds %5.3f | called %5.3f wrongly %5.3f",
				k.name, part(told, sheets), part(held, told), part(methodTold, sheets), part(methodHeld, methodTold), part(called, sheets), part(wrong, sheets))
			// Four standard errors of a share of a twentieth.
			slack := 4 * math.Sqrt(.05*.95/float64(sheets))
			require.LessOrEqual(t, part(wrong, sheets), .05+slack)
			if methodTold > 0 {
				require.GreaterOrEqual(t, part(methodHeld, methodTold), .95-slack)
			}
			if told > 0 && (k.day == 0 || k.days >= leastDays) && !k.mixed { // a few days that differ are not counted; see DEVELOPERS.md
				require.GreaterOrEqual(t, part(held, told), .92-slack)
			}
		})
	}
}

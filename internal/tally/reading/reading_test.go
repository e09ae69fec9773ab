package reading

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// turns are of one player on one day: strokes of irregular drills measure less by nearer.
func turns(player club.ID, number int, nearer float64) (all []Turn) {
	for i := range number {
		t := Turn{ClipID: club.ID(fmt.Sprint("clip", i/4)), PlayerID: player, DrillID: "regular", Date: "2026-03-02",
			Values: map[club.Measure][]float64{}, Shared: map[club.Measure]float64{club.FeetBehind: 1}}
		at := 50 + float64(i%3)
		if i%2 == 1 {
			t.DrillID, at = "irregular", at-nearer
		}
		for k := range 7 {
			t.Values[club.FeetBehind] = append(t.Values[club.FeetBehind], at+float64(k-3))
		}
		all = append(all, t)
	}
	return all
}

func TestWords(t *testing.T) {
	clips := []Clip{{Players: []club.ID{"p", "q"}, Measured: []club.ID{"p"}}, {Players: []club.ID{"p"}}, {Players: []club.ID{"q"}}}
	all := Readings{append(turns("p", 12, 9), turns("q", 2, 0)...), clips}

	s := Of(all, "p", nil, names())
	require.Equal(t, "Measured 1 of 2 clips with strokes. The others count for nothing here: measure them under Review.", s.Say)
	require.Regexp(t, `^Feet 4\d cm from the table \(±\d\), in irregular drills 9 cm nearer \(±\d\)\. Below the limit of CLOSE \(45 cm\): \d+ of 84 strokes\.$`, s.Measures[0].Say)
	require.Equal(t, []string{"Regular", "Irregular"}, []string{s.Methods[0].Name, s.Methods[1].Name})
	require.Equal(t, 42, s.Methods[1].Lines[0].Strokes)
	require.InDelta(t, 9, s.Methods[0].Lines[0].Median-s.Methods[1].Lines[0].Median, .01)
	require.Len(t, s.Drills, 2)
	require.Len(t, s.Sessions, 1)
	require.Nil(t, s.Measures[0].Days, "of one day")

	few := Of(all, "q", nil, names())
	require.Equal(t, "Feet 51 cm from the table. How far the middle of 2 turns may be off cannot be told yet. Whether irregular drills differ from regular ones cannot be told yet. Below the limit of CLOSE (45 cm): 0 of 14 strokes.", few.Measures[0].Say)
	require.Equal(t, "Feet 51 cm from the table, ± not known yet.", few.Measures[0].Brief)
	require.Nil(t, few.All.Lines[0].Half)

	team := Of(all, "", nil, names())
	require.Nil(t, team.Measures[0].Methods, "players may differ, and so their strokes")
	require.Nil(t, team.All.Lines[0].Half, "of two players")
	require.Contains(t, team.Measures[0].Say, "How far the middle of 14 turns by 2 players may be off cannot be told yet.")
	require.Equal(t, [2]int{1, 3}, [2]int{team.Clips, team.OfClips})

	without := map[club.ID]bool{"p": true}
	require.Equal(t, "Measured 0 of 2 clips with strokes. The others count for nothing here: measure them under Review. What is measured of 1 player without consent to film on record is left out.",
		Of(all, "", without, names()).Say)
	require.Empty(t, Of(all, "p", without, names()).Measures)
	require.Nil(t, Of(all, "r", nil, names()))
}

// Quartiles are those of Hyndman and Fan's definition 7, by hand.
func TestQuartiles(t *testing.T) {
	s := sample{all: []one{{1, 0}, {2, 0}, {4, 1}, {8, 1}}}
	require.Equal(t, []float64{1.75, 3, 5}, []float64{s.quantile(.25), s.quantile(.5), s.quantile(.75)})
	require.Equal(t, 3., s.medianOf([]int{1, 1}))
	require.Equal(t, 6., s.medianOf([]int{0, 1}))
	require.Equal(t, 2., s.medianOf([]int{2, 1}))
}

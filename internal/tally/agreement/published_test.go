package agreement_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally/agreement"
)

func value(t *testing.T, v float64, ok bool) float64 {
	t.Helper()
	require.True(t, ok)
	return v
}

// Two-by-two tables with what is published of them.
func TestPublishedTables(t *testing.T) {
	for _, c := range []struct {
		source                    string
		counts                    agreement.Counts
		kappa, ac1, positive, neg float64 // NaN: not published
	}{
		// Textbook pairs of equal agreement and different margins; 0.4 exactly.
		{"Cohen's kappa, 50 units", agreement.Counts{Both: 20, First: 5, Second: 10, Neither: 15}, 0.4, math.NaN(), math.NaN(), math.NaN()},
		{"the same agreement, margins alike", agreement.Counts{Both: 45, First: 15, Second: 25, Neither: 15}, 0.1304347826, math.NaN(), math.NaN(), math.NaN()},
		{"the same agreement, margins apart", agreement.Counts{Both: 25, First: 35, Second: 5, Neither: 35}, 0.2592592593, math.NaN(), math.NaN(), math.NaN()},
		// Gwet's paradox: 94.4 % agreement, kappa below nought (irrCAC, R).
		{"Gwet (2002)", agreement.Counts{Both: 118, First: 5, Second: 2, Neither: 0}, -0.0233918129, 0.9407763, math.NaN(), math.NaN()},
		// Cicchetti and Feinstein (1990): the two tables of Feinstein and Cicchetti (1990) J
		// Clin Epidemiol 43:543-549, both of 85 % agreement, kappas printed as .70 and .32; the parts are 80/95, 90/105 and
		// 160/175, 10/25.
		{"Cicchetti and Feinstein, balanced", agreement.Counts{Both: 40, First: 9, Second: 6, Neither: 45}, 0.6995192308, math.NaN(), 80.0 / 95, 90.0 / 105},
		{"Cicchetti and Feinstein, rare", agreement.Counts{Both: 80, First: 10, Second: 5, Neither: 5}, 0.3181818182, math.NaN(), 160.0 / 175, 10.0 / 25},
	} {
		for _, v := range []struct {
			what string
			want float64
			of   agreement.Coefficient
		}{
			{"kappa", c.kappa, agreement.Counts.Kappa}, {"AC1", c.ac1, agreement.Counts.AC1},
			{"positive", c.positive, agreement.Counts.Positive}, {"negative", c.neg, agreement.Counts.Negative},
		} {
			if got, ok := v.of(c.counts); !math.IsNaN(v.want) {
				require.InDelta(t, v.want, value(t, got, ok), 5e-8, "%s of %s", v.what, c.source)
			}
		}
	}
}

// Cohen J (1960), printed again by Cohen (1968): .492; the counts are those of its
// proportions over 200 units. A table of more than two answers has its kappa here by
// the units: with two coaches Krippendorff's alpha is near it, and exactly what Scott's
// pi with his correction gives.
func TestCohensOwnTable(t *testing.T) {
	table := [3][3]int{{88, 14, 18}, {10, 40, 10}, {2, 6, 12}}
	kappa, ok := agreement.KappaOf([][]int{table[0][:], table[1][:], table[2][:]})
	require.InDelta(t, 29.0/59, value(t, kappa, ok), 1e-12)
	// O'Donoghue P (2010) Research Methods for Sports Performance Analysis, table 7.2:
	// two operators, seven types of point in tennis, agreement .926; margins and
	// diagonal are printed, which is all that kappa asks for.
	rows, columns := []int{79, 42, 237, 19, 169, 92, 718}, []int{80, 41, 243, 19, 151, 78, 744}
	diagonal := []int{78, 38, 232, 17, 131, 70, 690}
	agreed, chance := 0.0, 0.0
	for i := range rows {
		agreed += float64(diagonal[i]) / 1356
		chance += float64(rows[i]*columns[i]) / (1356 * 1356)
	}
	require.InDelta(t, 0.926, agreed, 5e-4)
	require.InDelta(t, 0.8875487, (agreed-chance)/(1-chance), 5e-8)
	// Gwet's irrCAC, cont3x3abstractors.
	kappa, ok = agreement.KappaOf([][]int{{13, 0, 0}, {0, 20, 7}, {0, 4, 56}})
	require.InDelta(t, 0.7964094, value(t, kappa, ok), 5e-8)
}

// Krippendorff (2011), section C: four observers, twelve units, gaps; the twelfth unit
// has one value and drops out. AC1 by Gwet's irrCAC on the same data.
func TestKrippendorffsData(t *testing.T) {
	const o = agreement.Gap
	by := [][]int{
		{1, 2, 3, 3, 2, 1, 4, 1, 2, o, o, o},
		{1, 2, 3, 3, 2, 2, 4, 1, 2, 5, o, o},
		{o, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, 3},
		{1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, o},
	}
	units := make(agreement.Units, 12)
	for _, row := range by {
		for i, v := range row {
			units[i] = append(units[i], v)
		}
	}
	alpha, ok := units.Alpha()
	require.InDelta(t, 0.743421052632, value(t, alpha, ok), 1e-9)
	ac1, ok := units.AC1(5)
	require.InDelta(t, 0.77544, value(t, ac1, ok), 5e-6)
}

// Fleiss JL (1971) Psychol Bull 76:378-382, table 1: kappa .430 (0.43024452006). Alpha
// follows from it where nothing is missing: 1 - alpha is 1 - kappa, less by one part in
// as many as there are answers. The first fifteen rows by Gwet's irrCAC: AC1 and alpha.
func TestFleissDiagnoses(t *testing.T) {
	table := [][5]int{
		{0, 0, 0, 6, 0}, {0, 3, 0, 0, 3}, {0, 1, 4, 0, 1}, {0, 0, 0, 0, 6}, {0, 3, 0, 3, 0}, {2, 0, 4, 0, 0}, {0, 0, 4, 0, 2}, {2, 0, 3, 1, 0},
		{2, 0, 0, 4, 0}, {0, 0, 0, 0, 6}, {1, 0, 0, 5, 0}, {1, 1, 0, 4, 0}, {0, 3, 3, 0, 0}, {1, 0, 0, 5, 0}, {0, 2, 0, 3, 1},
		{0, 0, 5, 0, 1}, {3, 0, 0, 1, 2}, {5, 1, 0, 0, 0}, {0, 2, 0, 4, 0}, {1, 0, 2, 0, 3}, {0, 0, 0, 0, 6}, {0, 1, 0, 5, 0}, {0, 2, 0, 1, 3},
		{2, 0, 0, 4, 0}, {1, 0, 0, 4, 1}, {0, 5, 0, 1, 0}, {4, 0, 0, 0, 2}, {0, 2, 0, 4, 0}, {1, 0, 5, 0, 0}, {0, 0, 0, 0, 6},
	}
	var units agreement.Units
	for _, row := range table {
		var unit []int
		for v, n := range row {
			for range n {
				unit = append(unit, v)
			}
		}
		units = append(units, unit)
	}
	alpha, ok := units.Alpha()
	require.InDelta(t, 1-(1-0.43024452006)*(1-1.0/180), value(t, alpha, ok), 1e-9)
	alpha, ok = units[:15].Alpha()
	require.InDelta(t, 0.4204384, value(t, alpha, ok), 5e-8)
	ac1, ok := units[:15].AC1(5)
	require.InDelta(t, 0.4448007, value(t, ac1, ok), 5e-8)
}

// With two coaches and two answers all ways to the same coefficient meet.
func TestUnitsAgreeWithCounts(t *testing.T) {
	c := agreement.Counts{Both: 118, First: 5, Second: 2}
	var units agreement.Units
	for range c.Both {
		units = append(units, []int{1, 1})
	}
	for range c.First {
		units = append(units, []int{1, 0})
	}
	for range c.Second {
		units = append(units, []int{0, 1})
	}
	of, ok := units.AC1(2)
	ac1, fine := c.AC1()
	require.InDelta(t, value(t, ac1, fine), value(t, of, ok), 1e-12)
	kappa, ok := agreement.KappaOf([][]int{{c.Both, c.First}, {c.Second, c.Neither}})
	want, fine := c.Kappa()
	require.InDelta(t, value(t, want, fine), value(t, kappa, ok), 1e-12)
}

// Bland and Altman (1986), table 1, first measurements: peak expiratory flow of 17
// people by two meters. The paper prints a mean difference of -2.1, a standard
// deviation of 38.8, -22.0 to 17.8 for the mean, and limits by two standard deviations.
func TestBlandAltman(t *testing.T) {
	large := []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	mini := []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	d := make([]float64, len(large))
	for i := range d {
		d[i] = large[i] - mini[i]
	}
	l, ok := agreement.LimitsOf(d)
	require.True(t, ok)
	require.InDelta(t, -2.1, l.Mean, 0.05)
	require.InDelta(t, 38.8, l.SD, 0.05)
	require.InDelta(t, -22.0, l.Bias.Low, 0.1)
	require.InDelta(t, 17.8, l.Bias.High, 0.1)
	// Their limits are -79.7 and 75.5, with -114.3 to -45.1 and 40.9 to 110.1 round them:
	// the same widths.
	require.InDelta(t, -79.7, l.Mean-2*l.SD, 0.1)
	require.InDelta(t, 75.5, l.Mean+2*l.SD, 0.1)
	require.InDelta(t, 114.3-45.1, l.LowEnd.High-l.LowEnd.Low, 0.3)
	require.InDelta(t, 110.1-40.9, l.HighEnd.High-l.HighEnd.Low, 0.3)
	_, ok = agreement.LimitsOf(d[:1])
	require.False(t, ok)
}

// The size that a standard error asks for is the size that has it: 50 units with a
// standard error of 0.1269960629 by Fleiss, Cohen and Everitt (statsmodels, vcd and
// psych agree), for both coaches saying it equally often.
func TestSizeIsTheFormula(t *testing.T) {
	rate, kappa := 0.5, 0.4 // the table 17.5 7.5 / 7.5 17.5
	se := math.Sqrt((0.7*square(1-0.6) + square(0.6)*0.3*1 - square(0.4-0.5*0.6)) / 50)
	se = math.Sqrt(2 * se * se * 2) // divided by the half that chance leaves
	n, turns := agreement.Plan{Rate: rate, Kappa: kappa, Half: 1.9599639845 * se, PerTurn: 10}.Strokes()
	require.InDelta(t, 50, n, 1)
	require.Equal(t, 8, turns, "an interval needs eight turns, however many strokes they have")
	more, _ := agreement.Plan{Rate: rate, Kappa: kappa, Half: 1.9599639845 * se, PerTurn: 10, Alike: 0.1}.Strokes()
	require.InDelta(t, 95, more, 2, "ten strokes that are alike by a tenth are worth as much as 10/1.9")
}

func square(v float64) float64 { return v * v }

func TestMiddle(t *testing.T) {
	m := agreement.MiddleOf([]float64{4, 1, 3, 2, 5})
	require.Equal(t, agreement.Middle{N: 5, Median: 3, Low: 2, High: 4}, m)
	require.Equal(t, agreement.Middle{}, agreement.MiddleOf(nil))
}

func TestDraw(t *testing.T) {
	strata := make([]string, 40)
	for i := range strata {
		strata[i] = []string{"a", "a", "a", "b"}[i%4]
	}
	for seed := range uint64(20) {
		chosen := agreement.Draw(strata, 12, seed)
		require.Len(t, chosen, 12)
		require.True(t, slices.IsSorted(chosen))
		n := 0
		for _, i := range chosen {
			if strata[i] == "a" {
				n++
			}
		}
		require.Equal(t, 9, n, "three of four are a")
		require.Equal(t, chosen, agreement.Draw(strata, 12, seed))
	}
	require.NotEqual(t, agreement.Draw(strata, 12, 1), agreement.Draw(strata, 12, 2))
	require.Len(t, agreement.Draw(strata, 100, 1), 40)
	require.Len(t, agreement.Draw(strata, 0, 1), 0)
	require.Len(t, agreement.Draw([]string{"a", "b", "c"}, 2, 1), 2, "no stratum is due a whole turn")
}

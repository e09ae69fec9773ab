package rate

import (
	"fmt"
	"math"

	"strokeledger/internal/tally/interval"
)

// Line is a straight line through proportions over time.
type Line struct {
	Slope    float64 // per unit of time
	Variance float64 // of Slope, for independent strokes
	// Alike is what the proportions say by themselves of how far they lie from the line
	// beyond that, and Spread by how much Variance grows with a correlation of 1.
	Alike  Alike
	Spread float64
}

// LineTest is how far a line's slope is known from nought.
type LineTest struct {
	Half   float64 // half width of the 95 % interval of the slope, per unit of time
	Effect float64 // by how many times its variance is larger than for independent strokes, 1 or more
	T, P   float64 // Student's t, above nought where the line rises; two-sided, of no slope
}

// Test tests the slope against what days are like. It is not ok where too few were seen
// to tell how far they differ.
func (l Line) Test(days Likeness) (t LineTest, ok bool) {
	correlation, freedom := days.with(l.Alike)
	if freedom < fewestFreedom {
		return t, false
	}
	effect := 1 + correlation*l.Spread // less than 1 by chance
	t.Effect = max(1, effect)
	t.Half = math.Sqrt(l.Variance) * max(interval.Z, interval.StudentQuantile(freedom)*math.Sqrt(max(0, effect)))
	t.T = l.Slope / math.Sqrt(l.Variance*t.Effect)
	t.P = interval.Student(t.T, freedom)
	return t, true
}

// FewestPoints is from how many groups on a line is fitted.
const FewestPoints = 3

// FitLine fits a straight line to proportions x out of n at times, each weighing as
// its n. Of the n strokes of each, so many (size) share one day's form. It is not
// ok with fewer than FewestPoints groups, one time only, or one outcome only. It panics
// unless all have one length and Wilson takes each pair.
//
// Source: weighted least squares with the variances of the proportions pq(1 +
// ρ(size - 1))/n, as in Draper NR, Smith H (1998) Applied Regression Analysis, 3rd
// ed., section 9.2; with ρ = 0 it is R's prop.trend.test, whose values line_test.go
// has. The mean of the squares round the line is exact in ρ.
func FitLine(x, n []int, size, at []float64) (l Line, ok bool) {
	if len(x) != len(n) || len(x) != len(size) || len(x) != len(at) {
		panic("rate: a line needs as many times as proportions")
	}
	var sx, sn, st float64
	for i := range x {
		if x[i] < 0 || x[i] > n[i] {
			panic(fmt.Sprintf("rate: %d out of %d is not a proportion", x[i], n[i]))
		}
		sx += float64(x[i])
		sn += float64(n[i])
		st += float64(n[i]) * at[i]
	}
	if len(x) < FewestPoints || sx == 0 || sx == sn {
		return l, false
	}
	mean, rate := st/sn, sx/sn
	var stt, stp, sizes float64
	for i := range x {
		d := at[i] - mean
		stt += float64(n[i]) * d * d
		stp += d * (float64(x[i]) - float64(n[i])*rate)
		sizes += float64(n[i]) * d * d * (size[i] - 1)
	}
	if !(stt > 1e-12) {
		return l, false
	}
	l.Slope, l.Spread = stp/stt, sizes/stt
	var squares, room float64
	for i := range x {
		fn, d := float64(n[i]), at[i]-mean
		off := float64(x[i])/fn - rate - l.Slope*d
		squares += fn * off * off
		room += (1 - fn/sn - fn*d*d/stt) * (size[i] - 1)
	}
	free := float64(len(x) - 2)
	pq := rate*(1-rate) + squares/(free*sn)
	l.Variance = rate * (1 - rate) / stt
	l.Alike = Alike{Apart: squares - pq*free, Room: pq * room, Free: free, Less: free * free / float64(len(x))}
	return l, true
}

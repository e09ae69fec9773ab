package tally

import "fmt"

// Line is a straight line through proportions over time.
type Line struct {
	Slope    float64 // per unit of time
	Variance float64 // of Slope, for independent strokes
	// Alike is what the proportions say by themselves of how far they lie from the line
	// beyond that, and Spread by how much Variance grows with a correlation of 1.
	Alike  Alike
	Spread float64
}

// effect is by how many times the variance of the slope is larger than that of
// independent strokes; it may be less than 1 by chance.
func (l Line) effect(days Likeness) (effect, freedom float64) {
	correlation, freedom := days.with(l.Alike)
	return 1 + correlation*l.Spread, freedom
}

// FitLine fits a straight line to proportions x out of n at times, each weighing as
// its n. Of the n strokes of each, so many (size) share one day's form. It is not
// ok with fewer than three groups, one time only, or one outcome only. It panics
// unless all have one length and Wilson takes each pair.
//
// Source: weighted least squares with the variances of the proportions pq(1 +
// ρ(size - 1))/n, as in Draper NR, Smith H (1998) Applied Regression Analysis, 3rd
// ed., section 9.2; with ρ = 0 it is R's prop.trend.test, whose values line_test.go
// has. The mean of the squares round the line is exact in ρ.
func FitLine(x, n []int, size, at []float64) (l Line, ok bool) {
	if len(x) != len(n) || len(x) != len(size) || len(x) != len(at) {
		panic("tally: a line needs as many times as proportions")
	}
	var sx, sn, st float64
	for i := range x {
		if x[i] < 0 || x[i] > n[i] {
			panic(fmt.Sprintf("tally: %d out of %d is not a proportion", x[i], n[i]))
		}
		sx += float64(x[i])
		sn += float64(n[i])
		st += float64(n[i]) * at[i]
	}
	if len(x) < fewestSessions || sx == 0 || sx == sn {
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

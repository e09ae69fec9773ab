package rate

const (
	// fewestFreedom is how much must be known of how far turns differ, in degrees of
	// freedom, before an interval or a test is given. Chosen by TestCoverage: with
	// fewer, either an interval of strokes that are independent after all is too wide,
	// or one of strokes that are alike too narrow.
	fewestFreedom = 8
	// fewestPairs is the same for two parts of training days. Chosen by TestFewTurns.
	fewestPairs = 5
	// mostFreedom is how much the club's word counts against the turns at hand: players
	// may differ in how even they are.
	mostFreedom = 60
	// UsualCorrelation of two strokes of a turn; it only says how much a rare fault's
	// turns tell about their own spread. An assumption: no source.
	UsualCorrelation = 0.1
	// highCorrelation stands where nothing is known of how far turns differ, since a
	// fault is too rare for that, but there are manyTurns: an interval that is rather
	// too wide. The highest of TestCoverage; no source.
	highCorrelation = 0.2
	manyTurns       = 20
	// strokesAMinute turns marks per minute into a share, for the same purpose (common
	// practice, no source).
	strokesAMinute = 30
)

// Alike is what groups of turns say of how alike the strokes of one turn are: sums
// over groups, each with a rate of its own. (Of training days likewise.)
type Alike struct {
	Apart float64 // squares by which turns lie apart, beyond what independent strokes do
	Room  float64 // what Apart would be with a correlation of 1
	Free  float64 // degrees of freedom: one less than turns
	Less  float64 // the same squared, for each turn: what a skew rate takes from them
}

func (a *Alike) Join(o Alike) {
	a.Apart += o.Apart
	a.Room += o.Room
	a.Free += o.Free
	a.Less += o.Less
}

// Alike of one group of turns. The correlation is Apart by Room: the squares of the
// ratio estimator over turns have the mean pq(1 - NN/N²)(N + ρ(NN - N)), where
// turns are of one length and nearly where they are not.
//
// Source: Cochran WG (1977) Sampling Techniques, 3rd ed., section 6.3 and 9.4; the
// mean is computed over all outcomes in ../testdata/reference.py.
func (m Moments) Alike() (a Alike) {
	if m.Turns < 2 || m.X == 0 || m.X == m.N {
		return a
	}
	n, nn := float64(m.N), float64(m.NN)
	r := float64(m.X) / n
	squares := max(0, float64(m.XX)-2*r*float64(m.XN)+r*r*nn)
	part := 1 - nn/(n*n)
	pq := r*(1-r) + squares/(part*n*n) // r(1-r) is too small by the variance of r
	turns := float64(m.Turns)
	return Alike{Apart: squares - pq*part*n, Room: pq * part * (nn - n), Free: turns - 1, Less: (turns - 1) * (turns - 1) / turns}
}

// freedom is Free, less what it is worth where the rates of turns have long tails:
// the variance of a variance grows with the excess kurtosis.
//
// Source: Mood AM, Graybill FA, Boes DC (1974) Introduction to the Theory of
// Statistics, 3rd ed., section VI.2.4; computed for long tails in
// ../testdata/reference.py.
func (a Alike) freedom(kurtosis float64) float64 {
	if !(a.Room > 0) || a.Free == 0 {
		return 0
	}
	return a.Free / (1 + kurtosis/2*a.Less/a.Free)
}

// Likeness says how alike two strokes of one turn (of one training day) are, as the
// club shows it of one fault.
type Likeness struct {
	Correlation float64 // below nought by chance
	Freedom     float64 // how well it is known, in degrees of freedom
	kurtosis    float64 // excess, of the rates of turns
}

// with puts the club's word together with the turns at hand, which are part of it:
// what they know by themselves counts as much as they know, the rest is the club's.
func (l Likeness) with(own Alike) (correlation, freedom float64) {
	mine := own.freedom(l.kurtosis)
	freedom = max(mine, min(l.Freedom, mostFreedom))
	if mine == 0 {
		return l.Correlation, freedom
	}
	return ((freedom-mine)*l.Correlation + mine*own.Apart/own.Room) / freedom, freedom
}

// FaultAlike is how alike the club's strokes of one turn are with respect to one
// fault.
type FaultAlike struct {
	Alike
	X, N, NN float64 // over all turns; NN is the sum of n²
	Timed    bool    // N is minutes without logged strokes, X marks in them
	Paired   bool    // it is of differences of two rates, whose tails are half as long
}

// size is by how much the variance of a rate grows with a correlation of 1: the other
// strokes of a turn, or its minutes, as a stroke sees it.
func (f FaultAlike) size() float64 {
	switch {
	case f.N == 0:
		return 0
	case f.Timed:
		return f.NN / f.N
	}
	return f.NN/f.N - 1
}

// kurtosis is the excess kurtosis of the rates of turns, as far as it is usual.
func (f FaultAlike) kurtosis() float64 {
	p := (f.X + 0.5) / (f.N + 1)
	if f.Timed {
		p = min(0.5, p/strokesAMinute)
	}
	if f.Paired {
		return kurtosis(p) / 2
	}
	return kurtosis(p)
}

// Join adds one group of turns.
func (f *FaultAlike) Join(m Moments) {
	f.Alike.Join(m.Alike())
	f.X += float64(m.X)
	f.N += float64(m.N)
	f.NN += float64(m.NN)
}

// FitLikeness finds how alike the strokes of one turn are, fault by fault. What one
// fault cannot tell is taken from the others, as far as they agree.
//
// Source: the variance between faults as in DerSimonian R, Laird N (1986) Control
// Clin Trials 7:177-188; it follows from the mean of Cochran's Q, which
// ../testdata/reference.py computes. That what the others say counts as so many
// degrees of freedom is the idea of Smyth GK (2004) Stat Appl Genet Mol Biol 3:3;
// how many follows from equal variances.
func FitLikeness(faults []FaultAlike) []Likeness {
	fits := make([]Likeness, len(faults))
	var free, sum float64 // of all
	for i, f := range faults {
		fits[i].kurtosis = f.kurtosis()
		if own := f.freedom(fits[i].kurtosis); own > 0 {
			free += own
			sum += own * f.Apart / f.Room
		}
	}
	if free == 0 {
		return fits
	}
	// How many degrees of freedom make one unit of precision of a correlation.
	precision := func(f FaultAlike) float64 {
		size := f.size()
		effect := max(1, 1+sum/free*size)
		return size * size / (2 * effect * effect)
	}
	var w, ww, wr, wrr, groups float64
	for i, f := range faults {
		if own := f.freedom(fits[i].kurtosis); own > 0 {
			r, weight := f.Apart/f.Room, own*precision(f)
			w, ww, wr, wrr, groups = w+weight, ww+weight*weight, wr+weight*r, wrr+weight*r*r, groups+1
		}
	}
	between := 0.0
	if room := w - ww/w; room > 1e-9*w {
		between = max(0, (wrr-wr*wr/w-(groups-1))/room)
	}
	for i, f := range faults {
		own, mine := f.freedom(fits[i].kurtosis), 0.0
		if own > 0 {
			mine = own * f.Apart / f.Room
		}
		others := max(0, free-own)
		lent := min(others, mostFreedom)
		if p := precision(f); between > 0 && p > 0 {
			lent = min(lent, 1/(between*p))
		}
		fits[i].Freedom = own + lent
		if others > 0 {
			mine += lent * (sum - mine) / others
		}
		if fits[i].Freedom > 0 {
			fits[i].Correlation = mine / fits[i].Freedom
		}
	}
	return fits
}

// kurtosis is the excess kurtosis of a beta distribution with that mean and the
// usual correlation, nought where it is below.
//
// Source: Johnson NL, Kotz S, Balakrishnan N (1995) Continuous Univariate
// Distributions, vol. 2, 2nd ed., chapter 25; values in TestReference.
func kurtosis(p float64) float64 {
	const sum = 1/UsualCorrelation - 1
	a, b := p*sum, (1-p)*sum
	k := 6 * ((a-b)*(a-b)*(sum+1) - a*b*(sum+2)) / (a * b * (sum + 2) * (sum + 3))
	return max(0, k)
}

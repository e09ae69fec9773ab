package joined

import "math"

// long is after how many seconds a stroke does not follow the one before any more.
const long = 3.

// pace is how far strokes that follow each other are apart: mean and spread of the
// logarithm of seconds.
type pace struct{ mean, spread float64 }

// usualPace is that of a turn of which nothing is known: about 1.27 s between a player's
// own strokes in a rally (IJPAS 2022 22(1):174-182), less from the basket.
func usualPace() pace { return pace{math.Log(1.1), .35} }

// density of a gap, a second.
func (p pace) density(gap float64) float64 {
	z := (math.Log(gap) - p.mean) / p.spread
	return math.Exp(-z*z/2) / (p.spread * math.Sqrt(2*math.Pi) * gap)
}

// total adds up gaps, each by its chance.
type total struct{ n, sum, squares float64 }

func (t total) pace() pace {
	const (
		meanKnown = .5 // gaps that the usual mean counts as
		known     = 4. // and the usual spread
		usual     = .15
		least     = .06 // spread
	)
	mean := (t.sum + meanKnown*usualPace().mean) / (t.n + meanKnown)
	about := max(0, t.squares-2*mean*t.sum+mean*mean*t.n)
	return pace{mean, max(least, math.Sqrt((about+known*usual*usual)/(t.n+known)))}
}

// series are the sounds of a turn of which some are strokes.
type series struct {
	sounds   []heard
	odds     []float64 // logarithm of the odds of each alone
	pace     pace
	rhythmic float64
}

// factor is how much likelier a gap is between two strokes that follow each other than
// if they had nothing to do with each other, and how much of that is due to the pace.
func (s series) factor(gap float64) (log, share float64) {
	paced := s.rhythmic * s.pace.density(gap) * long / 2
	return math.Log(1 - s.rhythmic + paced), paced / (1 - s.rhythmic + paced)
}

// chances are those of the sounds to be strokes, where no two are less than apart; with
// the logarithm of the sum over all choices, and the gaps between them. A sound that is
// hardly ever a stroke is left out.
func (s series) chances() (out []float64, sum float64, gaps total) {
	const hardly = -6.5
	var at []int
	for i, o := range s.odds {
		if o > hardly {
			at = append(at, i)
		}
	}
	horizon := long
	if s.rhythmic == 0 {
		horizon = apart // nothing follows from the one before
	}
	n := len(at)
	seconds := func(i int) float64 { return s.sounds[at[i]].at }
	first := make([]int, n)      // those before it are long ago
	ahead := make([]float64, n)  // sums over all choices that end with each
	upTo := make([]float64, n+1) // and with none or one of the first
	apartFrom := math.Log(1 - s.rhythmic)
	for i := range n {
		if i > 0 {
			first[i] = first[i-1]
		}
		for seconds(first[i]) < seconds(i)-horizon {
			first[i]++
		}
		way := upTo[first[i]] + apartFrom
		for j := first[i]; j < i && seconds(j) <= seconds(i)-apart; j++ {
			log, _ := s.factor(seconds(i) - seconds(j))
			way = plus(way, ahead[j]+log)
		}
		ahead[i] = s.odds[at[i]] + way
		upTo[i+1] = plus(upTo[i], ahead[i])
	}
	sum = upTo[n]
	soon, from := make([]float64, n), make([]float64, n+1) // sums over choices that follow soon after each, and that begin with one from each on
	from[n] = math.Inf(-1)
	for i := range soon {
		soon[i] = math.Inf(-1)
	}
	out = make([]float64, len(s.sounds))
	later := n
	for i := n - 1; i >= 0; i-- {
		for later > 0 && first[later-1] > i {
			later--
		}
		after := plus(plus(0, soon[i]), from[later]+apartFrom)
		out[at[i]] = min(1, math.Exp(ahead[i]+after-sum)) // rounding apart
		begun := s.odds[at[i]] + after
		from[i] = plus(from[i+1], begun)
		for j := first[i]; j < i && seconds(j) <= seconds(i)-apart; j++ {
			gap := seconds(i) - seconds(j)
			log, share := s.factor(gap)
			soon[j] = plus(soon[j], begun+log)
			w, g := share*math.Exp(ahead[j]+begun+log-sum), math.Log(gap)
			gaps.n, gaps.sum, gaps.squares = gaps.n+w, gaps.sum+w*g, gaps.squares+w*g*g
		}
	}
	return out, sum, gaps
}

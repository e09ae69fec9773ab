package contact

import (
	"math"
	"slices"
)

// timing tells how evenly what is taken for contacts comes.
type timing struct {
	gaps   int     // between contacts of one play
	even   float64 // median of how far a gap is from the one before, logarithm: 0 is a beat
	period float64 // median of the time over two gaps, seconds: about that of a stroke
	steady float64 // spread of the logarithm of that time
	cycle  float64 // the least such spread of the times over three to six gaps
}

func timingOf(cs []candidate, beliefs []belief) (t timing) {
	var at []float64
	for i := range cs {
		if beliefs[i].contact() > .5 {
			at = append(at, cs[i].at)
		}
	}
	var changes []float64
	for i := 2; i < len(at); i++ {
		if a, b := at[i-1]-at[i-2], at[i]-at[i-1]; a < longest && b < longest {
			changes = append(changes, math.Abs(math.Log(b/a)))
		}
	}
	t.gaps = len(changes)
	if t.gaps == 0 {
		return t
	}
	slices.Sort(changes)
	t.even = changes[len(changes)/2]
	t.period, t.steady = over(at, 2)
	t.cycle = math.Inf(1)
	for n := 3; n <= 6; n++ {
		_, spread := over(at, n)
		t.cycle = min(t.cycle, spread)
	}
	return t
}

// over is the median time over n gaps of one play, and the spread of its logarithm: the
// middle half's width as a standard deviation.
func over(at []float64, n int) (median, spread float64) {
	const fewest = 10
	var times []float64
	for i := n; i < len(at); i++ {
		inPlay := true
		for k := i - n + 1; k <= i; k++ {
			inPlay = inPlay && at[k]-at[k-1] < longest
		}
		if inPlay {
			times = append(times, math.Log(at[i]-at[i-n]))
		}
	}
	if len(times) < fewest {
		return 1, math.Inf(1)
	}
	slices.Sort(times)
	q := len(times) / 4
	return math.Exp(times[len(times)/2]), (times[len(times)-1-q] - times[q]) / 1.349
}

// What nobody plays, see [timing]. Chosen on the tuning seeds of BenchmarkAnyHall, in
// which play stays well on the other side of each.
const (
	enoughGaps = 10
	beating    = .055 // a ball's two ways differ, hands and clocks repeat one
	ragged     = 1.4  // nor do they differ by so much
	walking    = .065 // of heel and toe, that sound alike on both sides
	toe        = .1   // seconds from the one to the other at the most
	cyclic     = .006 // clockwork
	erratic    = .62  // nor does a ball keep no time at all
	hasty      = .32  // seconds
)

// beats reports whether it comes like claps, steps, beats of a clock or keys. sides says
// whether two players, or two halves, sound different: the feet of a walker do not.
func (t timing) beats(sides bool) bool {
	return t.gaps >= enoughGaps &&
		(t.even < beating || t.even > ragged || t.steady < walking && t.short() < toe && !sides ||
			t.steady > erratic && !math.IsInf(t.steady, 1) || min(t.steady, t.cycle) < cyclic || t.period < hasty)
}

// short is the shorter of two gaps that take turns, seconds.
func (t timing) short() float64 { return t.period / (1 + math.Exp(t.even)) }

// sided reports whether the two rackets, or the two halves, sound different.
func (m *model) sided() bool {
	const least = 2.5 // standard deviations
	return max(m.apart(racket0, racket1), m.apart(bounce0, bounce1)) > least
}

// apart is by how many standard deviations of the one two sounds differ.
func (m *model) apart(a, b state) float64 {
	sum := 0.0
	for _, u := range m.sounds[a].units(&m.sounds[b].mean) {
		sum += u * u
	}
	return math.Sqrt(sum)
}

// distinct is by how many standard deviations the most distinct of rackets and halves
// differs from both of the other kind.
func (m *model) distinct() float64 {
	a, b, c, d := m.apart(racket0, bounce0), m.apart(racket0, bounce1), m.apart(racket1, bounce0), m.apart(racket1, bounce1)
	return max(min(a, b), min(c, d), min(a, c), min(b, d))
}

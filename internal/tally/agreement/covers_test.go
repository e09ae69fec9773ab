package agreement_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/agreement"
)

// sheets is how many invented pairs of coaches are drawn; the figures of DEVELOPERS.md
// are of 2000.
var sheets = flag.Int("sheets", 60, "invented pairs of coaches of TestIntervalsCover")

// pair draws turns that two coaches with habits looked through: the fault comes more
// often in some turns than in others, by a beta distribution, and each coach misses some
// and sees some that are none.
type pair struct {
	turns, strokes     int
	rate, alike        float64
	missed, invented   float64 // by the second
	missed1, invented1 float64 // by the first
}

func (p pair) draw(random *rand.Rand) (turns []agreement.Counts) {
	k := 1/p.alike - 1
	rates := distuv.Beta{Alpha: p.rate * k, Beta: (1 - p.rate) * k, Src: random}
	for range p.turns {
		var c agreement.Counts
		rate := rates.Rand()
		for range p.strokes {
			there := random.Float64() < rate
			c.Add(p.said(there, random.Float64(), random.Float64()))
		}
		turns = append(turns, c)
	}
	return turns
}

func (p pair) said(there bool, first, second float64) agreement.Counts {
	one, two := first < p.invented1, second < p.invented
	if there {
		one, two = first >= p.missed1, second >= p.missed
	}
	switch {
	case one && two:
		return agreement.Counts{Both: 1}
	case one:
		return agreement.Counts{First: 1}
	case two:
		return agreement.Counts{Second: 1}
	}
	return agreement.Counts{Neither: 1}
}

// truth is the coefficient of ever so many strokes.
func (p pair) truth(of agreement.Coefficient) float64 {
	const many = 1e9
	var c agreement.Counts
	for _, there := range []bool{true, false} {
		share, one, two := 1-p.rate, p.invented1, p.invented
		if there {
			share, one, two = p.rate, 1-p.missed1, 1-p.missed
		}
		c.Add(agreement.Counts{Both: int(many * share * one * two), First: int(many * share * one * (1 - two)),
			Second: int(many * share * (1 - one) * two), Neither: int(many * share * (1 - one) * (1 - two))})
	}
	v, _ := of(c)
	return v
}

// An interval of 95 % holds the truth 95 times in 100.
func TestIntervalsCover(t *testing.T) {
	if testing.Short() {
		t.Skip()
	}
	total, held := 0, 0
	for i, p := range []pair{
		{12, 12, 0.2, 0.1, 0.2, 0.02, 0.05, 0.02},
		{24, 12, 0.1, 0.1, 0.2, 0.02, 0.05, 0.02},
		{24, 12, 0.3, 0.2, 0.4, 0.05, 0.1, 0.02},
		{60, 10, 0.05, 0.1, 0.2, 0.01, 0.05, 0.01},
		{10, 20, 0.2, 0.05, 0.2, 0.02, 0.05, 0.02},
	} {
		for name, of := range map[string]agreement.Coefficient{"kappa": agreement.Counts.Kappa, "AC1": agreement.Counts.AC1, "share": agreement.Counts.Share, "positive": agreement.Counts.Positive, "negative": agreement.Counts.Negative} {
			truth, here, in, width := p.truth(of), 0, 0, 0.0
			random := rand.New(rand.NewPCG(uint64(i), 7401))
			for s := range *sheets {
				b, ok := agreement.Around(p.draw(random), of, uint64(s))
				if !ok {
					continue
				}
				here++
				width += b.High - b.Low
				if b.Low <= truth && truth <= b.High {
					in++
				}
			}
			total, held = total+here, held+in
			t.Logf("%d turns of %d, rate %.2f, alike %.2f: %-8s %.3f covered in %.1f %% of %d, half width %.3f", p.turns, p.strokes, p.rate, p.alike, name, truth, 100*float64(in)/float64(here), here, width/float64(2*here))
		}
	}
	covered := float64(held) / float64(total)
	require.InDelta(t, 0.95, covered, 0.02, "covered")
}

// A plan gives about the width that was asked for.
func TestSizeGivesTheWidth(t *testing.T) {
	p := pair{strokes: 12, rate: 0.2, alike: 0.1, missed: 0.2, invented: 0.02, missed1: 0.05, invented1: 0.02}
	kappa := p.truth(agreement.Counts.Kappa)
	_, p.turns = agreement.Plan{Rate: p.rate, Kappa: kappa, Half: 0.1, PerTurn: 12, Alike: agreement.UsualAlike}.Strokes()
	random, widths := rand.New(rand.NewPCG(3, 7402)), 0.0
	const times = 20
	for s := range times {
		b, ok := agreement.Around(p.draw(random), agreement.Counts.Kappa, uint64(s))
		require.True(t, ok)
		widths += (b.High - b.Low) / 2
	}
	t.Logf("%d turns: half width %.3f", p.turns, widths/times)
	require.InDelta(t, 0.1, widths/times, 0.03)
	require.False(t, math.IsNaN(widths))
}

// The same seed gives the same interval, and there is none where nothing differs.
func TestIntervalsAreSeeded(t *testing.T) {
	p := pair{24, 12, 0.2, 0.1, 0.2, 0.02, 0.05, 0.02}
	turns := p.draw(rand.New(rand.NewPCG(1, 1)))
	a, ok := agreement.Around(turns, agreement.Counts.Kappa, 5)
	require.True(t, ok)
	b, _ := agreement.Around(turns, agreement.Counts.Kappa, 5)
	require.Equal(t, a, b)
	c, _ := agreement.Around(turns, agreement.Counts.Kappa, 6)
	require.NotEqual(t, a, c)
	_, ok = agreement.Around(turns[:7], agreement.Counts.Kappa, 5)
	require.False(t, ok, "seven turns")
	same := make([]agreement.Counts, 20)
	for i := range same {
		same[i] = agreement.Counts{Both: 2, Neither: 8}
	}
	_, ok = agreement.Around(same, agreement.Counts.Kappa, 5)
	require.False(t, ok, "nothing differs")
}

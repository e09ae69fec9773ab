package contact

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// magnifier finds the exact moment of a rise in a short cut of sound.
type magnifier struct {
	rate     float64
	before   int // samples of the cut ahead of the frame
	size     int
	fft      *fourier.FFT
	cut, out []float64
	bins     []complex128
	gains    []float64
	power    []float64
}

func newMagnifier(rate int) *magnifier {
	size := smooth(int(.0133 * float64(rate)))
	return &magnifier{
		rate: float64(rate), before: int(.006 * float64(rate)), size: size, fft: fourier.NewFFT(size),
		cut: make([]float64, size), out: make([]float64, size), bins: make([]complex128, size/2+1),
		gains: make([]float64, size/2+1), power: make([]float64, size),
	}
}

// smooth returns the even number at or above n that has no prime factor above 5:
// the transform is fast for those.
func smooth(n int) int {
	for n += n % 2; ; n += 2 {
		rest := n
		for _, p := range []int{2, 3, 5} {
			for rest%p == 0 {
				rest /= p
			}
		}
		if rest == 1 {
			return n
		}
	}
}

// tune sets the filter so that the bands that rise stand out of what was there
// before them: gain² = signal / noise², which lifts the output's ratio of signal to noise
// most (Eckart's filter: Knapp CH, Carter GC (1976), IEEE Trans. ASSP 24(4):320-327),
// between the middles of the bands by interpolation.
func (g *magnifier) tune(net, before [bands]float64) {
	edges := bandEdges()
	var at, level [bands]float64
	for b := range bands {
		width := edges[b+1] - edges[b]
		at[b] = math.Log(math.Sqrt(edges[b] * edges[b+1]))
		level[b] = .5*math.Log(net[b]/width+silence*silence) - math.Log(before[b]/width)
	}
	for i := range g.gains {
		hertz := float64(i) * g.rate / float64(g.size)
		x := math.Log(max(1, hertz))
		b := 0
		for b < bands-2 && x > at[b+1] {
			b++
		}
		w := max(0, min(1, (x-at[b])/(at[b+1]-at[b])))
		l := (1-w)*level[b] + w*level[b+1]
		if hertz < edges[0] {
			l -= 2 * (at[0] - x) // falls with the square below the lowest band
		}
		g.gains[i] = l
	}
	top := math.Inf(-1)
	for _, l := range g.gains {
		top = max(top, l)
	}
	for i, l := range g.gains {
		g.gains[i] = math.Exp(l - top)
	}
}

// look returns the sample of the cut at which the rise begins, and the logarithm
// of the milliseconds that it takes to its loudest.
//
// The filtered cut is split where its two parts' variances are most apart: the
// Akaike criterion on variances by which arrivals of waves are picked (Maeda N
// (1985), A method for reading and checking phase times in autoprocessing system of
// seismic wave data).
func (g *magnifier) look() (split int, attack float64) {
	g.fft.Coefficients(g.bins, g.cut)
	for i, gain := range g.gains {
		g.bins[i] *= complex(gain, 0)
	}
	g.fft.Sequence(g.out, g.bins)
	ms := g.rate / 1000
	for i, v := range g.out {
		g.power[i] = v * v
	}
	// The loudest half millisecond round the frame.
	width := max(2, int(.5*ms))
	sum, best, loudest := 0.0, -1.0, 0
	for i, v := range g.power {
		sum += v
		if i >= width {
			sum -= g.power[i-width]
		}
		if i >= g.before-int(2*ms) && i < g.size-int(1*ms) && sum > best {
			best, loudest = sum, i
		}
	}
	end := loudest + 1
	from := max(int(1*ms), end-int(10*ms)) // the cut's ends wrap round: stay off
	total := 0.0
	for _, v := range g.power[from:end] {
		total += v
	}
	left, least := 0.0, math.Inf(1)
	tiny := 1e-12*total/float64(end-from) + 1e-300
	split = from
	for i := from; i < end-width/2; i++ {
		if i >= from+width {
			n, m := float64(i-from), float64(end-i)
			aic := n*math.Log(left/n+tiny) + m*math.Log(max(0, total-left)/m+tiny)
			if aic < least {
				least, split = aic, i
			}
		}
		left += g.power[i]
	}
	return split, math.Log(float64(max(1, loudest-split)) / ms)
}

// refine looks closely at the rise at frames[k].
func (s *search) refine(k int) (at, attack float64) {
	var net, before [bands]float64
	for b := range bands {
		before[b] = max(s.frames[k-lag].power[b], s.frames[k-lag-1].power[b]) + s.frames[k].floor[b]
		net[b] = max(0, max(s.frames[k].power[b], s.frames[k+1].power[b])-before[b])
	}
	s.magnifier.tune(net, before)
	from := (s.frame+k)*s.spectrum.hop - s.first - s.magnifier.before
	for i := range s.magnifier.cut {
		v := 0.0
		if n := from + i; n >= 0 && n < len(s.samples) {
			v = float64(s.samples[n])
		}
		s.magnifier.cut[i] = v
	}
	split, attack := s.magnifier.look()
	return (float64(s.first+from+split) - .5) / s.rate, attack
}

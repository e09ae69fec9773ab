package contact

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// levels is the number of bands in which the timbre of a candidate is measured: finer
// than those of the search, so that two rackets, or two tables, differ in most of them.
const levels = 16

// Lowest and highest border of these bands, hertz; they are equal steps of pitch.
const lowestLevel, highestLevel = 250., 12500.

// timbre measures the spectrum of what begins at a moment against what sounded before.
type timbre struct {
	rate          float64
	size          int // samples of a cut: about 21 ms, a power of 2
	window        []float64
	both          []complex128
	after, before []float64 // powers of the bins
	edges         [levels + 1]int
	band          [levels]int // of the search, in whose middle it lies
	perHertz      [bands]float64
}

func newTimbre(rate int) *timbre {
	size := 1 << int(math.Round(math.Log2(.0213*float64(rate))))
	t := &timbre{
		rate: float64(rate), size: size, window: make([]float64, size), both: make([]complex128, size),
		after: make([]float64, size/2+1), before: make([]float64, size/2+1),
	}
	sum := 0.0
	for i := range t.window {
		t.window[i] = .5 - .5*math.Cos(2*math.Pi*(float64(i)+.5)/float64(size)) // Hann
		sum += t.window[i] * t.window[i]
	}
	scale := math.Sqrt(2 / (sum * float64(size)))
	for i := range t.window {
		t.window[i] *= scale
	}
	pitch := func(i float64) float64 {
		return lowestLevel * math.Pow(highestLevel/lowestLevel, i/levels)
	}
	for i := range t.edges {
		t.edges[i] = min(size/2, int(math.Round(pitch(float64(i))*float64(size)/float64(rate))))
	}
	coarse := bandEdges()
	for i := range t.band {
		for t.band[i] < bands-1 && pitch(float64(i)+.5) > coarse[t.band[i]+1] {
			t.band[i]++
		}
	}
	for b := range t.perHertz {
		t.perHertz[b] = 1 / (coarse[b+1] - coarse[b])
	}
	return t
}

// measure sets the first features of x: the logarithms of the powers that rose at the
// sample at, as they would be were all bins of a band at the mean of their
// amplitudes: a tone that sounds at the same time spoils its own bins only. samples
// begin with number first; what they do not hold counts as silence.
func (t *timbre) measure(x *[features]float64, samples []float32, first, at int, floor *[bands]float64) {
	from := at - t.size/4 - first
	past := at - t.size - 24 - first
	value := func(i int) float64 {
		if i < 0 || i >= len(samples) {
			return 0
		}
		return float64(samples[i])
	}
	for i, w := range t.window {
		t.both[i] = complex(w*value(from+i), w*value(past+i))
	}
	z := fourier.CoefficientsRadix2(t.both)
	for k := range t.after {
		p, q := z[k], z[(t.size-k)%t.size]
		re, im := real(p)+real(q), imag(p)-imag(q)
		t.after[k] = (re*re + im*im) / 4
		re, im = imag(p)+imag(q), real(q)-real(p)
		t.before[k] = (re*re + im*im) / 4
	}
	hertz := t.rate / float64(t.size)
	for l := range levels {
		a, b := t.edges[l], t.edges[l+1]
		if a == b {
			x[l] = math.Log(absent)
			continue
		}
		n := float64(b - a)
		least := floor[t.band[l]] * t.perHertz[t.band[l]] * hertz
		sum := 0.0
		for k := a; k < b; k++ {
			sum += math.Sqrt(max(0, t.after[k]-t.before[k]) + least)
		}
		x[l] = 2*math.Log(sum/n) + math.Log(n)
	}
}

package contact

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// bands is the number of frequency bands, bandEdges their borders in hertz: from
// the lowest modes of a table to the ball's own sound at 8.5-12 kHz. A band that
// the sample rate cannot hold stays silent.
const bands = 6

func bandEdges() [bands + 1]float64 {
	return [...]float64{250, 600, 1200, 2400, 4500, 8000, 12500}
}

// frame is a short piece of sound seen through the bands.
type frame struct {
	power [bands]float64 // mean square in the band
	floor [bands]float64 // of the noise at that time
	loud  [bands]float64 // ln(1 + power / raised floor): what stands out of the noise
	onset float64        // sum over the bands of the sudden rise of loud
	bins  []float32      // powers of all bins
}

// spectrum cuts frames of 4 to 6 ms, half overlapping, out of samples and
// measures them.
type spectrum struct {
	size, hop int // size is a power of 2
	window    []float64
	edges     [bands + 1]int // bins
	both      []complex128   // two frames, one as real and one as imaginary parts

	seen   int // frames so far
	spares [][]float32
	floor  [bands]float64
}

// silence is -150 dB of full scale: below it nothing is told apart.
const silence = 1e-15

// absent is the power taken for a band that the sample rate cannot hold.
const absent = 1e-10

func newSpectrum(rate int) *spectrum {
	size := 1 << int(math.Round(math.Log2(.0053*float64(rate))))
	s := &spectrum{size: size, hop: size / 2, window: make([]float64, size), both: make([]complex128, size)}
	sum := 0.0
	for i := range s.window {
		s.window[i] = .5 - .5*math.Cos(2*math.Pi*(float64(i)+.5)/float64(size)) // Hann
		sum += s.window[i] * s.window[i]
	}
	// Parseval: with this scale the powers of all bins add up to the mean square.
	scale := math.Sqrt(2 / (sum * float64(size)))
	for i := range s.window {
		s.window[i] *= scale
	}
	for b, hertz := range bandEdges() {
		s.edges[b] = min(size/2, int(math.Round(hertz*float64(size)/float64(rate))))
	}
	return s
}

// Constants of the filter bank, chosen by TestTable on the tuning seeds.
const (
	floorShare = .4 // the noise floor is this quantile of the frames' powers
	floorStep  = .02
	floorRaise = 2 // rises are measured above this many times the floor
)

// spare returns room for the bins of a frame: that of one given up, or new.
func (s *spectrum) spare() []float32 {
	if n := len(s.spares); n > 0 {
		room := s.spares[n-1]
		s.spares = s.spares[:n-1]
		return room
	}
	return make([]float32, s.size/2+1)
}

// pair measures two frames that follow each other, a hop apart. One transform of
// complex numbers does for both: of the sum of a real and an imaginary sequence,
// the transforms are the parts with and without conjugate symmetry.
func (s *spectrum) pair(samples []float32) (first, second frame) {
	for i, w := range s.window {
		s.both[i] = complex(w*float64(samples[i]), w*float64(samples[s.hop+i]))
	}
	z := fourier.CoefficientsRadix2(s.both)
	a, b := s.spare(), s.spare()
	for k := range a {
		p, q := z[k], z[(s.size-k)%s.size]
		re, im := real(p)+real(q), imag(p)-imag(q)
		a[k] = float32((re*re + im*im) / 4)
		re, im = imag(p)+imag(q), real(q)-real(p)
		b[k] = float32((re*re + im*im) / 4)
	}
	return s.measure(a), s.measure(b)
}

// measure makes a frame of the powers of its bins.
func (s *spectrum) measure(bins []float32) frame {
	f := frame{bins: bins}
	// A quantile is followed by steps whose sizes up and down balance there;
	// large ones at first.
	step := max(floorStep, 2/(1+float64(s.seen)/4))
	for b := range bands {
		p := silence
		for _, v := range f.bins[s.edges[b]:s.edges[b+1]] {
			p += float64(v)
		}
		f.power[b] = p
		switch {
		case s.seen == 0:
			s.floor[b] = p
		case p > s.floor[b]:
			s.floor[b] *= math.Exp(step * floorShare)
		default:
			s.floor[b] *= math.Exp(-step * (1 - floorShare))
		}
		f.floor[b] = s.floor[b]
		f.loud[b] = math.Log1p(p / (floorRaise * s.floor[b]))
	}
	s.seen++
	return f
}

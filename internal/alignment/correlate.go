package alignment

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// pieceSeconds is how much of the shorter recording is correlated at once with the whole of
// the other: clocks that drift by [MaxDrift] come 0.18 s apart in it.
const pieceSeconds = 600

// apart is how far apart two peaks lie at least, seconds: twice the way of sound between
// microphones 6 m apart, and what clocks drift by in half a piece.
const apart = 2*6*SoundPerMetre + MaxDrift*pieceSeconds/2

// proposals are offsets at which the two may belong together, the likeliest first.
func proposals(first, second Sound) (out []proposal) {
	swapped := len(first.Peaks) < len(second.Peaks)
	if swapped {
		first, second = second, first
	}
	long, short := rises(first.Peaks), rises(second.Peaks)
	var all []proposal
	const piece = pieceSeconds * PeaksPerSecond
	for from := 0; from < len(short); from += piece {
		to := min(from+piece, len(short))
		if from > 0 && to-from < piece/4 {
			break // the last bit alone tells little
		}
		for _, p := range correlated(long, short[from:to]) {
			q := proposal{float64(p.lag-from) / PeaksPerSecond, float64(from+to) / 2 / PeaksPerSecond, p.height}
			if swapped {
				q.offset, q.around = -q.offset, q.around+q.offset
			}
			all = append(all, q)
		}
	}
	slices.SortFunc(all, func(a, b proposal) int { return cmp.Compare(b.height, a.height) })
	for _, p := range all {
		if !slices.ContainsFunc(out, func(o proposal) bool { return math.Abs(o.offset-p.offset) < apart+MaxDrift*math.Abs(o.around-p.around) }) {
			out = append(out, p)
		}
		if len(out) == tries {
			break
		}
	}
	return out
}

// quietest is -60 dB of full scale, the noise of a phone.
const quietest = 1e-3

// rises is by how much the loudness rises, in logarithms: what begins stands out of what
// rings on, however loud it is. Falls are nothing.
func rises(peaks []float32) []float64 {
	out := make([]float64, len(peaks))
	before := math.Log(quietest)
	for i, p := range peaks {
		l := math.Log(max(quietest, float64(p)))
		out[i] = max(0, l-before)
		before = max(l, before-.15) // rooms fall by no more than 130 dB a second
	}
	return out
}

// peak is a place of a correlation: how many steps the short one is moved, and how well it
// fits there.
type peak struct {
	lag    int
	height float64
}

// proposal is where two recordings may lie to each other: Offset at one moment of the
// second, round which it was found.
type proposal struct{ offset, around, height float64 }

// correlated are the highest peaks of the whitened correlation of a short sequence with a
// long one, [tries] at most.
func correlated(long, short []float64) []peak {
	size := 1
	for size < len(long)+len(short) {
		size *= 2
	}
	// One transform of complex numbers does for both real sequences: the parts with and
	// without conjugate symmetry.
	both := make([]complex128, size)
	for i, v := range long {
		both[i] = complex(v, 0)
	}
	for i, v := range short {
		both[i] += complex(0, v)
	}
	z := fourier.CoefficientsRadix2(both)
	cross := make([]complex128, size)
	for k := range cross {
		p, q := z[k], z[(size-k)%size]
		q = complex(real(q), -imag(q))
		a, b := (p+q)/2, (p-q)/2i
		c := a * complex(real(b), -imag(b))
		if m := math.Hypot(real(c), imag(c)); m > 0 && k > 0 {
			cross[k] = c / complex(m, 0)
		}
	}
	c := fourier.SequenceRadix2(cross)
	// What drifts is spread over some steps: the mean of these is compared.
	wide := 1 + int(MaxDrift/2*float64(len(short)))
	at := func(i int) float64 { return real(c[(i+size)%size]) }
	sum := 0.0
	for i := -wide; i <= wide; i++ {
		sum += at(i - len(short))
	}
	var all []peak
	for lag := -len(short); lag <= len(long); lag++ {
		all = append(all, peak{lag, sum})
		sum += at(lag+1+wide) - at(lag-wide)
	}
	return highest(all)
}

// highest are the highest of all, [tries] at most, none within [apart] of a higher one.
func highest(all []peak) (out []peak) {
	near := int(math.Round(apart * PeaksPerSecond))
	// A peak is the highest within reach; those that are not cannot be among the answers.
	var tops []peak
	for from := 0; from < len(all); from += near {
		to := min(from+near, len(all))
		tops = append(tops, slices.MaxFunc(all[from:to], func(a, b peak) int { return cmp.Compare(a.height, b.height) }))
	}
	slices.SortFunc(tops, func(a, b peak) int { return cmp.Compare(b.height, a.height) })
	for _, p := range tops {
		if !slices.ContainsFunc(out, func(o peak) bool { return max(o.lag-p.lag, p.lag-o.lag) < near }) {
			out = append(out, p)
		}
		if len(out) == tries {
			break
		}
	}
	return out
}

package listening

import (
	"math"
)

// peaksPerSecond is fine enough to see the contacts of a rally apart.
const peaksPerSecond = 100

// wave is how loud a sound is: the highest sample of each hundredth of a second
// from the first picture on. A peak is kept in a byte by its square root, which is
// finer where it is quiet: 720 kB for two hours.
type wave []byte

// add puts in samples of which the first sounds at a clip time; what sounds before
// the first picture is not shown.
func (w *wave) add(samples []float32, first float64, rate int) {
	for i, s := range samples {
		at := int(math.Floor((first + float64(i)/float64(rate)) * peaksPerSecond))
		if at < 0 {
			continue
		}
		for len(*w) <= at {
			*w = append(*w, 0)
		}
		(*w)[at] = max((*w)[at], byte(math.Ceil(255*math.Sqrt(math.Min(1, math.Abs(float64(s)))))))
	}
}

// between is the highest peak, 0 to 1, of each of bins equal stretches of clip
// time; zero where nothing is known. A stretch finer than a peak holds the peak it
// lies in.
func (w wave) between(from, to float64, bins int) []float32 {
	out := make([]float32, bins)
	step := (to - from) / float64(bins)
	for i := range out {
		a := int(math.Floor((from + float64(i)*step) * peaksPerSecond))
		b := int(math.Ceil((from + float64(i+1)*step) * peaksPerSecond))
		for at := max(0, a); at < max(b, a+1) && at < len(w); at++ {
			root := float32(w[at]) / 255
			out[i] = max(out[i], root*root)
		}
	}
	return out
}

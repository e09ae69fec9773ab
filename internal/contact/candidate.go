package contact

import "math"

// features is the length of what is measured of a candidate: the level in each
// band, the decay of the low and of the high bands, the sharpness of the start.
const features = bands + 3

// candidate is a sudden sound that may be a contact.
type candidate struct {
	at       float64 // seconds from the first sample
	x        [features]float64
	strength float64 // the onset function at its peak
}

// Constants of the search, chosen by TestTable on the tuning seeds.
const (
	lag        = 2   // frames back that a rise is measured over: no overlap
	reach      = 4   // frames on each side in which a candidate is the largest rise
	tail       = 14  // frames after a candidate that its decay is measured on
	around     = 24  // frames on each side of the adaptive threshold
	least      = 1.5 // smallest rise, sum of nats over the bands
	overAround = 1.5 // and this many times the mean rise round it
)

// search turns a stream of samples into candidates. It holds on to about a tenth
// of a second.
type search struct {
	rate     float64
	spectrum *spectrum
	samples  []float32 // not yet given up
	first    int       // number of samples[0] in the stream
	frames   []frame   // not yet given up
	frame    int       // number of frames[0] in the stream
	looked   int       // number of the next frame to be judged
}

func newSearch(rate int) *search {
	return &search{rate: float64(rate), spectrum: newSpectrum(rate)}
}

// write takes samples and returns the candidates that are complete.
func (s *search) write(samples []float32) []candidate {
	s.samples = append(s.samples, samples...)
	size, hop := s.spectrum.size, s.spectrum.hop
	for {
		from := (s.frame+len(s.frames))*hop - s.first
		if from+size > len(s.samples) {
			break
		}
		f := s.spectrum.next(s.samples[from : from+size])
		if n := len(s.frames); n > lag {
			for b := range bands {
				before := max(s.frames[n-lag].loud[b], s.frames[n-lag-1].loud[b])
				f.onset += max(0, f.loud[b]-before)
			}
		}
		s.frames = append(s.frames, f)
	}
	out := s.judge(s.frame + len(s.frames) - around)
	s.forget()
	return out
}

// finish judges what waits for frames that will not come: it lets silence follow.
func (s *search) finish() []candidate {
	return s.write(make([]float32, (around+2)*s.spectrum.hop+s.spectrum.size))
}

func (s *search) judge(until int) []candidate {
	var out []candidate
	for ; s.looked < until; s.looked++ {
		k := s.looked - s.frame
		if k < lag+1 {
			continue
		}
		if s.peak(k) {
			out = append(out, s.measure(k))
		}
	}
	return out
}

func (s *search) peak(k int) bool {
	o := s.frames[k].onset
	if o < least {
		return false
	}
	for i := max(0, k-reach); i <= k+reach; i++ {
		if s.frames[i].onset > o || s.frames[i].onset == o && i < k {
			return false
		}
	}
	sum, n := 0.0, 0
	for i := max(0, k-around); i < k+around && i < len(s.frames); i++ {
		sum += s.frames[i].onset
		n++
	}
	return o > overAround*sum/float64(n)
}

// measure describes the rise at frames[k].
func (s *search) measure(k int) candidate {
	c := candidate{strength: s.frames[k].onset}
	var rest, peak [2]float64
	for b := range bands {
		before := max(s.frames[k-lag].power[b], s.frames[k-lag-1].power[b])
		top := 0.0
		for _, f := range s.frames[k : k+3] {
			top = max(top, f.power[b])
		}
		net := max(0, top-before)
		c.x[b] = math.Log(net + s.frames[k].floor[b])
		group := 0
		if b > 1 {
			group = 1
		}
		peak[group] += net + s.frames[k].floor[b]
		for _, f := range s.frames[k+5 : k+9] {
			rest[group] += max(0, f.power[b]-before)/4 + .1*f.floor[b]
		}
	}
	for g := range peak {
		c.x[bands+g] = math.Log(rest[g] / peak[g])
	}
	c.at, c.x[bands+2] = s.refine(s.looked)
	return c
}

// refine finds the first moment of the rise in frame k of the stream, and the
// logarithm of the time that it takes to its loudest, in milliseconds.
//
// The samples, differenced so that the highs count, are split where the two
// parts' variances are most apart (the Akaike criterion on variances by which
// arrivals of waves are picked: Maeda N (1985), from memory).
func (s *search) refine(k int) (at, attack float64) {
	ms := s.rate / 1000
	from := max(1, k*s.spectrum.hop-s.first-int(4*ms))
	to := min(len(s.samples), k*s.spectrum.hop-s.first+s.spectrum.size+int(2*ms))
	d := make([]float64, to-from)
	for i := range d {
		d[i] = float64(s.samples[from+i] - s.samples[from+i-1])
		d[i] *= d[i]
	}
	// The loudest half millisecond.
	width := max(2, int(.5*ms))
	sum, best, loudest := 0.0, -1.0, 0
	for i, v := range d {
		sum += v
		if i >= width {
			sum -= d[i-width]
		}
		if sum > best {
			best, loudest = sum, i
		}
	}
	end := min(len(d), loudest+1)
	total := 0.0
	for _, v := range d[:end] {
		total += v
	}
	guard := width
	left, split, least := 0.0, 0, math.Inf(1)
	for i := 0; i < end-guard/2; i++ {
		if i >= guard {
			n, m := float64(i), float64(end-i)
			aic := n*math.Log(left/n+silence/1e4) + m*math.Log(max(0, total-left)/m+silence/1e4)
			if aic < least {
				least, split = aic, i
			}
		}
		left += d[i]
	}
	return (float64(s.first+from+split) - .5) / s.rate, math.Log(float64(max(1, loudest-split)) / ms)
}

// forget gives up what no candidate to come can reach.
func (s *search) forget() {
	if n := s.looked - around - lag - 2 - s.frame; n > 4*around {
		s.frames = append(s.frames[:0], s.frames[n:]...)
		s.frame += n
		keep := s.frame*s.spectrum.hop - s.first - int(.006*s.rate)
		if keep > 0 {
			s.samples = append(s.samples[:0], s.samples[keep:]...)
			s.first += keep
		}
	}
}

package contact

import "math"

// What is measured of a candidate, all logarithms: the level in each band, then
// these.
const (
	lowDecay   = levels + iota // energy left after 13-24 ms, lower bands
	highDecay                  // and upper bands
	attack                     // time to the loudest moment
	suddenness                 // rise over the noise, all bands together
	standing                   // level above the loudest of the 60 ms before, mean of the bands
	room                       // energy left after 25-50 ms, all bands
	features
)

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
	least      = 2.4 // smallest rise, sum of nats over the bands
	fade       = .02 // seconds in which what rang before is expected to fall to 1/e
	loudest    = 100 // times full scale
	overAround = 1.5 // and this many times the mean rise round it
)

// search turns a stream of samples into candidates. It holds on to about a tenth
// of a second.
type search struct {
	rate      float64
	spectrum  *spectrum
	magnifier *magnifier
	timbre    *timbre
	samples   []float32 // not yet given up
	first     int       // number of samples[0] in the stream
	frames    []frame   // not yet given up
	frame     int       // number of frames[0] in the stream
	looked    int       // number of the next frame to be judged
}

func newSearch(rate int) *search {
	return &search{rate: float64(rate), spectrum: newSpectrum(rate), magnifier: newMagnifier(rate), timbre: newTimbre(rate)}
}

// write takes samples and returns the candidates that are complete.
func (s *search) write(samples []float32) []candidate {
	var out []candidate
	const piece = 1 << 13 // keeps what is held small, however much comes at once
	for len(samples) > 0 {
		n := min(piece, len(samples))
		out = append(out, s.take(samples[:n])...)
		samples = samples[n:]
	}
	return out
}

func (s *search) take(samples []float32) []candidate {
	for _, v := range samples {
		if !(v > -loudest && v < loudest) { // broken: not a number, or beyond reason
			v = 0
		}
		s.samples = append(s.samples, v)
	}
	size, hop := s.spectrum.size, s.spectrum.hop
	for {
		from := (s.frame+len(s.frames))*hop - s.first
		if from+hop+size > len(s.samples) {
			break
		}
		first, second := s.spectrum.pair(s.samples[from:])
		s.add(first)
		s.add(second)
	}
	out := s.judge(s.frame + len(s.frames) - around)
	s.forget()
	return out
}

// add appends a frame and finds its rise.
func (s *search) add(f frame) {
	if n := len(s.frames); n > lag {
		for b := range bands {
			before := max(s.frames[n-lag].loud[b], s.frames[n-lag-1].loud[b])
			f.onset += max(0, f.loud[b]-before)
		}
	}
	s.frames = append(s.frames, f)
}

// finish judges what waits for frames that will not come: it lets silence follow.
func (s *search) finish() []candidate {
	return s.write(make([]float32, (around+4)*s.spectrum.hop+s.spectrum.size))
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
	late := 0.0
	for b := range bands {
		floor := s.frames[k].floor[b]
		before := max(s.frames[k-lag].power[b], s.frames[k-lag-1].power[b])
		top := 0.0
		for _, f := range s.frames[k : k+3] {
			top = max(top, f.power[b])
		}
		net := max(0, top-before)
		group := 0
		if b > 1 {
			group = 1
		}
		peak[group] += net + floor
		for _, f := range s.frames[k+5 : k+9] {
			rest[group] += max(0, f.power[b]-before)/4 + .1*floor
		}
		for _, f := range s.frames[k+10 : k+20] {
			late += max(0, f.power[b]-before)/10 + .01*floor
		}
		past := 0.0
		for i := max(0, k-around); i < k-1; i++ {
			age := float64(k-lag-i) * float64(s.spectrum.hop) / s.rate
			past = max(past, s.frames[i].power[b]*math.Exp(-age/fade))
		}
		c.x[standing] += math.Log((top+floor)/(past+floor)) / bands
	}
	c.x[lowDecay] = math.Log(rest[0] / peak[0])
	c.x[highDecay] = math.Log(rest[1] / peak[1])
	c.x[suddenness] = math.Log(c.strength)
	c.x[room] = math.Log(late / (peak[0] + peak[1]))
	c.at, c.x[attack] = s.refine(k)
	s.timbre.measure(&c.x, s.samples, s.first, int(math.Round(c.at*s.rate)), &s.frames[k].floor)
	return c
}

// forget gives up what no candidate to come can reach.
func (s *search) forget() {
	if n := s.looked - around - lag - 2 - s.frame; n > 4*around {
		for _, f := range s.frames[:n] {
			s.spectrum.spares = append(s.spectrum.spares, f.bins)
		}
		s.frames = append(s.frames[:0], s.frames[n:]...)
		s.frame += n
		keep := s.frame*s.spectrum.hop - s.first - int(.010*s.rate)
		if keep > 0 {
			s.samples = append(s.samples[:0], s.samples[keep:]...)
			s.first += keep
		}
	}
}

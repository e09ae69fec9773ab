package alignment

import (
	"math"
	"slices"
)

// reach is how far from the line two sharp sounds are taken for the same, seconds: what
// stands between two microphones 6 m apart is up to 17 ms early or late.
const reach = .02

// pair is one sharp sound as both heard it, seconds of each.
type pair struct{ first, second float64 }

// line lays the second recording onto the first: offset + slope (b - around) is how much
// later than b the first one's moment is.
type line struct {
	offset, slope, around float64
	pairs                 []pair // matched one to one
}

func (l line) at(second float64) float64 { return second + l.offset + l.slope*(second-l.around) }

// off is how far a pair lies from the line, seconds.
func (l line) off(p pair) float64 { return p.first - l.at(p.second) }

// matchNear lays the line that matches most sharp sounds near a proposal.
func matchNear(first, second []float64, p proposal) line {
	l := most(first, second, p)
	for range 3 {
		l.pairs = l.match(first, second)
		if len(l.pairs) < 3 {
			return l
		}
		l.refine()
	}
	l.pairs = l.match(first, second)
	return l
}

// most goes through all lines near a proposal and takes the one near which most pairs lie,
// each sound with any other: a Hough transform.
func most(first, second []float64, p proposal) line {
	const step, wide = .005, 2 // seconds; bins on each side that count as well
	around := 0.0
	for _, b := range second {
		around = max(around, math.Abs(b-p.around))
	}
	slopes := int(MaxDrift * around / step)
	half := int(math.Round(apart / step / 2))
	counts := make([]int, (2*slopes+1)*(2*half+1))
	from := 0
	for _, b := range second {
		drifts := MaxDrift * math.Abs(b-p.around)
		at, within := b+p.offset, apart/2+drifts
		for from < len(first) && first[from] < at-apart/2-MaxDrift*around {
			from++
		}
		for _, a := range first[from:] {
			if a > at+within {
				break
			}
			for s := -slopes; s <= slopes; s++ {
				drift := 0.0
				if slopes > 0 {
					drift = MaxDrift * float64(s) / float64(slopes) * (b - p.around)
				}
				if k := int(math.Round((a - at - drift) / step)); k >= -half && k <= half {
					counts[(s+slopes)*(2*half+1)+k+half]++
				}
			}
		}
	}
	l := line{offset: p.offset, around: p.around}
	best := -1
	for s := -slopes; s <= slopes; s++ {
		row := counts[(s+slopes)*(2*half+1):][:2*half+1]
		for k := range row {
			sum := 0
			for _, n := range row[max(0, k-wide):min(len(row), k+wide+1)] {
				sum += 2 * n
			}
			sum += row[k] // in the midst
			if sum > best {
				best = sum
				l.offset = p.offset + step*float64(k-half)
				l.slope = 0
				if slopes > 0 {
					l.slope = MaxDrift * float64(s) / float64(slopes)
				}
			}
		}
	}
	return l
}

// match pairs sounds that are each other's nearest, within reach of the line.
func (l line) match(first, second []float64) (out []pair) {
	nearest := func(all []float64, t float64) int {
		i, _ := slices.BinarySearch(all, t)
		if i > 0 && (i == len(all) || t-all[i-1] < all[i]-t) {
			i--
		}
		return i
	}
	onFirst := make([]float64, len(second))
	for j, b := range second {
		onFirst[j] = l.at(b)
	}
	for j, t := range onFirst {
		i := nearest(first, t)
		if math.Abs(first[i]-t) <= reach && nearest(onFirst, first[i]) == j {
			out = append(out, pair{first[i], second[j]})
		}
	}
	return out
}

// clear is by how many standard deviations more sounds are matched than chance matches
// where so many come a second in the minutes that both share.
func (l line) clear(first, second []float64) float64 {
	from, to := max(l.at(second[0]), first[0]), min(l.at(second[len(second)-1]), first[len(first)-1])
	count := func(all []float64, from, to float64) float64 {
		i, _ := slices.BinarySearch(all, from)
		j, _ := slices.BinarySearch(all, to)
		return float64(j - i)
	}
	if to <= from {
		return 0
	}
	of, among := count(second, from-l.at(0), to-l.at(0)), count(first, from, to)
	const fewestByChance = 4 // where few come, chance is no normal distribution
	chance := of * min(1, 2*reach*among/(to-from))
	return (float64(len(l.pairs)) - chance) / math.Sqrt(max(fewestByChance, chance))
}

// refine lays the line anew through its pairs, by Tukey's biweight: pairs that lie far
// off, as sounds that only look the same do, count nothing. It begins in the middle of
// them, so that what comes out does not depend on where the line was.
func (l *line) refine() {
	const rounds, tuning = 20, 4.685 // 95 % efficiency for normal errors: Beaton and Tukey (1974)
	off := make([]float64, len(l.pairs))
	for i, p := range l.pairs {
		off[i] = l.off(p)
	}
	slices.Sort(off)
	l.offset += off[len(off)/2]
	for range rounds {
		for i, p := range l.pairs {
			off[i] = math.Abs(l.off(p))
		}
		slices.Sort(off)
		scale := max(.0005, off[len(off)/2]/.6745) // median absolute deviation as a standard deviation
		weight := func(p pair) float64 {
			u := l.off(p) / (tuning * scale)
			if u *= u; u < 1 {
				return (1 - u) * (1 - u)
			}
			return 0
		}
		offset, slope, ok := weighted(l.pairs, weight, l.around)
		if !ok {
			return
		}
		moved := math.Abs(offset-l.offset) + math.Abs(slope-l.slope)*pieceSeconds
		l.offset, l.slope = offset, max(-MaxDrift, min(MaxDrift, slope))
		if moved < 1e-7 {
			return
		}
	}
}

// weighted is the line of least squares; false where the pairs bear none.
func weighted(pairs []pair, weight func(pair) float64, around float64) (offset, slope float64, ok bool) {
	var n, x, y, xx, xy float64
	for _, p := range pairs {
		w, a, b := weight(p), p.second-around, p.first-p.second
		n, x, y, xx, xy = n+w, x+w*a, y+w*b, xx+w*a*a, xy+w*a*b
	}
	spread := n*xx - x*x
	if !(n > 0 && spread > 1e-6*n*n) {
		return 0, 0, false
	}
	slope = (n*xy - x*y) / spread
	return (y - slope*x) / n, slope, true
}

// sharpen turns the line so that what comes from one place is equally late throughout. The
// places that sound are narrow and all of them together are wide, so where most sounds are
// as late as others, the clocks are right; who plays when then does not bend them.
func (l *line) sharpen() {
	const farthest, steps = .005, 20 // seconds at the ends
	long := 0.0
	for _, p := range l.pairs {
		long = max(long, math.Abs(p.second-l.around))
	}
	best, slope := 0.0, l.slope
	for k := -steps; k <= steps; k++ {
		tilted := *l
		tilted.slope += farthest / long * float64(k) / steps
		var counts [bins + 1]float64
		for _, p := range l.pairs {
			at := min(bins-.001, max(0, tilted.off(p)/bin+bins/2))
			n, part := int(at), at-math.Floor(at)
			counts[n] += 1 - part
			counts[n+1] += part
		}
		sum := 0.0
		for n := 2; n <= bins-2; n++ {
			near := counts[n] + counts[n-1] + counts[n+1] + (counts[n-2]+counts[n+2])/2
			sum += near * near
		}
		if sum > best {
			best, slope = sum, tilted.slope
		}
	}
	l.slope = slope
}

// fit is the line as it is told, through where the filmed table sounds, with its half
// widths: those of a jackknife over twelve stretches of time, since sounds that come together
// come from one place (Quenouille MH (1956), Biometrika 43:353-360).
func (l line) fit(first, second Sound) Fit {
	const stretches, deviations = 12, 2.2 // Student's t of 11 degrees of freedom, 95 %
	begin, end := l.pairs[0].second, l.pairs[len(l.pairs)-1].second
	l.sharpen()
	late, open := l.filmed(first, second)
	f := Fit{Offset: l.at(0) + late, Drift: l.slope, Matched: len(l.pairs)}
	var starts, ends, slopes []float64
	for k := range stretches {
		from, to := begin+(end-begin)*float64(k)/stretches, begin+(end-begin)*float64(k+1)/stretches
		without := l
		without.pairs = slices.DeleteFunc(slices.Clone(l.pairs), func(p pair) bool { return p.second >= from && p.second < to })
		if len(without.pairs) < 3 || len(without.pairs) == len(l.pairs) {
			continue
		}
		without.refine()
		without.sharpen()
		late, _ := without.filmed(first, second)
		starts, ends, slopes = append(starts, without.at(begin)+late), append(ends, without.at(end)+late), append(slopes, without.slope)
	}
	f.OffsetHalf = math.Hypot(open, deviations*max(jackknifed(starts), jackknifed(ends)))
	f.DriftHalf = deviations * jackknifed(slopes)
	return f
}

// jackknifed is the standard error by what comes out without each part.
func jackknifed(without []float64) float64 {
	n, mean, sum := float64(len(without)), 0.0, 0.0
	for _, v := range without {
		mean += v / n
	}
	for _, v := range without {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt((n - 1) / n * sum)
}

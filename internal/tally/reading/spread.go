package reading

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/club"
)

// leastFree is how many degrees of freedom an interval or a difference takes. With fewer
// the cluster bootstrap covers too little; see TestIntervalsHold.
const leastFree = 4

// lines are the measures of some turns.
func lines(turns []Turn, everybody bool) []Line {
	out := []Line{}
	for _, m := range club.Measures() {
		l := Line{Measure: m, Unit: m.Unit()}
		s := sample{clips: map[club.ID]common{}}
		players := map[club.ID]bool{}
		alike, units := alikeIn(turns, m, everybody), map[string]int{}
		for i, t := range turns {
			if len(t.Values[m]) == 0 {
				continue
			}
			l.Turns++
			players[t.PlayerID] = true
			unit, ok := units[alike(i)]
			if !ok {
				unit = s.units
				units[alike(i)] = unit
				s.units++
			}
			for _, v := range t.Values[m] {
				s.all = append(s.all, one{v, unit})
			}
			c := s.clips[t.ClipID]
			s.clips[t.ClipID] = common{c.strokes + len(t.Values[m]), t.Shared[m]}
		}
		if len(s.all) == 0 {
			continue
		}
		slices.SortFunc(s.all, func(a, b one) int { return cmp.Compare(a.v, b.v) })
		l.Strokes, l.Players = len(s.all), len(players)
		l.Low, l.Median, l.High = s.quantile(.25), s.quantile(.5), s.quantile(.75)
		if half, ok := s.half(); ok {
			l.Half = &half
		}
		l.Say = l.words()
		out = append(out, l)
	}
	return out
}

// alikeIn says of which unit a turn is: the strokes of a unit are alike. Units are
// players, in everybody's sheet; where there are enough, days; else turns.
func alikeIn(turns []Turn, m club.Measure, everybody bool) func(i int) string {
	if everybody {
		return func(i int) string { return string(turns[i].PlayerID) }
	}
	days := map[club.Date]bool{}
	for _, t := range turns {
		if len(t.Values[m]) > 0 {
			days[t.Date] = true
		}
	}
	if len(days) >= leastDays {
		return func(i int) string { return string(turns[i].Date) }
	}
	return strconv.Itoa
}

// one is a value and its unit.
type one struct {
	v    float64
	unit int
}

// common is how many strokes a clip has, and the error that they share.
type common struct {
	strokes int
	sd      float64
}

// sample are the values of a group, in order.
type sample struct {
	all   []one
	units int
	clips map[club.ID]common
}

// quantile is between the two values round the place, as Hyndman and Fan (1996), The
// American Statistician 50:361-365, definition 7.
func (s *sample) quantile(p float64) float64 {
	at := p * float64(len(s.all)-1)
	low := int(at)
	high := min(low+1, len(s.all)-1)
	return s.all[low].v + (at-float64(low))*(s.all[high].v-s.all[low].v)
}

// half is half of the interval of 95 % round the median. Units are drawn anew, each with
// all of its strokes (Field and Welsh 2007, JRSS B 69:369-390, the cluster bootstrap);
// the spread of their medians is widened for few units (by the root of n over n-1, and
// Student's t in place of the normal: Cameron, Gelbach and Miller 2008, Review of
// Economics and Statistics 90:414-427), whose number is that of equally large ones. The
// error that the strokes of a clip share is added: drawing turns does not show it.
func (s *sample) half() (float64, bool) {
	sizes := make([]float64, s.units)
	for _, o := range s.all {
		sizes[o.unit]++
	}
	var squares float64
	for _, n := range sizes {
		squares += n * n
	}
	n := float64(len(s.all))
	effective := n * n / squares
	if effective-1 < leastFree {
		return 0, false
	}
	const draws = 300
	rng := rand.New(rand.NewPCG(uint64(len(s.all)), uint64(s.units))) // the same each time
	var sum, sum2 float64
	times := make([]int, s.units)
	for range draws {
		clear(times)
		for range s.units {
			times[rng.IntN(s.units)]++
		}
		m := s.medianOf(times)
		sum, sum2 = sum+m, sum2+m*m
	}
	mean := sum / draws
	variance := max(0, sum2/draws-mean*mean) * effective / (effective - 1)
	for _, c := range s.clips {
		share := float64(c.strokes) / n * c.sd
		variance += share * share
	}
	return student(effective-1) * math.Sqrt(variance), true
}

// medianOf is the median where each unit counts so many times.
func (s *sample) medianOf(times []int) float64 {
	total := 0
	for _, o := range s.all {
		total += times[o.unit]
	}
	seen := 0
	for i, o := range s.all {
		seen += times[o.unit]
		if 2*seen < total || times[o.unit] == 0 {
			continue
		}
		if 2*seen > total {
			return o.v
		}
		for _, next := range s.all[i+1:] {
			if times[next.unit] > 0 {
				return (o.v + next.v) / 2
			}
		}
	}
	return s.all[len(s.all)-1].v
}

// student is the quantile of Student's t distribution that an interval of 95 % takes.
func student(free float64) float64 { return distuv.StudentsT{Sigma: 1, Nu: free}.Quantile(.975) }

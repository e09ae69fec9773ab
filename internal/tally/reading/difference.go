package reading

import (
	"math"
	"slices"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
)

// What a difference takes; of fewer it cannot be told yet.
const (
	leastTurns   = 4  // of each method, on days that have both
	leastStrokes = 20 // of each method on these days
	inTurn       = 3  // strokes, for a turn's median to count
	leastDays    = 5
)

// middle is a turn's median.
type middle struct {
	at        float64
	strokes   int
	clip      club.ID
	date      club.Date
	shared    float64
	irregular float64 // 1, or 0 for a regular drill
}

// methods is how much farther irregular drills lie than regular ones, from the medians of
// turns, with an effect of its own for every day (of which those with both methods
// count), so that neither a day nor where its camera stood makes a difference: least
// squares with fixed effects (Wooldridge 2010, Econometric Analysis of Cross Section and
// Panel Data, 10.5), and what a clip's camera adds to all of its turns. It is nil where
// one of the methods was not measured.
func methods(m club.Measure, turns []Turn, method func(Turn) club.Method) *Difference {
	byDay := map[club.Date][2][]middle{}
	var any [2]bool
	for _, t := range turns {
		v := t.Values[m]
		kind := slices.Index([]club.Method{club.Regular, club.Irregular}, method(t))
		if kind < 0 || len(v) == 0 {
			continue
		}
		any[kind] = true
		if len(v) >= inTurn {
			day := byDay[t.Date]
			day[kind] = append(day[kind], middle{medianOf(v), len(v), t.ClipID, t.Date, t.Shared[m], float64(kind)})
			byDay[t.Date] = day
		}
	}
	if !any[0] || !any[1] {
		return nil
	}
	var all []middle // of days with both
	var strokes, number [2]int
	days := 0
	for _, day := range byDay {
		if len(day[0]) == 0 || len(day[1]) == 0 {
			continue
		}
		days++
		for kind, list := range day {
			number[kind] += len(list)
			for _, t := range list {
				strokes[kind] += t.strokes
				all = append(all, t)
			}
		}
	}
	free := float64(len(all) - days - 1)
	if min(number[0], number[1]) < leastTurns || min(strokes[0], strokes[1]) < leastStrokes || free < leastFree {
		return &Difference{}
	}
	meanX, meanY := map[club.Date]float64{}, map[club.Date]float64{}
	count := map[club.Date]float64{}
	for _, t := range all {
		count[t.date]++
	}
	for _, t := range all {
		meanX[t.date] += t.irregular / count[t.date]
		meanY[t.date] += t.at / count[t.date]
	}
	var xx, xy float64
	for _, t := range all {
		x := t.irregular - meanX[t.date]
		xx, xy = xx+x*x, xy+x*t.at
	}
	by := xy / xx
	var rest float64
	shared, weight := map[club.ID]float64{}, map[club.ID]float64{}
	for _, t := range all {
		x := t.irregular - meanX[t.date]
		e := t.at - meanY[t.date] - by*x
		rest += e * e
		shared[t.clip], weight[t.clip] = t.shared, weight[t.clip]+x/xx
	}
	variance := rest / free / xx
	for clip, w := range weight {
		variance += w * w * shared[clip] * shared[clip]
	}
	return tell(by, variance, free)
}

// days is how much farther the last day lies than the first by the line through the
// medians of all days, and nil on one day. What a day's cameras add lies in how far days
// are off that line.
func days(m club.Measure, turns []Turn) *Difference {
	byDay := map[club.Date][]float64{}
	for _, t := range turns {
		if len(t.Values[m]) > 0 {
			byDay[t.Date] = append(byDay[t.Date], t.Values[m]...)
		}
	}
	if len(byDay) < 2 {
		return nil
	}
	var x, y []float64
	for day, v := range byDay {
		at, err := time.Parse(time.DateOnly, string(day))
		if err != nil || len(v) < inTurn {
			continue
		}
		x, y = append(x, float64(at.Unix())), append(y, medianOf(v))
	}
	if len(x) < leastDays {
		return &Difference{}
	}
	n := float64(len(x))
	meanX, meanY := sum(x)/n, sum(y)/n
	var xx, xy, rest float64
	for i := range x {
		xx, xy = xx+(x[i]-meanX)*(x[i]-meanX), xy+(x[i]-meanX)*y[i]
	}
	for i := range x {
		e := y[i] - meanY - xy/xx*(x[i]-meanX)
		rest += e * e
	}
	span := slices.Max(x) - slices.Min(x)
	return tell(xy/xx*span, rest/(n-2)/xx*span*span, n-2)
}

// tell is a difference with its interval and its chance by Student's t.
func tell(by, variance, free float64) *Difference {
	sd := math.Sqrt(variance)
	half := student(free) * sd
	d := &Difference{By: &by, Half: &half, p: 1}
	if sd > 0 {
		d.p = interval.Student(by/sd, free)
	}
	return d
}

func sum(v []float64) (s float64) {
	for _, x := range v {
		s += x
	}
	return s
}

func medianOf(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

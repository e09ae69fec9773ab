package report

import (
	"fmt"
	"math"
	"strconv"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// A chart is a list of rows on one scale. Each row is a dot for the rate seen, on a
// line for its interval. Positions are written as percentages of the row's width,
// so that the page may give it any width.
type chart struct {
	Rows  []chartRow
	Ticks []tick
}

type chartRow struct {
	group.FaultLine
	Shape              string // class of the dot: its method, or "minute"
	At, From, To       string
	Hollow             bool // nothing was seen
	Count, Rate        string
	Range, Description string
	Left               string // what was not looked at
	Ticks              []tick
}

type tick struct{ At, Label string }

// scale maps values from 0 to its top on the width of a chart.
type scale struct {
	top  float64
	step float64
	unit string
}

// scaleTo takes the shares from 0 to a round number at or above top.
func scaleTo(top float64) scale {
	for _, s := range []scale{{0.05, 0.01, " %"}, {0.1, 0.02, " %"}, {0.2, 0.05, " %"}, {0.3, 0.1, " %"}, {0.4, 0.1, " %"}, {0.6, 0.2, " %"}} {
		if top <= s.top {
			return s
		}
	}
	return scale{1, 0.25, " %"}
}

// scaleOver is the scale of shares with those upper limits.
func scaleOver(highs []float64) scale {
	top := 0.0
	for _, h := range highs {
		top = max(top, h)
	}
	return scaleTo(top)
}

// paceScale takes paces from 0 to a round number at or above top.
func paceScale(top float64) scale {
	unit := math.Pow(10, math.Floor(math.Log10(max(top, 0.1))))
	for _, m := range []float64{1, 2, 5, 10} {
		if top <= m*unit {
			return scale{top: m * unit, step: m * unit / 4}
		}
	}
	return scale{top: 10 * unit, step: 2.5 * unit}
}

func (s scale) at(v float64) string { return percent(min(v/s.top, 1)) }

func (s scale) ticks() []tick {
	var list []tick
	for i := 0; float64(i)*s.step <= s.top*1.0001; i++ {
		v := float64(i) * s.step
		label := strconv.FormatFloat(v, 'g', 3, 64)
		if s.unit != "" {
			label = strconv.FormatFloat(math.Round(100*v), 'f', -1, 64) + s.unit
		}
		list = append(list, tick{s.at(v), label})
	}
	return list
}

func percent(v float64) string { return strconv.FormatFloat(100*v, 'f', 2, 64) + "%" }

func shareHighs(g group.Group) []float64 {
	var highs []float64
	for _, f := range g.Faults {
		if f.PerStroke != nil && f.Marks > 0 {
			_, high := reach(*f.PerStroke)
			highs = append(highs, high)
		}
	}
	return highs
}

// strokeChart is nil where no marked fault has a rate per stroke. Without a
// scale it takes its own.
func strokeChart(g group.Group, s *scale) *chart {
	if s == nil {
		own := scaleOver(shareHighs(g))
		s = &own
	}
	c := &chart{Ticks: s.ticks()}
	for _, f := range g.Faults {
		if f.Marks > 0 && f.PerStroke != nil {
			r := strokeRow(f, *f.PerStroke, *s)
			r.Left = f.Say
			c.Rows = append(c.Rows, r)
		}
	}
	if c.Rows == nil {
		return nil
	}
	return c
}

func strokeRow(f group.FaultLine, p rate.Share, s scale) chartRow {
	rate, low, high := p.Percents()
	from, to := reach(p)
	r := chartRow{
		FaultLine: f, Shape: "all", At: s.at(p.Rate), From: s.at(from), To: s.at(to), Hollow: p.X == 0,
		Count: fmt.Sprintf("%d of %s,", p.X, plural(p.N, "stroke")), Rate: rate + " %", Range: "(" + low + "–" + high + ")",
		Ticks: s.ticks(),
	}
	if !p.Known() {
		r.Range = "(" + noInterval + ")"
	}
	return r
}

// reach is what a chart draws of a share: its interval, or the rate alone.
func reach(p rate.Share) (low, high float64) {
	if !p.Known() {
		return p.Rate, p.Rate
	}
	return p.Low, p.High
}

// minuteChart is nil where every turn has its strokes logged, or no fault was
// marked.
func minuteChart(g group.Group) *chart {
	top := 0.0
	for _, f := range g.Faults {
		if f.PerMinute != nil && f.Marks > 0 {
			top = max(top, f.PerMinute.Rate, f.PerMinute.High)
		}
	}
	if top == 0 {
		return nil
	}
	s := paceScale(top)
	c := &chart{Ticks: s.ticks()}
	for _, f := range g.Faults {
		if f.Marks == 0 || f.PerMinute == nil {
			continue
		}
		p := *f.PerMinute
		rate, low, high := p.Numbers()
		reach := "(" + low + "–" + high + ")"
		if !p.Known() {
			p.Low, p.High, reach = p.Rate, p.Rate, "("+noInterval+")"
		}
		r := chartRow{
			FaultLine: f, Shape: "minute", At: s.at(p.Rate), From: s.at(p.Low), To: s.at(p.High), Hollow: p.X == 0,
			Count: fmt.Sprintf("%d in %s,", p.X, minutesText(60*p.Minutes)), Rate: rate + " a minute",
			Range: reach, Ticks: s.ticks(),
		}
		if f.PerStroke == nil { // else it stands beside the strokes
			r.Left = f.Say
		}
		c.Rows = append(c.Rows, r)
	}
	return c
}

// methodChart sets the methods of one sheet side by side, fault by fault.
type methodChart struct {
	Faults []methodRows
	Ticks  []tick
	Keys   []methodKey
}

type methodRows struct {
	group.FaultLine
	Rows   []chartRow
	Points string // irregular less regular, "" where it cannot be said
}

type methodKey struct{ Shape, Name, Seen string }

// newMethodChart is nil where there are not two methods with strokes.
func newMethodChart(s tally.Sheet) *methodChart {
	m := new(methodChart)
	lines := map[club.Method]map[club.ID]group.FaultLine{}
	for _, g := range s.Methods {
		if g.Strokes == 0 {
			continue
		}
		m.Keys = append(m.Keys, methodKey{string(g.Method), g.Name, plural(g.Strokes, "stroke")})
		lines[g.Method] = map[club.ID]group.FaultLine{}
		for _, f := range g.Faults {
			lines[g.Method][f.FaultID] = f
		}
	}
	if len(m.Keys) < 2 {
		return nil
	}
	var highs []float64
	for _, f := range s.All.Faults {
		if f.PerStroke == nil || f.PerStroke.X == 0 {
			continue
		}
		for _, of := range lines {
			if p := of[f.FaultID].PerStroke; p != nil {
				_, high := reach(*p)
				highs = append(highs, high)
			}
		}
	}
	common := scaleOver(highs)
	m.Ticks = common.ticks()
	points := map[club.ID]string{}
	for _, c := range s.Contrasts {
		points[c.FaultID] = pointsText(c)
	}
	for _, f := range s.All.Faults {
		if f.PerStroke == nil || f.PerStroke.X == 0 {
			continue
		}
		rows := methodRows{FaultLine: f, Points: points[f.FaultID]}
		for _, key := range m.Keys {
			l := lines[club.Method(key.Shape)][f.FaultID]
			if l.PerStroke == nil {
				continue
			}
			r := strokeRow(l, *l.PerStroke, common)
			r.Shape, r.Description = key.Shape, key.Name
			rows.Rows = append(rows.Rows, r)
		}
		m.Faults = append(m.Faults, rows)
	}
	if m.Faults == nil {
		return nil
	}
	return m
}

// streakRow is the longest streak as a row of dots, one a stroke up to the target.
type streakRow struct {
	Has    bool
	Filled []bool // one dot each; nil where the target is too long for a row
	Share  string // how much of the target, for a bar in place of dots
	Text   string
}

// longestStreakRow is the longest row of dots.
const longestStreakRow = 20

func newStreakRow(s group.Streak) streakRow {
	if s.TurnID == "" {
		return streakRow{}
	}
	b := streakRow{Has: true, Text: streakText(s), Share: percent(min(1, float64(s.Longest)/float64(max(1, s.Target))))}
	if s.Target <= longestStreakRow {
		for i := range s.Target {
			b.Filled = append(b.Filled, i < s.Longest)
		}
	}
	return b
}

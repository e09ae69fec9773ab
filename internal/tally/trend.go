package tally

import (
	"fmt"
	"math"
	"strings"
	"time"

	"strokeledger/internal/club"
)

// Direction says where a rate is going.
type Direction string

const (
	TooEarly Direction = "too early to tell" // fewer than three sessions with exposure
	Steady   Direction = "no change shown"   // no trend that survives
	Rising   Direction = "getting worse"
	Falling  Direction = "getting better"
)

// Trend says how a rate moves over the sessions of a period.
type Trend struct {
	Sessions  int       `json:"sessions"` // with strokes on which the fault could have happened
	Direction Direction `json:"direction"`
	// Slope is in percentage points a month (of 365.25/12 days), with its 95 %
	// interval; nil where Direction is TooEarly, or no stroke has the fault, or
	// every one.
	Slope *Slope  `json:"slope"`
	Z     float64 `json:"z"`    // of Test: above nought where the rate rises
	Test  *Test   `json:"test"` // Cochran and Armitage, sessions scored 1, 2, 3 …; nil where there is nothing to test
	// Effect is the design effect of the turns, 1 or more, by which the variance
	// of both was enlarged (see Moments.Effect).
	Effect float64 `json:"effect"`
	// TooFewTurns is set where the sessions are too few to tell how far they differ:
	// Direction is TooEarly then, and there is neither slope nor test.
	TooFewTurns bool   `json:"too_few_turns"`
	Say         string `json:"say"` // one sentence
}

// Slope is a change in percentage points a month.
type Slope struct {
	PerMonth float64 `json:"per_month"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
}

// Session is one training date of a sheet, for charts over time.
type Session struct {
	Date    club.Date      `json:"date"`
	Turns   int            `json:"turns"`
	Strokes int            `json:"strokes"`
	Good    int            `json:"good"`
	Longest int            `json:"longest"` // streak
	Minutes float64        `json:"minutes"` // of turns without logged strokes, looked at or not
	Faults  []SessionFault `json:"faults"`  // in the order of the sheet's All.Faults, only those with a mark in the period; empty in a lean summary
}

// SessionFault is one fault on one training date.
type SessionFault struct {
	FaultID   club.ID `json:"fault_id"`
	PerStroke *Share  `json:"per_stroke"`
	PerMinute *Pace   `json:"per_minute"`
}

// fewestSessions is from how many sessions on a trend is looked for.
const fewestSessions = 3

// daysInMonth is an average month.
const daysInMonth = 365.25 / 12

// trends fills in how each fault of the draft moves over its sessions. The tests
// are given to d, to be adjusted once all are made, and settle then says where
// the rates are going.
func (k *Counter) trends(d *draft, sessions []sessionCount) {
	row := make([]int, len(k.faults)) // of the table, by fault
	lines := 0
	for i := range d.All.Faults {
		row[k.faultAt[d.All.Faults[i].FaultID]] = i
		lines++
	}
	table := make([]int, lines*len(sessions)) // strokes with the fault, by line and session
	for at := range sessions {
		for _, f := range sessions[at].faults {
			table[row[f.fault]*len(sessions)+at] = int(f.x)
		}
	}
	var w series
	for i := range d.All.Faults {
		l := &d.All.Faults[i]
		if l.PerStroke == nil {
			continue
		}
		f := k.faultAt[l.FaultID]
		own := exposureOf(k.faults[f].Sides)
		w.fill(k, sessions, table[i*len(sessions):(i+1)*len(sessions)], f, own)
		l.Trend = w.trend(d, d.all.moments(f, own))
	}
}

// series is one fault over the sessions with strokes that could have it, to be
// used again.
type series struct {
	x, n      []int
	order, at []float64 // 1, 2, 3 …; months
}

// fill takes a fault with xs strokes by session.
func (w *series) fill(k *Counter, sessions []sessionCount, xs []int, fault int, own exposure) {
	w.x, w.n, w.order, w.at = w.x[:0], w.n[:0], w.order[:0], w.at[:0]
	for i := range sessions {
		if here := sessions[i].watches.moments(fault, own).N; here > 0 {
			w.x, w.n = append(w.x, xs[i]), append(w.n, here)
			w.order = append(w.order, float64(len(w.order)+1))
			w.at = append(w.at, k.months[sessions[i].day])
		}
	}
}

// trend of a series of those moments.
func (w *series) trend(d *draft, whole Moments) *Trend {
	t := &Trend{Sessions: len(w.x), Direction: TooEarly, Effect: 1}
	if len(w.x) < fewestSessions {
		return t
	}
	t.Direction = Steady
	if effect, ok := whole.Effect(); ok {
		t.Effect = max(1, effect)
	}
	if slope, se, ok := Line(w.x, w.n, w.at, t.Effect); ok {
		t.Slope = &Slope{PerMonth: 100 * slope, Low: 100 * (slope - z*se), High: 100 * (slope + z*se)}
	}
	if zz, _, ok := Armitage(w.x, w.n, w.order); ok {
		t.Test = &Test{P: twoSided(zz / math.Sqrt(t.Effect))}
		t.Z = zz / math.Sqrt(t.Effect)
		d.tests = append(d.tests, t.Test)
	}
	return t
}

// fillMonths works out every date in months since some fixed day.
func (k *Counter) fillMonths() {
	for len(k.months) < len(k.dates) {
		at, err := time.Parse(time.DateOnly, string(k.dates[len(k.months)]))
		if err != nil { // no date: the store lets none in
			at = time.Time{}
		}
		k.months = append(k.months, float64(at.Unix())/86400/daysInMonth)
	}
}

// settle says where the rate is going, once it is known which tests survive.
func (t *Trend) settle() {
	if t.Test != nil && t.Test.Survives {
		t.Direction = Falling
		if t.Z > 0 {
			t.Direction = Rising
		}
	}
	t.Say = t.text()
}

func (t *Trend) text() string {
	switch {
	case t.Direction == TooEarly && t.Sessions == 1:
		return "Too early to tell: its strokes come from one session, and a trend needs three."
	case t.Direction == TooEarly:
		return fmt.Sprintf("Too early to tell: its strokes come from %s sessions, and a trend needs three.", number(t.Sessions))
	}
	say := map[Direction]string{Steady: "No change shown", Rising: "Getting worse", Falling: "Getting better"}[t.Direction] +
		fmt.Sprintf(" over %d sessions", t.Sessions)
	if t.Slope != nil {
		decimals := Decimals(t.Slope.Low/100, t.Slope.High/100)
		say += fmt.Sprintf(": %s points a month (%s to %s)", signed(t.Slope.PerMonth, decimals), signed(t.Slope.Low, decimals), signed(t.Slope.High, decimals))
	}
	return say + "."
}

// signed writes points with so many decimals; where none are needed, with one below
// ten nevertheless.
func signed(v float64, decimals int) string {
	if decimals == 0 && math.Abs(v) < 9.95 {
		decimals = 1
	}
	text := fmt.Sprintf("%+.*f", decimals, v)
	switch {
	case strings.Trim(text, "+-0.") == "":
		return text[1:]
	case text[0] == '-':
		return "−" + text[1:]
	}
	return text
}

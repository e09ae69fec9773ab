package tally

import (
	"fmt"
	"math"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/wording"
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
	Z     float64 `json:"z"`    // of Test, Student's t: above nought where the rate rises
	Test  *Test   `json:"test"` // that the slope is nought; nil where Slope is
	// Effect is by how many times the variance of the slope is larger than it would be
	// for independent strokes, 1 or more; 0 where it is not known (see Likeness).
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
	FaultID   club.ID     `json:"fault_id"`
	PerStroke *rate.Share `json:"per_stroke"`
	PerMinute *rate.Pace  `json:"per_minute"`
}

// daysInMonth is an average month.
const daysInMonth = 365.25 / 12

// trends fills in how each fault of the draft moves over its sessions, which are
// those of the players. The tests are given to d, to be adjusted once all are made,
// and conclude then says where the rates are going.
func (k *Counter) trends(d *draft, books []*book, sessions []sessionCount) {
	var w series
	w.table(k, sessions)
	for i := range d.All.Faults {
		l := &d.All.Faults[i]
		if l.PerStroke == nil {
			continue
		}
		f := k.faultAt[l.FaultID]
		w.fill(k, sessions, f, books)
		l.Trend = w.trend(d, k.alike.days[f])
	}
}

// trend of the series.
func (w *series) trend(d *draft, l rate.Likeness) *Trend {
	t := &Trend{Sessions: len(w.x), Direction: TooEarly}
	line, ok := w.line()
	if len(w.x) < rate.FewestPoints {
		return t
	}
	if !ok { // nothing to test, but that
		t.Direction, t.Effect = Steady, 1
		return t
	}
	test, known := line.Test(l)
	if !known {
		t.TooFewTurns = true
		return t
	}
	t.Direction, t.Effect, t.Z = Steady, test.Effect, test.T
	t.Slope = &Slope{PerMonth: 100 * line.Slope, Low: 100 * (line.Slope - test.Half), High: 100 * (line.Slope + test.Half)}
	t.Test = &Test{P: test.P, Shown: math.Abs(line.Slope) > test.Half, trend: true}
	d.tests = append(d.tests, t.Test)
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

// conclude says where the rate is going, once it is known which tests survive.
func (t *Trend) conclude() {
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
	case t.TooFewTurns:
		return fmt.Sprintf("Too early to tell over %s sessions: too few turns were seen to know how far one day differs from another by chance.", wording.Number(t.Sessions))
	case t.Direction == TooEarly:
		return fmt.Sprintf("Too early to tell: its strokes come from %s sessions, and a trend needs three.", wording.Number(t.Sessions))
	}
	say := map[Direction]string{Steady: "No change shown", Rising: "Getting worse", Falling: "Getting better"}[t.Direction] +
		fmt.Sprintf(" over %d sessions", t.Sessions)
	if t.Slope != nil {
		say += ": " + t.Slope.Words()
	}
	return say + "."
}

// Words are the slope with its interval: "−4.1 points a month (−7.0 to −1.2)".
func (s Slope) Words() string {
	decimals := wording.Decimals(s.Low/100, s.High/100)
	return fmt.Sprintf("%s points a month (%s to %s)", signed(s.PerMonth, decimals), signed(s.Low, decimals), signed(s.High, decimals))
}

// signed writes points with so many decimals; where none are needed, with one below
// ten nevertheless.
func signed(v float64, decimals int) string {
	if decimals == 0 && math.Abs(v) < 9.95 {
		decimals = 1
	}
	text := wording.Round(math.Abs(v), decimals)
	switch {
	case strings.Trim(text, "0.") == "":
	case v < 0:
		return "−" + text
	default:
		return "+" + text
	}
	return text
}

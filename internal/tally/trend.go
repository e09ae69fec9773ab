package tally

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
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
	FaultID   club.ID `json:"fault_id"`
	PerStroke *Share  `json:"per_stroke"`
	PerMinute *Pace   `json:"per_minute"`
}

// fewestSessions is from how many sessions on a trend is looked for.
const fewestSessions = 3

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

// series is one fault over the sessions with strokes that could have it, to be
// used again.
type series struct {
	xs   []int32 // strokes with each fault, by fault and session
	x, n []int
	// size is how many strokes of a session are of one player, as a stroke sees it: what
	// one day makes alike.
	size    []float64
	at      []float64 // months
	squares []float64 // by date
}

// table takes what the sessions have of every fault.
func (w *series) table(k *Counter, sessions []sessionCount) {
	w.xs = slices.Grow(w.xs[:0], len(k.faults)*len(sessions))[:len(k.faults)*len(sessions)]
	clear(w.xs)
	for at := range sessions {
		for _, f := range sessions[at].faults {
			w.xs[int(f.fault)*len(sessions)+at] = f.x
		}
	}
}

// fill takes one fault. books are the players of whom each session may have several;
// none stands for one player.
func (w *series) fill(k *Counter, sessions []sessionCount, fault int, books []*book) {
	own := exposureOf(k.faults[fault].Sides)
	if len(books) > 1 {
		w.squares = append(w.squares[:0], make([]float64, len(k.dates))...)
		for _, b := range books {
			for i := range b.sessions {
				n := float64(b.sessions[i].watches.strokes(fault, own))
				w.squares[b.sessions[i].day] += n * n
			}
		}
	}
	w.x, w.n, w.size, w.at = w.x[:0], w.n[:0], w.size[:0], w.at[:0]
	for i := range sessions {
		here := sessions[i].watches.strokes(fault, own)
		if here == 0 {
			continue
		}
		size := float64(here)
		if len(books) > 1 {
			size = w.squares[sessions[i].day] / size
		}
		w.x, w.n, w.size = append(w.x, int(w.xs[fault*len(sessions)+i])), append(w.n, here), append(w.size, size)
		w.at = append(w.at, k.months[sessions[i].day])
	}
}

func (w *series) line() (Line, bool) { return FitLine(w.x, w.n, w.size, w.at) }

// trend of the series.
func (w *series) trend(d *draft, l Likeness) *Trend {
	t := &Trend{Sessions: len(w.x), Direction: TooEarly}
	line, ok := w.line()
	if len(w.x) < fewestSessions {
		return t
	}
	if !ok { // nothing to test, but that
		t.Direction, t.Effect = Steady, 1
		return t
	}
	effect, freedom := line.effect(l)
	if freedom < fewestFreedom {
		t.TooFewTurns = true
		return t
	}
	t.Direction, t.Effect = Steady, max(1, effect)
	quantile := interval.StudentQuantile(freedom)
	half := math.Sqrt(line.Variance) * max(interval.Z, quantile*math.Sqrt(max(0, effect)))
	t.Slope = &Slope{PerMonth: 100 * line.Slope, Low: 100 * (line.Slope - half), High: 100 * (line.Slope + half)}
	t.Z = line.Slope / math.Sqrt(line.Variance*t.Effect)
	t.Test = &Test{P: interval.Student(t.Z, freedom), Shown: math.Abs(line.Slope) > half, trend: true}
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
		return fmt.Sprintf("Too early to tell over %s sessions: too few turns were seen to know how far one day differs from another by chance.", number(t.Sessions))
	case t.Direction == TooEarly:
		return fmt.Sprintf("Too early to tell: its strokes come from %s sessions, and a trend needs three.", number(t.Sessions))
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
	decimals := interval.Decimals(s.Low/100, s.High/100)
	return fmt.Sprintf("%s points a month (%s to %s)", signed(s.PerMonth, decimals), signed(s.Low, decimals), signed(s.High, decimals))
}

// signed writes points with so many decimals; where none are needed, with one below
// ten nevertheless.
func signed(v float64, decimals int) string {
	if decimals == 0 && math.Abs(v) < 9.95 {
		decimals = 1
	}
	text := interval.Round(math.Abs(v), decimals)
	switch {
	case strings.Trim(text, "0.") == "":
	case v < 0:
		return "−" + text
	default:
		return "+" + text
	}
	return text
}

package contrast

import (
	"fmt"
	"math"
	"strings"

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

// NewTrend is how a rate moves along the line of so many sessions; not ok stands for a
// rate of which there is no line. What may be called a change is said once Conclude is
// called, after all tests are adjusted.
func NewTrend(sessions int, line rate.Line, ok bool, days rate.Likeness) *Trend {
	t := &Trend{Sessions: sessions, Direction: TooEarly}
	if sessions < rate.FewestPoints {
		return t
	}
	if !ok { // nothing to test, but that
		t.Direction, t.Effect = Steady, 1
		return t
	}
	test, known := line.Test(days)
	if !known {
		t.TooFewTurns = true
		return t
	}
	t.Direction, t.Effect, t.Z = Steady, test.Effect, test.T
	t.Slope = &Slope{PerMonth: 100 * line.Slope, Low: 100 * (line.Slope - test.Half), High: 100 * (line.Slope + test.Half)}
	t.Test = &Test{P: test.P, Shown: math.Abs(line.Slope) > test.Half, trend: true}
	return t
}

// Conclude says where the rate is going, once it is known which tests survive.
func (t *Trend) Conclude() {
	if t.Test != nil && t.Test.Survives {
		t.Direction = Falling
		if t.Z > 0 {
			t.Direction = Rising
		}
	}
	t.Say = t.text()
}

// Shown reports whether a rate is known to rise, or to fall.
func (t *Trend) Shown() (worse, better bool) {
	if t == nil || t.Slope == nil {
		return false, false
	}
	return t.Direction == Rising && t.Slope.Low > 0, t.Direction == Falling && t.Slope.High < 0
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
	if t.Test != nil && t.Test.Because != "" {
		say += "; " + t.Test.Because
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

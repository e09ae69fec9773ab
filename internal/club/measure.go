package club

// Measure is what can be measured of a stroke in the picture. Of each, less is worse.
type Measure string

// The measures.
const (
	FeetBehind Measure = "feet"  // from the middle of both feet to the end line, cm
	ElbowDrop  Measure = "elbow" // of the racket arm, below the shoulder, in percent of the trunk's length
	HandBack   Measure = "hand"  // the racket hand, above the hips on the way back, in percent of the trunk's length
	// ReadyMargin is how long before the partner's next contact the racket hand is back in
	// the ready position, milliseconds; negative is late. No fault has a limit of it.
	ReadyMargin Measure = "ready"
)

// Measures are all measures, in the order in which they are shown.
func Measures() []Measure { return []Measure{FeetBehind, ElbowDrop, HandBack, ReadyMargin} }

// OfFaults reports whether a fault may go with it.
func (m Measure) OfFaults() bool { return m != ReadyMargin }

// Unit is what a measure is counted in.
func (m Measure) Unit() string {
	switch m {
	case FeetBehind:
		return "cm"
	case ReadyMargin:
		return "ms"
	}
	return "% of the trunk"
}

// The least and the greatest limit of a fault, in the unit of its measure.
const (
	MinLimit = 1
	MaxLimit = 200
)

package tally

import "strokeledger/internal/club"

// ComparisonKind says which two parts of a sheet are compared.
type ComparisonKind string

const (
	Methods ComparisonKind = "method" // regular, then irregular
	SidesOf ComparisonKind = "side"   // forehand, then backhand: strokes of known side, faults that both can have
	Blocks  ComparisonKind = "block"  // passive block, then active block
	Periods ComparisonKind = "period" // before Summary.Split, then from that day on
)

// Comparison sets one fault in one part of a sheet against the same fault in
// another that shares no stroke with it, second minus first. Exactly one of
// Strokes and Minutes is set: the two are never mixed.
type Comparison struct {
	Kind    ComparisonKind `json:"kind"`
	First   string         `json:"first"`  // "Regular", "Forehand", "Passive block", "Before 2026-03-01"
	Second  string         `json:"second"` // "Irregular", "Backhand", "Active block", "From 2026-03-01"
	FaultID club.ID        `json:"fault_id"`
	Code    string         `json:"code"`
	Label   string         `json:"label"`
	Strokes *StrokePair    `json:"strokes"`
	Minutes *MinutePair    `json:"minutes"` // where one of the two has no logged strokes and both have turns without
	Test    *Test          `json:"test"`    // nil where neither part has the fault: there is nothing to test
}

// StrokePair is a difference of two rates per stroke, second minus first, with
// its 95 % interval: Newcombe's, on the intervals of the two shares.
type StrokePair struct {
	First      Share   `json:"first"`
	Second     Share   `json:"second"`
	Difference float64 `json:"difference"` // -1 to 1
	Low        float64 `json:"low"`
	High       float64 `json:"high"`
}

// MinutePair is a ratio of two rates per minute, second over first, with its
// exact 95 % interval (see RatioOfRates). Ratio and High are nil where the first
// has no mark: the ratio has no upper end.
type MinutePair struct {
	First  Pace     `json:"first"`
	Second Pace     `json:"second"`
	Ratio  *float64 `json:"ratio"`
	Low    float64  `json:"low"`
	High   *float64 `json:"high"`
}

// Test is one test of "no difference" or "no trend". Many are made in one
// summary; Survives says whether this one may be called a change all the same.
type Test struct {
	P        float64 `json:"p"`        // two-sided
	Adjusted float64 `json:"adjusted"` // by Benjamini and Hochberg over every test of the summary
	Survives bool    `json:"survives"` // Adjusted is at most Tested.Level
}

// Tested says how many tests one summary made.
type Tested struct {
	Tests     int     `json:"tests"`
	Surviving int     `json:"surviving"`
	Level     float64 `json:"level"` // 0.05: of the survivors one in twenty is false, on average
}

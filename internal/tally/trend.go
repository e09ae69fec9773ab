package tally

import "strokeledger/internal/club"

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
	// interval; nil where Direction is TooEarly, or all sessions fall on one rate
	// of nought.
	Slope *Slope `json:"slope"`
	Test  *Test  `json:"test"` // Cochran and Armitage, sessions scored 1, 2, 3 …; nil where there is nothing to test
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
	Minutes float64        `json:"minutes"` // of turns without logged strokes
	Faults  []SessionFault `json:"faults"`  // in the order of the sheet's All.Faults, only those with a mark in the period; empty in a lean summary
}

// SessionFault is one fault on one training date.
type SessionFault struct {
	FaultID   club.ID `json:"fault_id"`
	PerStroke *Share  `json:"per_stroke"`
	PerMinute *Pace   `json:"per_minute"`
}

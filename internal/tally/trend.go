package tally

import (
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/rate"
)

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
		line, ok := w.line()
		if l.Trend = contrast.NewTrend(len(w.x), line, ok, k.alike.days[f]); l.Trend.Test != nil {
			d.tests = append(d.tests, l.Trend.Test)
		}
	}
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

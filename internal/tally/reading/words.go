package reading

import (
	"fmt"
	"math"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/wording"
)

// Caution stands wherever measures are shown.
const Caution = "A measured distance is no judgement of a child: it says where joints show in a picture, and bodies differ. Players are not ranked by it."

// words are the middle and its interval: "Feet 41 cm from the table (±5)".
func (l *Line) words() string {
	text := map[club.Measure]string{
		club.FeetBehind: "Feet %s cm from the table%s",
		club.ElbowDrop:  "Elbow %s %% of the trunk below the shoulder%s",
		club.HandBack:   "Hand %s %% of the trunk above the hips on the way back%s",

		club.ReadyMargin: "Ready about %s ms before the partner's contact%s",
	}[l.Measure]
	middle := l.Median
	if l.Measure == club.ReadyMargin && middle < 0 {
		middle, text = -middle, "Ready about %s ms after the partner's contact%s"
	}
	within := ""
	if l.Half != nil {
		within = " " + PlusMinus(*l.Half)
	}
	return fmt.Sprintf(text, wording.Round(middle, 0), within)
}

// PlusMinus is half of an interval as it is written: "(±5)".
func PlusMinus(half float64) string { return fmt.Sprintf("(±%.0f)", max(1, math.Ceil(half-.05))) }

// farther are the words for less and for more of a measure.
func farther(m club.Measure) (less, more string) {
	switch m {
	case club.FeetBehind:
		return "nearer", "farther away"
	case club.ElbowDrop:
		return "higher", "lower"
	case club.ReadyMargin:
		return "later", "earlier"
	}
	return "lower", "higher"
}

// sentence says what is shown of one measure, and what cannot be told yet.
func (s *Sheet) sentence(m *Shown, everybody bool) {
	var l Line
	for _, o := range s.All.Lines {
		if o.Measure == m.Measure {
			l = o
		}
	}
	text := l.words()
	if m.Methods != nil && m.Methods.Holds {
		text += ", in irregular drills " + by(m.Measure, m.Methods)
	}
	if m.Days != nil && m.Days.Holds {
		text += fmt.Sprintf(", from the first day to the last %s", by(m.Measure, m.Days))
	}
	parts := []string{text}
	if l.Half == nil {
		text += ", ± not known yet"
		of := wording.Count(l.Turns, "turn")
		if everybody {
			of += " by " + wording.Count(l.Players, "player")
		}
		parts = append(parts, fmt.Sprintf("How far the middle of %s may be off cannot be told yet", of))
	}
	if d := m.Methods; d != nil && d.By == nil {
		parts = append(parts, "Whether irregular drills differ from regular ones cannot be told yet")
	} else if d != nil && !d.Holds {
		parts = append(parts, "No difference between regular and irregular drills is shown")
	}
	for _, b := range m.Beyond {
		parts = append(parts, fmt.Sprintf("Below the limit of %s (%s %s): %d of %d strokes", b.Code, wording.Round(b.Limit, 0), m.Measure.Unit(), b.X, b.N))
	}
	m.Brief, m.Say = text+".", strings.Join(parts, ". ")+"."
}

// by is "9 cm nearer (±4)".
func by(m club.Measure, d *Difference) string {
	less, more := farther(m)
	word := more
	if *d.By < 0 {
		word = less
	}
	return fmt.Sprintf("%s %s %s %s", wording.Round(math.Abs(*d.By), 0), m.Unit(), word, PlusMinus(*d.Half))
}

// covered says how many clips of a sheet are measured, and of how many players what is
// measured is left out.
func covered(clips, of, left int) string {
	var says []string
	if of > 0 {
		says = append(says, fmt.Sprintf("Measured %d of %s with strokes.", clips, wording.Count(of, "clip")))
	}
	if clips < of {
		says = append(says, "The others count for nothing here: measure them under Review.")
	}
	if left > 0 {
		says = append(says, fmt.Sprintf("What is measured of %s without consent to film on record is left out.", wording.Count(left, "player")))
	}
	return strings.Join(says, " ")
}

// Package advice says what a player might work on next, and on what counts and intervals
// each of its sentences rests. It is pure.
package advice

import (
	"cmp"
	"fmt"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// WorkOn is what a player might work on next. It is common practice, without a
// source, and the coach decides: Cautions says so in words that every screen and
// document shows. What it says, and when, stands in Sentences.
type WorkOn struct {
	Faults   []Advice    `json:"faults"`   // at most three, the most pressing first
	Sentence SentenceID  `json:"sentence"` // of Sentences: the one of Say; "listed" where Faults is not empty
	Holds    bool        `json:"holds"`    // the strokes hold in regular and in irregular drills: MoveUp has the drills
	MoveUp   []DrillHint `json:"move_up"`  // drills of the ladder's next rung that are not passed; empty unless Holds
	Say      string      `json:"say"`      // one sentence where Faults is empty, else ""
	Ladder   string      `json:"ladder"`   // why the ladder's next rung is another one than what Faults asks for first; "" where it is none
	Cautions []string    `json:"cautions"`
}

// Advice is one fault to work on.
type Advice struct {
	FaultID  club.ID            `json:"fault_id"`
	Code     string             `json:"code"`
	Label    string             `json:"label"`
	Phase    club.Phase         `json:"phase"`
	Weight   int                `json:"weight"`
	Cue      string             `json:"cue"`
	Where    Where              `json:"where"`
	Sentence SentenceID         `json:"sentence"` // of Sentences: what Why and Say rest on
	Excess   float64            `json:"excess"`   // faults to expect in 100 strokes beyond the club's own
	Trend    contrast.Direction `json:"trend"`
	Score    float64            `json:"score"` // weight × excess × 1.5 where it gets worse, × 0.75 where it gets better
	Why      string             `json:"why"`   // one sentence
	Say      string             `json:"say"`   // one sentence: which practice
	Drills   []DrillHint        `json:"drills"`
	Asks     club.Method        `json:"asks"` // of which drills Say wants more strokes; empty for none
}

// Where says in which drills a fault shows.
type Where string

const (
	InIrregular Where = "irregular" // more often there than in regular drills
	InRegular   Where = "regular"   // there already
	InBoth      Where = "both"      // in regular drills already, and in irregular ones
	InFree      Where = "free"      // in neither
	InSome      Where = "some"      // the numbers do not say
)

// DrillHint is a drill of the club that fits.
type DrillHint struct {
	DrillID club.ID     `json:"drill_id"`
	Name    string      `json:"name"`
	Method  club.Method `json:"method"`
	Rung    int         `json:"rung"`
	Enough  bool        `json:"enough"` // for today: its tries have come to the club's limit (see Rung.Enough)
}

const (
	mostAdvice   = 3
	worseCounts  = 1.5 // weight of a fault that is getting worse (common practice, no source)
	betterCounts = 0.75
)

// cautions stand beside every advice.
func cautions() []string {
	return []string{
		"What to work on is common practice, without a source; the coach decides.",
		"Evidence that irregular practice teaches more is weak in the young and outside the laboratory: the rates side by side promise no learning.",
		"A count of faults is not a measure of a child, and no reason to repeat a drill to exhaustion.",
	}
}

// Basis is what advice on a player rests on. It is only read.
type Basis struct {
	All         group.Group
	Methods     []group.Group
	Comparisons []contrast.Comparison // their tests are adjusted
	Ladder      *climb.Ladder
	Drills      []club.Drill                           // in use, in the order of the ladder
	Trained     []club.Drill                           // of which turns were counted
	Share       func(drill, fault club.ID) *rate.Share // of a drill that was trained; nil where nothing was looked at
	Fault       func(fault club.ID) club.Fault
	Fitted      func(fault club.ID) bool // it is known how far the club's players differ
}

// WorkOn says what the player might work on next.
func (b *Basis) WorkOn() *WorkOn {
	w := &WorkOn{Faults: []Advice{}, MoveUp: []DrillHint{}, Cautions: cautions()}
	faults := b.evidence()
	sentences := Sentences()
	of := map[club.ID]*evidence{}
	for i := range faults {
		if e := &faults[i]; e.listed() {
			of[e.FaultID] = e
			w.Faults = append(w.Faults, e.advice())
		}
	}
	slices.SortStableFunc(w.Faults, func(a, b Advice) int { return cmp.Compare(b.Score, a.Score) })
	w.Faults = w.Faults[:min(mostAdvice, len(w.Faults))]
	for i := range w.Faults {
		a := &w.Faults[i]
		e := of[a.FaultID]
		s := sentences[slices.IndexFunc(sentences, func(s Sentence) bool { return s.fault != nil && s.fault(e) })]
		a.Sentence = s.ID
		a.Why = e.why(a) + "."
		b.practice(e, a)
	}
	w.Ladder = b.ladderText(w.Faults)
	o := b.outlook(faults)
	s := sentences[slices.IndexFunc(sentences, func(s Sentence) bool { return s.sheet != nil && s.sheet(o) })]
	w.Sentence, w.Say = s.ID, o.say(s.ID)
	if s.ID == moveUp || s.ID == notPassed || s.ID == atTheTop {
		w.Holds, w.MoveUp = true, nextDrills(b.Ladder, o.next)
	}
	return w
}

// ladderText sets the practice that is asked for first beside the ladder's next rung.
func (b *Basis) ladderText(faults []Advice) string {
	const reason = "the ladder goes by good strokes in a row, this list by faults, and a stroke can be good with a fault"
	if len(faults) == 0 || len(faults[0].Drills) == 0 || slices.ContainsFunc(faults[0].Drills, func(d DrillHint) bool { return d.DrillID == b.Ladder.Next }) {
		return ""
	}
	next := b.next()
	if next == nil {
		return "Every rung of the ladder is passed: " + reason + "."
	}
	return fmt.Sprintf("The ladder's next rung is %d, %s: %s. The coach decides what comes first.", next.Rung, club.Isolated(next.Name), reason)
}

// next is the ladder's next rung, nil where all are passed.
func (b *Basis) next() *climb.Rung {
	i := slices.IndexFunc(b.Ladder.Rungs, func(r climb.Rung) bool { return r.DrillID == b.Ladder.Next })
	if i < 0 {
		return nil
	}
	return &b.Ladder.Rungs[i]
}

// advice weighs a fault.
func (e *evidence) advice() Advice {
	a := Advice{
		FaultID: e.FaultID, Code: e.Code, Label: e.Label, Phase: e.Phase, Weight: e.Weight, Cue: e.Cue, Where: InSome,
		Excess: 100 * e.excess(), Drills: []DrillHint{},
	}
	a.Score = float64(e.Weight) * a.Excess
	if e.Trend == nil {
		return a
	}
	a.Trend = e.Trend.Direction
	switch worse, better := e.Trend.Shown(); {
	case worse:
		a.Score *= worseCounts
	case better:
		a.Score *= betterCounts
	}
	return a
}

// nextDrills lists the drills in use of the ladder's next rung that are not passed.
func nextDrills(l *climb.Ladder, next *climb.Rung) []DrillHint {
	hints := []DrillHint{}
	for i := range l.Rungs {
		if r := &l.Rungs[i]; next != nil && r.Rung == next.Rung && !r.Passed && !r.Retired {
			hints = append(hints, DrillHint{r.DrillID, r.Name, r.Method, r.Rung, r.Enough})
		}
	}
	return hints
}

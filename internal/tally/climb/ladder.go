// Package climb has a player's way up the club's drills: which rungs are passed, by whose
// word, and how likely a clean turn is at each. It is pure.
package climb

import (
	"slices"

	"strokeledger/internal/club"
)

// Ladder is a player's way up the club's drills. It counts every turn up to the
// end of the period, also those before its start and those at drills that nothing
// else counts.
type Ladder struct {
	Rungs    []Rung  `json:"rungs"`     // by rung, then name: drills in use, and retired ones that were played
	Next     club.ID `json:"next"`      // the first drill in use that is not passed; empty where all are
	Passed   int     `json:"passed"`    // of the drills in use
	Of       int     `json:"of"`        // drills in use
	Assume   string  `json:"assume"`    // the sentence that goes with every Chance
	TriesCap int     `json:"tries_cap"` // tries a day at one rung that the club suggests; 0: no cap set
}

// Rung is one drill on a player's ladder.
type Rung struct {
	DrillID club.ID     `json:"drill_id"`
	Name    string      `json:"name"`
	Method  club.Method `json:"method"`
	Rung    int         `json:"rung"`
	Target  int         `json:"target"` // good strokes in a row
	Retired bool        `json:"retired"`

	Passed   bool      `json:"passed"`
	PassedOn club.Date `json:"passed_on"` // empty unless Passed
	By       PassedBy  `json:"by"`        // empty where neither a turn nor a ruling has a word
	CoachID  club.ID   `json:"coach_id"`  // of the ruling
	Reason   string    `json:"reason"`    // of the ruling
	TurnID   club.ID   `json:"turn_id"`   // the first turn that reached the target
	ClipID   club.ID   `json:"clip_id"`
	Frame    int       `json:"frame"` // where it starts

	Tries      int     `json:"tries"`       // turns with strokes
	TriesToday int     `json:"tries_today"` // of them on Rules.Today
	Enough     bool    `json:"enough"`      // TriesToday has come to the club's cap: stop gently
	Say        string  `json:"say"`         // one sentence on today's tries; "" where there were none
	Best       int     `json:"best"`        // longest streak
	Strokes    int     `json:"strokes"`
	Good       int     `json:"good"`
	History    []Try   `json:"history"` // in order of date; empty in a lean summary
	Chance     *Chance `json:"chance"`  // nil without strokes, and in a lean summary
}

// PassedBy says whose word a rung stands on.
type PassedBy string

const (
	ByTurn   PassedBy = "turn"   // a turn reached the target
	ByRuling PassedBy = "ruling" // a coach said so
)

// Try is one turn at a rung.
type Try struct {
	Date    club.Date `json:"date"`
	TurnID  club.ID   `json:"turn_id"`
	ClipID  club.ID   `json:"clip_id"`
	Frame   int       `json:"frame"`
	Strokes int       `json:"strokes"`
	Longest int       `json:"longest"` // streak
	Current int       `json:"current"` // good strokes at its end
	Reached bool      `json:"reached"` // the target
}

// Chance is how likely a clean streak is, given the strokes seen.
type Chance struct {
	Good       int     `json:"good"`    // seen
	Strokes    int     `json:"strokes"` // seen
	Target     int     `json:"target"`
	Turn       int     `json:"turn"`        // strokes in a turn as long as the player's usual one (median), at least Target
	Clean      float64 `json:"clean"`       // predictive chance that the next Target strokes are all good
	InTurn     float64 `json:"in_turn"`     // predictive chance of such a streak within Turn strokes
	CleanPlain float64 `json:"clean_plain"` // the same as Clean at the seen rate, taken as certain
	Low        float64 `json:"low"`         // the same at the ends of the 95 % interval of that rate, strokes taken as independent
	High       float64 `json:"high"`
	Say        string  `json:"say"` // "At 27 of 30 good strokes, about 3 in 10 turns of ten would be clean (5 in 100 to 7 in 10)."
}

// WithoutReasons is a ladder that does not tell why a coach ruled.
func (l *Ladder) WithoutReasons() *Ladder {
	if l == nil {
		return nil
	}
	n := *l
	n.Rungs = slices.Clone(l.Rungs)
	for i := range n.Rungs {
		n.Rungs[i].Reason = ""
	}
	return &n
}

package tally

import "strokeledger/internal/club"

// Expected is a rate to expect of a player, drawn towards the club's: the fewer
// the strokes, the closer to the club.
type Expected struct {
	Rate   float64 `json:"rate"` // per stroke, or a minute where there are no strokes
	Low    float64 `json:"low"`  // 95 % of what is credible
	High   float64 `json:"high"`
	Club   float64 `json:"club"`   // the club's rate that it was drawn towards
	Excess float64 `json:"excess"` // Rate - Club
}

// Fit says how the club's own spread of a fault was found.
type Fit struct {
	Players  int     `json:"players"`  // with exposure
	Mean     float64 `json:"mean"`     // the club's rate
	Strength float64 `json:"strength"` // so many strokes (minutes) of the club weigh as much as one of the player's; 0: see How
	How      FitHow  `json:"how"`
}

// FitHow says where a Fit comes from.
type FitHow string

const (
	Fitted    FitHow = "fitted"    // maximum likelihood
	AllAlike  FitHow = "all alike" // the players differ no more than chance: everyone is given the club's rate
	WeakPrior FitHow = "weak"      // fewer than five players: the club's rate counts like a few strokes; see weakStrokes
)

// Ranking is one fault with the players in order of the rate to expect, the
// highest first. Players with strokes are ranked per stroke; the others stand in
// a ranking of their own with PerMinute set.
type Ranking struct {
	FaultID   club.ID  `json:"fault_id"`
	Code      string   `json:"code"`
	Label     string   `json:"label"`
	PerMinute bool     `json:"per_minute"`
	Fit       Fit      `json:"fit"`
	Players   []Ranked `json:"players"`
}

// Ranked is one player's place; the numbers behind it stand in the player's sheet.
type Ranked struct {
	PlayerID club.ID  `json:"player_id"`
	X        int      `json:"x"`
	N        float64  `json:"n"` // strokes, or minutes
	Expected Expected `json:"expected"`
}

// PhaseCount is how many of a sheet's faults sit in one phase of the stroke.
type PhaseCount struct {
	Phase club.Phase `json:"phase"`
	Seen  int        `json:"seen"`  // strokes with a fault, and marks where no strokes are logged
	Of    int        `json:"of"`    // of all phases
	Marks int        `json:"marks"` // every mark
}

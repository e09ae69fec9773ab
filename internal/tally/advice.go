package tally

import "strokeledger/internal/club"

// WorkOn is what a player might work on next. It is common practice, without a
// source, and the coach decides: Cautions says so in words that every screen and
// document shows.
type WorkOn struct {
	Faults   []Advice    `json:"faults"`  // at most three, the most pressing first
	Holds    bool        `json:"holds"`   // no fault stands out in regular or irregular drills: MoveUp has the drills
	MoveUp   []DrillHint `json:"move_up"` // drills of the next rung; empty unless Holds
	Say      string      `json:"say"`     // one sentence where Faults is empty, else ""
	Cautions []string    `json:"cautions"`
}

// Advice is one fault to work on.
type Advice struct {
	FaultID club.ID     `json:"fault_id"`
	Code    string      `json:"code"`
	Label   string      `json:"label"`
	Phase   club.Phase  `json:"phase"`
	Weight  int         `json:"weight"`
	Cue     string      `json:"cue"`
	Where   Where       `json:"where"`
	Excess  float64     `json:"excess"` // faults to expect in 100 strokes beyond the club's own
	Trend   Direction   `json:"trend"`
	Score   float64     `json:"score"` // weight × excess × 1.5 where it gets worse, × 0.75 where it gets better
	Why     string      `json:"why"`   // one sentence
	Say     string      `json:"say"`   // one sentence: which practice
	Drills  []DrillHint `json:"drills"`
}

// Where says in which drills a fault shows.
type Where string

const (
	InIrregular Where = "irregular" // only there: it holds when the ball is known and breaks when it is not
	InRegular   Where = "regular"   // there already
	InBoth      Where = "both"      // in regular drills already, and in irregular ones
	InFree      Where = "free"      // neither regular nor irregular drills were trained
)

// DrillHint is a drill of the club that fits.
type DrillHint struct {
	DrillID club.ID     `json:"drill_id"`
	Name    string      `json:"name"`
	Method  club.Method `json:"method"`
	Rung    int         `json:"rung"`
}

// Balance is how a player's strokes split between regular and irregular drills,
// against what the club wishes.
type Balance struct {
	Regular   int     `json:"regular"` // strokes
	Irregular int     `json:"irregular"`
	Free      int     `json:"free"`
	Share     *Share  `json:"share"` // irregular of regular and irregular; nil without either
	Wish      float64 `json:"wish"`  // of irregular, 0 to 1; 0.5 where the club has said nothing
	Say       string  `json:"say"`   // one sentence
}

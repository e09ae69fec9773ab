package tally

import "strokeledger/internal/club"

// Summary is what a fault summary shows: the team first, then each player with
// anything seen in the period, in order of name. Its JSON is documented in the
// README and is what `strokeledger summary --format json` prints.
type Summary struct {
	From    club.Date `json:"from"` // empty: open
	To      club.Date `json:"to"`   // empty: open
	Team    Sheet     `json:"team"`
	Players []Sheet   `json:"players"`
}

// Sheet is the summary of one player, or of the team where PlayerID is empty.
type Sheet struct {
	PlayerID club.ID `json:"player_id"`
	Name     string  `json:"name"`
	All      Group   `json:"all"`
	Methods  []Group `json:"methods"` // in the order of club.Methods, only those trained
	Drills   []Group `json:"drills"`  // by rung, then name, only those trained
}

// Group is one player's (or the team's) turns that are counted together.
type Group struct {
	Kind     string      `json:"kind"`     // "all", "method" or "drill"
	DrillID  club.ID     `json:"drill_id"` // for a drill
	Name     string      `json:"name"`
	Method   club.Method `json:"method"` // for a method or a drill
	Rung     int         `json:"rung"`   // for a drill
	Sessions int         `json:"sessions"`
	Turns    int         `json:"turns"`
	Seconds  float64     `json:"seconds"` // of all its turns
	Strokes  int         `json:"strokes"`
	Good     int         `json:"good"`
	// UnloggedTurns are turns without one logged stroke; their faults are
	// counted per minute, never mixed with the rest.
	UnloggedTurns   int         `json:"unlogged_turns"`
	UnloggedSeconds float64     `json:"unlogged_seconds"`
	Streak          Streak      `json:"streak"`
	Faults          []FaultLine `json:"faults"` // most frequent first; every fault with a mark or in use
}

// Streak is the longest run of good strokes inside one turn of a group.
type Streak struct {
	Longest int     `json:"longest"`
	Target  int     `json:"target"`  // of the drill that the longest run was played in; 0 where no strokes are logged
	Reached bool    `json:"reached"` // some turn reached the target of its own drill
	TurnID  club.ID `json:"turn_id"` // the turn with the longest run
	ClipID  club.ID `json:"clip_id"`
	Frame   int     `json:"frame"` // where that turn starts
}

// FaultLine is one fault in one group.
type FaultLine struct {
	FaultID   club.ID    `json:"fault_id"`
	Code      string     `json:"code"`
	Label     string     `json:"label"`
	Phase     club.Phase `json:"phase"`
	Weight    int        `json:"weight"`
	Cue       string     `json:"cue"`
	Marks     int        `json:"marks"`      // every mark, also two on one stroke
	PerStroke *Share     `json:"per_stroke"` // nil where no stroke of the group could have had it
	PerMinute *Pace      `json:"per_minute"` // nil where every turn of the group has its strokes logged
	MarkIDs   []club.ID  `json:"mark_ids"`   // the marks behind the numbers, in order of clip and frame
}

// Share is X strokes with the fault out of N on which it could have happened,
// with its 95 % interval.
type Share struct {
	X    int     `json:"x"`
	N    int     `json:"n"`
	Rate float64 `json:"rate"` // X/N, 0 to 1
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Pace is X marks in Minutes of turns without logged strokes, a minute, with its
// 95 % interval.
type Pace struct {
	X       int     `json:"x"`
	Minutes float64 `json:"minutes"`
	Rate    float64 `json:"rate"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
}

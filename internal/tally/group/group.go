// Package group has what is shown of turns that are counted together: a line for each
// fault, how far the turns were looked through, streaks, readiness and tempo. It is pure.
package group

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/prior"
	"strokeledger/internal/tally/rate"
)

// Group is one player's (or the team's) turns that are counted together.
type Group struct {
	Kind      string      `json:"kind"`     // "all", "method" or "drill"
	DrillID   club.ID     `json:"drill_id"` // for a drill
	Name      string      `json:"name"`
	Method    club.Method `json:"method"`   // for a method or a drill
	Rung      int         `json:"rung"`     // for a drill
	Sessions  int         `json:"sessions"` // training dates
	First     club.Date   `json:"first_date"`
	Last      club.Date   `json:"last_date"`
	Turns     int         `json:"turns"`
	Seconds   float64     `json:"seconds"` // of all its turns
	Strokes   int         `json:"strokes"`
	Good      int         `json:"good"`
	GoodShare *rate.Share `json:"good_share"` // of Strokes; nil without
	// UnloggedTurns are turns without one logged stroke; their faults are
	// counted per minute, never mixed with the rest.
	UnloggedTurns   int         `json:"unlogged_turns"`
	UnloggedSeconds float64     `json:"unlogged_seconds"`
	Looked          Looked      `json:"looked"` // adds up to Turns and Strokes
	Streak          Streak      `json:"streak"`
	Readiness       *Readiness  `json:"readiness"` // nil where no stroke has both a ready moment and the partner's next contact
	Tempo           *Tempo      `json:"tempo"`     // nil where no turn has two strokes
	Faults          []FaultLine `json:"faults"`    // most often seen first; every fault with a mark or in use
}

// Streak is the longest run of good strokes inside one turn of a group.
type Streak struct {
	Longest int     `json:"longest"`
	Current int     `json:"current"` // good strokes at the end of the group's last turn with strokes
	Target  int     `json:"target"`  // of the drill that the longest run was played in; 0 where no strokes are logged
	Reached bool    `json:"reached"` // some turn reached the target of its own drill
	TurnID  club.ID `json:"turn_id"` // the turn with the longest run
	ClipID  club.ID `json:"clip_id"`
	Frame   int     `json:"frame"` // where that turn starts
}

// FaultLine is one fault in one group.
type FaultLine struct {
	FaultID   club.ID     `json:"fault_id"`
	Code      string      `json:"code"`
	Label     string      `json:"label"`
	Phase     club.Phase  `json:"phase"`
	Weight    int         `json:"weight"`
	Cue       string      `json:"cue"`
	Retired   bool        `json:"retired"`
	Marks     int         `json:"marks"`      // every mark, also two on one stroke
	Unplaced  int         `json:"unplaced"`   // marks in turns with strokes, none of which could have had the fault: in no rate
	Unlooked  int         `json:"unlooked"`   // marks where nobody has looked for the fault: in no rate either
	PerStroke *rate.Share `json:"per_stroke"` // nil where no stroke of the group could have had it and was looked at for it
	PerMinute *rate.Pace  `json:"per_minute"` // nil where nothing was looked at for it of turns without logged strokes
	// What nobody has looked at for this fault: turns of which something was left out,
	// and strokes that could have had it.
	UnlookedTurns   int       `json:"unlooked_turns"`
	UnlookedStrokes int       `json:"unlooked_strokes"`
	Say             string    `json:"say"`      // in a few words what was not looked at for it; empty where that is nothing
	MarkIDs         []club.ID `json:"mark_ids"` // the marks behind the numbers, in order of date, clip and frame; empty in a lean summary
	// Expected is the rate to expect of this player: PerStroke (without it,
	// PerMinute) drawn towards the club's. Nil without either, and in the team's
	// sheet outside its drills, where the drills are drawn towards the team.
	Expected *prior.Expected `json:"expected"`
	Trend    *contrast.Trend `json:"trend"` // of a sheet's All, where PerStroke is not nil
}

// Seen is how often a fault was seen: strokes with it, and marks where no strokes
// are logged.
func (l FaultLine) Seen() int {
	n := 0
	if l.PerStroke != nil {
		n += l.PerStroke.X
	}
	if l.PerMinute != nil {
		n += l.PerMinute.X
	}
	return n
}

// Looked says how far the turns of a group were looked through. Only strokes that
// somebody has looked at count in a rate.
type Looked struct {
	Turns        int `json:"turns"`         // looked through for every fault in use
	Strokes      int `json:"strokes"`       // in them
	SomeTurns    int `json:"some_turns"`    // looked through for some faults only, or in part
	SomeStrokes  int `json:"some_strokes"`  // in them
	NoTurns      int `json:"no_turns"`      // that nobody has looked at
	NoStrokes    int `json:"no_strokes"`    // in them
	TwiceTurns   int `json:"twice_turns"`   // that two coaches or more have looked at
	AssumedTurns int `json:"assumed_turns"` // in which some fault in use counts as looked for by marks alone (see club.Look.Assumed)
	// Say is all of it in plain sentences, empty where all was looked through by one
	// coach who has said so. Left is the words in it that count the turns that were not
	// looked through, which Counter.Unlooked tells apart; empty where there are none.
	Say  string `json:"say"`
	Left string `json:"left"`
}

func (l *Looked) Join(o Looked) {
	l.Turns += o.Turns
	l.Strokes += o.Strokes
	l.SomeTurns += o.SomeTurns
	l.SomeStrokes += o.SomeStrokes
	l.NoTurns += o.NoTurns
	l.NoStrokes += o.NoStrokes
	l.TwiceTurns += o.TwiceTurns
	l.AssumedTurns += o.AssumedTurns
}

// Readiness is how long before the partner's next contact the player was back in
// the ready position. A margin is in seconds, negative is late.
type Readiness struct {
	Strokes     int        `json:"strokes"`      // with both moments known
	Median      float64    `json:"median"`       // of the margins
	Lower       float64    `json:"lower"`        // quartile
	Upper       float64    `json:"upper"`        // quartile
	Late        rate.Share `json:"late"`         // strokes with a margin below nought
	LateStrokes []Late     `json:"late_strokes"` // the strokes behind Late, in order of date, clip and frame; empty in a lean summary
}

// Late is one stroke after which the player was late.
type Late struct {
	ClipID     club.ID `json:"clip_id"`
	TurnID     club.ID `json:"turn_id"`
	StrokeID   club.ID `json:"stroke_id"`
	Frame      int     `json:"frame"`       // of the stroke
	ReadyFrame int     `json:"ready_frame"` // of being ready, after the partner's contact
	ReadyTicks int64   `json:"ready_ticks"`
	Margin     float64 `json:"margin"` // seconds, negative
	Marked     bool    `json:"marked"` // a fault of the ready or recovery phase hangs on it; else a mark may be proposed
}

// Tempo is how fast a player's own strokes follow one another: strokes a minute
// of each turn, from its first stroke to its last.
type Tempo struct {
	Turns  int     `json:"turns"`  // with two strokes or more
	Median float64 `json:"median"` // strokes a minute, over the turns
	Lower  float64 `json:"lower"`  // quartile
	Upper  float64 `json:"upper"`  // quartile
	// Spread is how uneven the strokes come inside a turn: the standard deviation
	// of the gaps round their turn's mean, as a part of the mean gap. 0 is even.
	Spread float64 `json:"spread"`
}

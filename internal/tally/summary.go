// Package tally turns what was seen on film into numbers: fault rates with their
// intervals and streaks, for each player and for the team. It is pure: it knows
// no files and no clock.
//
// A rate counts only what somebody has looked at for its fault. It is counted per
// stroke wherever a turn has logged strokes, and per
// minute where it has none; the two are never mixed in one number. Every
// interval covers 95 %, two-sided. Strokes of one turn are alike, and intervals and
// tests allow for that by what all turns of the club show (see Likeness); where they
// show too little there is no interval and no test.
package tally

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/prior"
	"strokeledger/internal/tally/rate"
)

// Version is the version of the Summary's JSON. It grows when a field changes
// its meaning or goes away, not when one is added.
const Version = 1

// Summary is what a fault summary shows: the team first, then each player with
// anything seen in the period, in order of name. Its JSON is documented in the
// README and is what `strokeledger summary --format json` prints. No slice in it
// is nil.
type Summary struct {
	Version int       `json:"version"`
	From    club.Date `json:"from"`  // empty: open
	To      club.Date `json:"to"`    // empty: open
	Split   club.Date `json:"split"` // the first day of the later of two periods that are compared; empty: none are
	Team    Sheet     `json:"team"`
	Players []Sheet   `json:"players"`
	// Rankings puts the players in order for each fault that somebody showed, in
	// the order of Team.All.Faults; empty where fewer than two players are shown.
	Rankings []Ranking       `json:"rankings"`
	Tested   contrast.Tested `json:"tested"`
}

// Sheet is the summary of one player, or of the team where PlayerID is empty.
type Sheet struct {
	PlayerID  club.ID             `json:"player_id"`
	Name      string              `json:"name"`
	Alias     string              `json:"alias"` // the player's own, else initials; see Summary.Aliased
	All       Group               `json:"all"`
	Methods   []Group             `json:"methods"`   // in the order of club.Methods, only those trained
	Drills    []Group             `json:"drills"`    // by rung, then name, only those trained
	Contrasts []contrast.Contrast `json:"contrasts"` // in the order of All.Faults, only faults that could have happened in both methods
	// Comparisons holds every comparison of two parts of this sheet: methods,
	// sides, the partner's block, two periods; by kind in that order, then as in
	// All.Faults. Contrasts is its first kind in the older form.
	Comparisons []contrast.Comparison `json:"comparisons"`
	Phases      []PhaseCount          `json:"phases"`   // in the order of club.Phases, all six
	Sessions    []Session             `json:"sessions"` // in order of date
	Balance     Balance               `json:"balance"`
	Ladder      *climb.Ladder         `json:"ladder"`  // nil for the team
	WorkOn      *WorkOn               `json:"work_on"` // nil for the team
	Best        *StrokeRow            `json:"best"`    // the turn with the longest streak, the earliest of equals; nil without strokes, for the team, and in a lean summary
	Latest      *StrokeRow            `json:"latest"`  // the last turn with strokes; nil without, for the team, and in a lean summary
}

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

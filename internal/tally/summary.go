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
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/meaning"
	"strokeledger/internal/tally/reading"
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
	All       group.Group         `json:"all"`
	Methods   []group.Group       `json:"methods"`   // in the order of club.Methods, only those trained
	Drills    []group.Group       `json:"drills"`    // by rung, then name, only those trained
	Contrasts []contrast.Contrast `json:"contrasts"` // in the order of All.Faults, only faults that could have happened in both methods
	// Comparisons holds every comparison of two parts of this sheet: methods,
	// sides, the partner's block, two periods; by kind in that order, then as in
	// All.Faults. Contrasts is its first kind in the older form.
	Comparisons []contrast.Comparison `json:"comparisons"`
	Phases      []PhaseCount          `json:"phases"`   // in the order of club.Phases, all six
	Sessions    []Session             `json:"sessions"` // in order of date
	Balance     advice.Balance        `json:"balance"`
	Ladder      *climb.Ladder         `json:"ladder"`  // nil for the team
	WorkOn      *advice.WorkOn        `json:"work_on"` // nil for the team
	Best        *StrokeRow            `json:"best"`    // the turn with the longest streak, the earliest of equals; nil without strokes, for the team, and in a lean summary
	// Measured is what is measured of the strokes, which a Counter knows nothing of; nil
	// where nothing is, and in a lean summary of many.
	Measured *reading.Sheet `json:"measured,omitempty"`
	// Redefined says where the sheet lies over a change of what a fault means, which a
	// Counter knows nothing of; empty where it does not.
	Redefined string `json:"redefined,omitempty"`
	// Meanings is the same by fault, and in plain words.
	Meanings map[club.ID]meaning.Said `json:"-"`
	Latest   *StrokeRow               `json:"latest"` // the last turn with strokes; nil without, for the team, and in a lean summary
}

package tally

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/rate"
)

// Options say what is summed up and against what. The zero value takes all dates,
// compares no periods and knows no goals of the club.
type Options struct {
	From, To  club.Date     // closed period; empty: open
	Drills    []club.ID     // counted outside the ladder, which counts every drill; empty: all
	Split     club.Date     // compare before this day with from it on; empty: do not
	Today     club.Date     // for the tries of today; empty: the last date seen
	Rulings   []club.Ruling // the coaches' words on rungs
	TriesCap  int           // tries a day at one rung; 0: none set
	Irregular float64       // share of irregular strokes that the club aims at, 0 to 1; 0: balanced
	// Club is what everybody's rates are drawn towards: the totals of all the
	// club's players (see Counter.Totals), nil for those of the turns that are
	// summed up.
	Club []Total
	// Former stands for players who are nobody's any more: what they did counts for
	// the team and nowhere else. Empty: there is none.
	Former club.ID
	// Lean leaves out what fills a screen of a whole club many times over: the
	// marks behind each number, and of each of several players everything but All,
	// Methods, Balance, WorkOn and the ladder's state.
	Lean bool
	// TeamOnly leaves out the players' sheets and the rankings; a lean summary of
	// the team alone has its sessions' faults.
	TeamOnly bool
}

// TotalVersion is the version of what a Total holds: what was kept of another one
// says nothing.
const TotalVersion = 3

// Total is what one player showed of every fault, for the club's own spread, and how
// alike strokes of one turn and of one training day were.
type Total struct {
	PlayerID club.ID
	Faults   []FaultTotal // every fault that was seen or could have been
}

// FaultTotal is one fault of one player.
type FaultTotal struct {
	FaultID club.ID
	X       int     // strokes with it
	N       int     // strokes on which it could have happened and that were looked at
	Marks   int     // in turns without logged strokes
	Minutes float64 // looked at of those turns

	Turns, Days             rate.Alike // turns of one drill; training days round the line of their trend
	TurnSquares, DaySquares float64    // sums of the squares of the strokes of each
	Unlogged                rate.Alike // turns of one drill without logged strokes
	MinuteSquares           float64    // sum of the squares of their minutes
	Pairs                   rate.Alike // differences of two methods, or two blocks, on one training day
	PairStrokes             float64    // of days with both
	PairSquares             float64    // sum of those times how many share the day's form of their part
}

package tally

import "strokeledger/internal/club"

// Readiness is how long before the partner's next contact the player was back in
// the ready position. A margin is in seconds, negative is late.
type Readiness struct {
	Strokes  int     `json:"strokes"`  // with both moments known
	Median   float64 `json:"median"`   // of the margins
	Lower    float64 `json:"lower"`    // quartile
	Upper    float64 `json:"upper"`    // quartile
	Late     Share   `json:"late"`     // strokes with a margin below nought
	Unmarked []Late  `json:"unmarked"` // late without a mark of a fault in the ready or recovery phase: marks to propose; in order of date, clip and frame; empty in the team's sheet and in a lean summary
}

// Late is one stroke after which the player was late.
type Late struct {
	ClipID     club.ID `json:"clip_id"`
	TurnID     club.ID `json:"turn_id"`
	StrokeID   club.ID `json:"stroke_id"`
	Frame      int     `json:"frame"`       // of the stroke
	ReadyFrame int     `json:"ready_frame"` // where a mark would stand
	ReadyTicks int64   `json:"ready_ticks"`
	Margin     float64 `json:"margin"` // seconds, negative
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

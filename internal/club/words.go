package club

import "slices"

// The words a definition chooses from. Each is stored and exported as written
// here.
type (
	// Method says whether the player knows where the next ball goes.
	Method string
	// Side is the side of the racket that a stroke was played with; empty where
	// nobody has said.
	Side string
	// Sides says on which strokes a fault can happen.
	Sides string
	// Placement is the line that the ball travels in a drill.
	Placement string
	// Ball is what the partner does with it.
	Ball string
	// Phase is the part of a stroke in which a fault sits.
	Phase string
	// Outcome says how a stroke ended.
	Outcome string
	// Source says who made an entry.
	Source string
	// SignKind is the shape of a drawn sign.
	SignKind string
	// Hand is the hand that holds the racket.
	Hand string
)

const (
	Regular   Method = "regular"   // the next ball is known
	Irregular Method = "irregular" // the next ball is not known
	Free      Method = "free"      // open play

	NoSide   Side = "" // nobody has said
	Forehand Side = "forehand"
	Backhand Side = "backhand"

	ForehandOnly Sides = "forehand"
	BackhandOnly Sides = "backhand"
	BothSides    Sides = "both"

	Diagonal      Placement = "diagonal"
	Parallel      Placement = "parallel"
	FreePlacement Placement = "free"

	PassiveBlock Ball = "passive block"
	ActiveBlock  Ball = "active block"
	Multiball    Ball = "multiball"
	OpenRally    Ball = "open rally"

	Ready         Phase = "ready"
	Footwork      Phase = "footwork"
	Backswing     Phase = "backswing"
	ContactPhase  Phase = "contact"
	FollowThrough Phase = "follow-through"
	Recovery      Phase = "recovery"

	Good   Outcome = "good"
	Missed Outcome = "missed"

	ByHand    Source = "hand"    // a coach entered it
	ByMachine Source = "machine" // the sound proposed it; a coach who took it over is named beside it
	BySight   Source = "seen"    // the pictures did, alone or with the sound; likewise

	RightHand Hand = "right"
	LeftHand  Hand = "left"

	Arrow  SignKind = "arrow"
	Circle SignKind = "circle"
)

// Methods, Phases and SidesWords list the words in the order in which a screen offers
// them, as do placements and balls.
func Methods() []Method       { return []Method{Regular, Irregular, Free} }
func placements() []Placement { return []Placement{Diagonal, Parallel, FreePlacement} }
func balls() []Ball           { return []Ball{PassiveBlock, ActiveBlock, Multiball, OpenRally} }
func Phases() []Phase {
	return []Phase{Ready, Footwork, Backswing, ContactPhase, FollowThrough, Recovery}
}
func SidesWords() []Sides { return []Sides{ForehandOnly, BackhandOnly, BothSides} }

// Could reports whether a fault of these sides could have happened on a stroke
// of side s. A stroke whose side nobody knows could have been either.
func (f Sides) Could(s Side) bool {
	return f == BothSides || s == "" || string(f) == string(s)
}

func oneOf[T ~string](field string, v T, words []T) error {
	if slices.Contains(words, v) {
		return nil
	}
	return problem(field, "%q is not one of the choices for %s: pick one from the list.", v, field)
}

// Before reports whether a fault of this phase belongs to the stroke that was
// played last, Coming whether to the one that is played next; a fault at the contact
// itself (or of no known phase) belongs to the nearest.
func (p Phase) Before() bool { return p == FollowThrough || p == Recovery }
func (p Phase) Coming() bool { return p == Ready || p == Footwork || p == Backswing }

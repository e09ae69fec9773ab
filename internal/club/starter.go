package club

// Starter is the catalogue that a new library offers, for the team to edit: one
// coach, no players, common faults of the basic strokes, and a ladder of drills
// from regular to free (faults, cues and ladder are common practice, no source).
// newID gives each row its ID.
func Starter(newID func() ID) Catalogue {
	c := Catalogue{
		Coaches: []Coach{{Name: "Coach"}},
		Drills: []Drill{
			{Rung: 1, Name: "Forehand, diagonal", Method: Regular, Pattern: "F", Placement: Diagonal, Ball: PassiveBlock},
			{Rung: 2, Name: "Backhand, diagonal", Method: Regular, Pattern: "B", Placement: Diagonal, Ball: PassiveBlock},
			{Rung: 3, Name: "Forehand, parallel", Method: Regular, Pattern: "F", Placement: Parallel, Ball: PassiveBlock},
			{Rung: 4, Name: "Forehand and backhand in turn", Method: Regular, Pattern: "FB", Placement: FreePlacement, Ball: PassiveBlock},
			{Rung: 5, Name: "Two forehands, one backhand", Method: Regular, Pattern: "FFB", Placement: FreePlacement, Ball: ActiveBlock},
			{Rung: 6, Name: "Fast forehands from the basket", Method: Regular, Pattern: "F", Placement: Diagonal, Ball: Multiball},
			{Rung: 7, Name: "Forehand or backhand, partner decides", Method: Irregular, Placement: FreePlacement, Ball: PassiveBlock},
			{Rung: 8, Name: "Basket to both sides, not announced", Method: Irregular, Placement: FreePlacement, Ball: Multiball},
			{Rung: 9, Name: "Forehand diagonal, one surprise to the backhand", Method: Irregular, Placement: FreePlacement, Ball: ActiveBlock},
			{Rung: 10, Name: "Open rally", Method: Free, Placement: FreePlacement, Ball: OpenRally},
		},
		Faults: []Fault{
			{Code: "UPRIGHT", Key: "u", Phase: Ready, Sides: BothSides, Weight: 2, Label: "Standing upright", Cue: "Knees soft, weight on the front of your feet."},
			{Code: "LOWRKT", Key: "w", Phase: Ready, Sides: BothSides, Weight: 1, Label: "Racket hangs below the table", Cue: "Racket in front of you, above the table."},
			{Code: "CLOSE", Key: "c", Phase: Footwork, Sides: BothSides, Weight: 3, Measure: FeetBehind, Label: "Standing too close to the table", Cue: "One arm's length away from the table."},
			{Code: "FLAT", Key: "f", Phase: Footwork, Sides: BothSides, Weight: 2, Label: "Feet stand still", Cue: "Small steps, then play: feet first, arm second."},
			{Code: "REACH", Key: "r", Phase: Footwork, Sides: BothSides, Weight: 2, Label: "Reaching instead of moving", Cue: "Bring your body to the ball, not only your arm."},
			{Code: "BIGBACK", Key: "b", Phase: Backswing, Sides: ForehandOnly, Weight: 2, Label: "Backswing too long", Cue: "Racket no further back than your hip."},
			{Code: "NOTURN", Key: "n", Phase: Backswing, Sides: ForehandOnly, Weight: 2, Label: "Shoulders do not turn", Cue: "Turn from the hip, let the arm come along."},
			{Code: "ELBOW", Key: "e", Phase: ContactPhase, Sides: BothSides, Weight: 3, Measure: ElbowDrop, Label: "Unstable elbow", Cue: "The elbow stays where it is, the forearm plays."},
			{Code: "WRIST", Key: "i", Phase: ContactPhase, Sides: BackhandOnly, Weight: 2, Label: "Loose wrist", Cue: "Wrist firm when the racket meets the ball."},
			{Code: "LATEHIT", Key: "t", Phase: ContactPhase, Sides: BothSides, Weight: 2, Label: "Ball met too late", Cue: "Meet the ball in front of you, at its highest."},
			{Code: "OPEN", Key: "o", Phase: ContactPhase, Sides: BothSides, Weight: 1, Label: "Racket face too open", Cue: "Close the racket a little more."},
			{Code: "STOP", Key: "s", Phase: FollowThrough, Sides: BothSides, Weight: 1, Label: "Stroke stops at the ball", Cue: "Play on through the ball, forwards and up."},
			{Code: "ACROSS", Key: "a", Phase: FollowThrough, Sides: ForehandOnly, Weight: 1, Label: "Arm swings across the body", Cue: "Finish in front of your forehead, not behind your shoulder."},
			{Code: "LATE", Key: "l", Phase: Recovery, Sides: BothSides, Weight: 3, Measure: HandBack, Label: "Late return to ready", Cue: "Play, and straight back: ready before the partner hits."},
			{Code: "WATCH", Key: "h", Phase: Recovery, Sides: BothSides, Weight: 1, Label: "Watching the own ball", Cue: "Eyes to the partner's racket as soon as the ball is away."},
		},
	}
	for i := range c.Coaches {
		c.Coaches[i].ID = newID()
	}
	for i := range c.Drills {
		c.Drills[i].ID, c.Drills[i].Streak = newID(), DefaultStreakTarget
	}
	for i := range c.Faults {
		c.Faults[i].ID = newID()
	}
	return c
}

package contact

import "math"

// Turn is what was heard with rackets taken for bounces and bounces for rackets.
func Turn(all []Contact) []Contact {
	out := make([]Contact, len(all))
	for i, c := range all {
		if c.Turned != "" {
			c.Kind, c.Turned = c.Turned, c.Kind
			c.Who, c.TurnedWho = c.TurnedWho, c.Who
		}
		out[i] = c
	}
	return out
}

// Unsure reports whether the sound does not tell which of the two that are heard
// is the racket: a coach has to say so at one stroke.
func Unsure(all []Contact) bool {
	const clear = .6
	sum, n := 0.0, 0
	for _, c := range all {
		if c.Kind != Other {
			sum += c.Confidence
			n++
		}
	}
	return n > 0 && sum < clear*float64(n)
}

// Anchor takes what was heard so that rackets met the ball at known moments, in
// seconds, each within some seconds of the contact that is meant: of both ways to
// understand the sound it returns the one that has more of the known strokes, and
// as it was where they say nothing. What a coach has said leaves no doubt of the
// kinds.
func Anchor(all []Contact, known []float64, within float64) []Contact {
	votes := 0
	for _, at := range known {
		near, vote := within+rounding, 0
		for _, c := range all {
			if d := math.Abs(c.Seconds - at); d < near && c.Kind != Other && (c.Kind == Racket) != (c.Turned == Racket) {
				near, vote = d, 1
				if c.Turned == Racket {
					vote = -1
				}
			}
		}
		votes += vote
	}
	if votes == 0 {
		return all
	}
	out := all
	if votes < 0 {
		out = Turn(all)
	} else {
		out = append([]Contact(nil), all...)
	}
	for i := range out {
		if out[i].Kind != Other {
			out[i].Confidence = out[i].Alone
		}
	}
	return out
}

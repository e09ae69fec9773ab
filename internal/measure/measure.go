// Package measure works out of a player's joints what a stroke shows of three things
// that coaches of beginners look at: how far the feet stand from the end line, how far
// the elbow hangs below the shoulder, and how high the hand is on its way back to the
// ready position. Each comes with its error, or not at all.
//
// A measure is of a stroke, not of a child: it says where joints show in a picture.
// Everything here is a value and safe for concurrent use.
package measure

import (
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/table"
)

// Joint is where a joint shows, in display pixels (the centre of the first pixel is
// .5), and how likely it is to be in sight, 0 to 1.
type Joint struct {
	X, Y, Visibility float64
}

// Seen reports whether the joint is taken for seen.
func (j Joint) Seen() bool { return j.Visibility >= visible }

// Side is a side of the body.
type Side int

// The sides, as indices into the pairs of a [Body].
const (
	Right Side = iota
	Left
)

// Body is what is used of a player's joints in one picture, the right one of each pair
// first. Y grows downwards.
type Body struct {
	Seconds float64 // clip time of the picture

	Shoulder, Elbow, Wrist, Hip, Heel, Toe [2]Joint
}

// Pairs are the joints, to be read or set.
func (b *Body) Pairs() [6]*[2]Joint {
	return [6]*[2]Joint{&b.Shoulder, &b.Elbow, &b.Wrist, &b.Hip, &b.Heel, &b.Toe}
}

// Value is what was measured, in the unit of the measure (see [club.Measure]), its
// standard deviation, and the part of that which all strokes before one camera share.
// Astray is how often the value says nothing of the stroke, 0 to 1: somebody else's joints,
// or an arm that the network takes to hang as arms usually do.
type Value struct {
	At, SD, Shared, Astray float64
}

// Values are the measures of one stroke; one about which nothing can be said is
// missing.
type Values map[club.Measure]Value

// Stroke is when a stroke's racket meets the ball, when that of the player's next
// stroke does (0 where there is none), in seconds of clip time, and which hand holds
// the racket.
type Stroke struct {
	Contact, Next float64
	Racket        Side
}

// Span is a stretch of clip time, seconds.
type Span struct {
	From, To float64
}

// Has reports whether a moment lies in the stretch.
func (s Span) Has(t float64) bool {
	const slack = 1e-6 // of a time that was worked out twice
	return t > s.From-slack && t < s.To+slack
}

// Spans are the stretches of which each measure needs pictures. Feet and elbow move
// little round the contact, where a median of several pictures takes away what a
// network misses in one. The hand is looked at about two fifths of the way to the next
// contact: earlier it still follows through, later it swings back for the next stroke,
// which lowers it as well. Chosen on drawn clubs, on 616 strokes.
func (s Stroke) Spans() map[club.Measure]Span {
	gap := s.gap()
	return map[club.Measure]Span{
		club.FeetBehind: {s.Contact - .04, s.Contact + .04},
		club.ElbowDrop:  {s.Contact - .12, s.Contact + .06},
		club.HandBack:   {s.Contact + .36*gap, s.Contact + .46*gap},

		club.ReadyMargin: s.returns(),
	}
}

// follows reports whether the player's next stroke comes without a pause.
func (s Stroke) follows() bool {
	const longest = 1.5 // seconds
	return s.Next != 0 && s.Next-s.Contact <= longest
}

// gap is the time to the next stroke, or to when one that does not come would be, seconds.
func (s Stroke) gap() float64 {
	const usual = 1.0
	if s.follows() {
		return s.Next - s.Contact
	}
	return usual
}

// What the network of joints adds to the error of one stroke, from drawn clubs (of the
// elbow 300 strokes of clubs that nothing was tuned on, of the others 411): of the feet as
// a share of the trunk's length in the picture, of the others in percent of it. The
// feet's own covers their two ends, which move alike.
const (
	feetSD = .04
	handSD = 7.5
	// How far the means of clips are off, since a camera shows an arm from its own place.
	handShared = 6
	mostAstray = .02 // 1 of 205 strokes
)

// Less than this a joint is not taken for seen.
const visible = .5

// Of measures a stroke. The bodies may be of any pictures, in any order; a camera that
// is nil, or sees the feet too vaguely, leaves the feet out. Where the feet stand on
// the other side of the end line or farther than [Farthest] from it, the bodies are
// somebody else's and there are no values at all.
func Of(s Stroke, bodies []Body, camera *table.Camera) Values {
	spans, out := s.Spans(), Values{}
	in := func(k club.Measure, of func(Body) (float64, bool)) (float64, bool) {
		var found []float64
		for _, b := range spans[k].Of(bodies) {
			if v, ok := of(b); ok {
				found = append(found, v)
			}
		}
		return median(found)
	}
	if camera != nil {
		sd, shared := 0., 0.
		at, ok := in(club.FeetBehind, func(b Body) (float64, bool) {
			cm, one, common, ok := feet(b, camera)
			sd, shared = max(sd, one), max(shared, common)
			return cm, ok
		})
		if ok && (at < 0 || at > Farthest) {
			return Values{}
		}
		if ok {
			out[club.FeetBehind] = Value{at, sd, shared, mostAstray}
		}
	}
	if v, ok := elbow(s, spans[club.ElbowDrop].Of(bodies)); ok {
		out[club.ElbowDrop] = v
	}
	if at, ok := in(club.HandBack, func(b Body) (float64, bool) {
		return b.below(middle(b.Hip), b.Wrist[s.Racket])
	}); ok {
		out[club.HandBack] = Value{at, handSD, handShared, mostAstray}
	}
	return out
}

// Of are the bodies in the stretch.
func (s Span) Of(bodies []Body) (in []Body) {
	for _, b := range bodies {
		if s.Has(b.Seconds) {
			in = append(in, b)
		}
	}
	return in
}

// Farthest is how far from the end line the near player may stand to be that player,
// cm.
const Farthest = 300

// feet is how far the middle of both feet lies from the end line, the standard deviation,
// and that of the camera alone, cm. The ends of a shoe are joints about 3 cm above the
// floor.
func feet(b Body, camera *table.Camera) (at, sd, shared float64, ok bool) {
	const above = .03
	trunk, ok := b.trunk()
	if !ok {
		return 0, 0, 0, false
	}
	place, ok := b.soles()
	if !ok {
		return 0, 0, 0, false
	}
	var distance, half [2]float64 // with what the feet add, and without
	for i, pixels := range []float64{feetSD * trunk, feetSD * trunk / 100} {
		spot, err := camera.Floor(place, pixels)
		if err == nil {
			distance[i], half[i], err = spot.From(table.EndLine)
		}
		if err != nil {
			return 0, 0, 0, false
		}
	}
	// The ray meets the joints' height before it meets the floor.
	from := camera.Position()
	at = distance[0] + (-from[0]-distance[0])*above/from[2]
	return 100 * at, 100 * half[0] / 1.96, 100 * half[1] / 1.96, true
}

// soles is the middle of both feet in the picture.
func (b Body) soles() (at table.Point, ok bool) {
	for _, j := range []Joint{b.Heel[Right], b.Heel[Left], b.Toe[Right], b.Toe[Left]} {
		if !j.Seen() {
			return at, false
		}
		at.X, at.Y = at.X+j.X/4, at.Y+j.Y/4
	}
	return at, true
}

// trunk is how long the trunk shows, pixels.
func (b Body) trunk() (float64, bool) {
	top, bottom := middle(b.Shoulder), middle(b.Hip)
	long := math.Hypot(top.X-bottom.X, top.Y-bottom.Y)
	return long, long > 0 && top.Seen() && bottom.Seen()
}

// below is how far one joint shows below another, in percent of the trunk's length.
func (b Body) below(low, high Joint) (float64, bool) {
	long, ok := b.trunk()
	if !ok || !low.Seen() || !high.Seen() {
		return 0, false
	}
	return 100 * (low.Y - high.Y) / long, true
}

// middle is between a pair of joints; where one of them is hidden, as in a view from the
// side, it is the other.
func middle(pair [2]Joint) Joint {
	a, b := pair[Right], pair[Left]
	switch {
	case a.Seen() && !b.Seen():
		return a
	case b.Seen() && !a.Seen():
		return b
	}
	return Joint{(a.X + b.X) / 2, (a.Y + b.Y) / 2, min(a.Visibility, b.Visibility)}
}

func median(v []float64) (float64, bool) {
	if len(v) == 0 {
		return 0, false
	}
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2, true
}

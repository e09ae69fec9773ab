// Package swing says of a player's joints how likely the racket meets a ball at a moment,
// and on which side of the body. It knows no sound: a swing without a ball looks like one
// with a ball, so what it says has to be joined with what is heard.
//
// How it works. The wrist of the racket arm is taken from the hips, in lengths of the
// trunk, so that neither the distance of the camera nor the player's steps count. How it
// moves from a third of a second before a moment to a third after, ahead (where the toes
// point), up, and in whatever direction, goes into ten units whose weights were fitted on
// drawn players (weights.go). Everything here is a value and safe for concurrent use.
package swing

import (
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/measure"
)

// Pace is how many seconds of clip time may pass between two pictures that are looked at:
// every second one would not tell more.
const Pace = .08

// Reach is how long before and after a moment pictures are needed, seconds.
const Reach = .36

// spot is a place or a way in the picture, in lengths of the trunk, y downwards.
type spot struct{ x, y float64 }

func (a spot) dot(b spot) float64 { return a.x*b.x + a.y*b.y }
func (a spot) long() float64      { return math.Hypot(a.x, a.y) }

func (a spot) unit() spot {
	if l := a.long(); l > 0 {
		return spot{a.x / l, a.y / l}
	}
	return spot{}
}

// Arm is the racket arm of one player through a stretch of pictures.
type Arm struct {
	at            []float64 // clip time of the pictures, rising
	wrist, elbow  []spot    // from the hips
	ahead, across spot      // where the toes point; from the other shoulder to the racket's
	on            spot      // of length 1: ahead along the floor
	open          bool      // left and right can be told from each other
}

// Of takes the arm that holds the racket from bodies in order of time.
func Of(bodies []measure.Body, racket measure.Side) *Arm {
	a := &Arm{}
	var trunks []float64
	var aheads, acrosses []spot
	for i := range bodies {
		b := &bodies[i]
		hips, shoulders := middle(b.Hip), middle(b.Shoulder)
		trunk := minus(shoulders, hips).long()
		if trunk == 0 || len(a.at) > 0 && b.Seconds <= a.at[len(a.at)-1] {
			continue
		}
		a.at = append(a.at, b.Seconds)
		a.wrist = append(a.wrist, minus(place(b.Wrist[racket]), hips))
		a.elbow = append(a.elbow, minus(place(b.Elbow[racket]), hips))
		trunks = append(trunks, trunk)
		aheads = append(aheads, minus(middle(b.Toe), middle(b.Heel)))
		acrosses = append(acrosses, minus(place(b.Shoulder[racket]), place(b.Shoulder[1-racket])))
	}
	if len(trunks) == 0 {
		return a
	}
	trunk := median(trunks)
	for i := range a.wrist {
		a.wrist[i], a.elbow[i] = a.wrist[i].times(1/trunk), a.elbow[i].times(1/trunk)
	}
	a.ahead, a.across = typical(aheads).times(1/trunk), typical(acrosses).times(1/trunk)
	a.on = along(a.ahead)
	a.open = opened(bodies, racket, a.across)
	return a
}

// along is where the floor lies ahead of a player who turns the back to the camera. Networks
// tell that from heels and toes to the left or right only, and too little of it; they place
// the toes of somebody seen from behind lower than the heels, who then would strike
// backwards. How much too little, and how much higher the floor ahead is in the picture of
// a camera a little above the player, are of drawn clubs of seeds 601 and 602.
func along(ahead spot) spot {
	const wider, higher = 1.4, .12 // times; trunks
	return spot{wider * ahead.x, -higher}.unit()
}

// opened reports whether left and right can be told from each other: seen from the side,
// networks exchange them. The near player turns the back to the camera, so the racket's
// shoulder is on the racket's side of the picture, or the player is somebody else; and
// shoulders and hips lie the same way in almost every picture. Chosen on drawn clubs of
// seeds 601 and 602.
func opened(bodies []measure.Body, racket measure.Side, across spot) bool {
	const wide, steady = .3, .95 // trunks; of the pictures
	n := 0
	for i := range bodies {
		b := &bodies[i]
		shoulders := minus(place(b.Shoulder[racket]), place(b.Shoulder[1-racket]))
		hips := minus(place(b.Hip[racket]), place(b.Hip[1-racket]))
		if shoulders.dot(across) > 0 && hips.dot(across) > 0 {
			n++
		}
	}
	return across.long() >= wide && across.x > 0 == (racket == measure.Right) && float64(n) >= steady*float64(len(bodies))
}

func place(j measure.Joint) spot { return spot{j.X, j.Y} }

func middle(pair [2]measure.Joint) spot {
	return spot{(pair[0].X + pair[1].X) / 2, (pair[0].Y + pair[1].Y) / 2}
}

func minus(a, b spot) spot          { return spot{a.x - b.x, a.y - b.y} }
func (a spot) times(k float64) spot { return spot{a.x * k, a.y * k} }

// typical is the median of each coordinate.
func typical(all []spot) spot {
	x, y := make([]float64, len(all)), make([]float64, len(all))
	for i, s := range all {
		x[i], y[i] = s.x, s.y
	}
	return spot{median(x), median(y)}
}

func median(v []float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}

// between is where a joint is at a time, in a line between two pictures; not ok where
// these lie more than three paces apart.
func (a *Arm) between(of []spot, t float64) (spot, bool) {
	const slack = 1e-6 // of a time that was worked out twice
	i, _ := slices.BinarySearch(a.at, t-slack)
	switch {
	case i == len(a.at):
		return spot{}, false
	case math.Abs(a.at[i]-t) <= slack:
		return of[i], true
	case i == 0 || a.at[i]-a.at[i-1] > 3*Pace:
		return spot{}, false
	}
	k := (t - a.at[i-1]) / (a.at[i] - a.at[i-1])
	return of[i-1].times(1 - k).plus(of[i].times(k)), true
}

func (a spot) plus(b spot) spot { return spot{a.x + b.x, a.y + b.y} }

// step parts the moments at which the wrist is taken, seconds.
const step = .12

// steps is how many ways of the wrist are looked at.
const steps = 2 * Reach / step

// still is the speed of a wrist that hardly moves, trunks a second.
const still = .3

// ways are how fast the wrist moves ahead, up and at all in each step round a moment.
func (a *Arm) ways(t float64) (v [3 * int(steps)]float64, ok bool) {
	n := int(steps)
	from, ok := a.between(a.wrist, t-Reach)
	for i := 0; ok && i < n; i++ {
		var to spot
		if to, ok = a.between(a.wrist, t-Reach+float64(i+1)*step); ok {
			way := minus(to, from).times(1 / step)
			v[i], v[n+i], v[2*n+i] = way.dot(a.on), -way.y, math.Log(still+way.long())
			from = to
		}
	}
	return v, ok
}

// most is how much joints may say at most, in favour of a contact or against it, as a
// logarithm: they may be somebody else's.
const most = 6

// Contact is how much likelier the joints are about a moment if the racket meets a ball
// then than at any other time of a turn, as a natural logarithm; not known where too few
// pictures were looked at, or nobody was found in them.
func (a *Arm) Contact(t float64) (odds float64, known bool) {
	v, known := a.ways(t)
	if !known {
		return 0, false
	}
	units, weighs := struck()
	odds = weighs[len(units)]
	for u, w := range units {
		sum := w[len(v)]
		for i, x := range v {
			sum += w[i] * x
		}
		odds += weighs[u] * math.Tanh(sum)
	}
	return min(most, max(-most, odds)), true
}

// Side is on which side of the body the racket meets a ball at a moment, with the chance
// that this is so, 0.5 to 1; not known as in [Arm.Contact], nor where the player is seen
// from the side.
func (a *Arm) Side(t float64) (side club.Side, chance float64, known bool) {
	v, known := a.places(t)
	if !known || !a.open {
		return "", 0, false
	}
	w := sided()
	odds := w[len(w)-1]
	for i, x := range v {
		odds += w[i] * x
	}
	side = club.Forehand
	if odds < 0 {
		side = club.Backhand
	}
	return side, 1 / (1 + math.Exp(-math.Abs(odds)*sideTemper)), true
}

// places are where wrist and elbow are before, at and after a moment: to the racket's
// side, ahead and up, each as it shows, and as far as the view lets it show.
func (a *Arm) places(t float64) (v [36]float64, ok bool) {
	across, ahead := a.across.unit(), a.ahead.unit()
	i := 0
	for _, of := range [][]spot{a.wrist, a.elbow} {
		for _, d := range []float64{-step, 0, step} {
			p, ok := a.between(of, t+d)
			if !ok {
				return v, false
			}
			for _, x := range []float64{p.dot(across), p.dot(a.across), p.dot(ahead), p.dot(a.ahead), -p.y, p.x * math.Copysign(1, a.across.x)} {
				v[i] = x
				i++
			}
		}
	}
	return v, true
}

// Package swing says of a player's joints how likely the racket meets a ball at a moment,
// and on which side of the body. It knows no sound: a swing without a ball looks like one
// with a ball, so what it says has to be joined with what is heard.
//
// How it works. The wrist, elbow and shoulder of both arms are taken from the hips, in
// lengths of the trunk, so that neither the distance of the camera nor the player's steps
// count. How they move from a third of a second before a moment to a third after goes into
// units, whose weights were fitted to drawn players as the network of joints sees
// them (weights.go): where it guesses a wrist that the trunk hides, the elbow, the shoulders
// and the free arm tell. Everything here is a value and safe for concurrent use.
package swing

import (
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/layer"
	"strokeledger/internal/measure"
)

// Pace is how many seconds of clip time may pass between two pictures that are looked at:
// every second one would not tell more.
const Pace = .08

// Reach is how long before and after a moment pictures are needed, seconds.
const Reach = .36

// spot is a place or a way in the picture, in lengths of the trunk, y downwards.
type spot struct{ x, y float64 }

func (a spot) long() float64 { return math.Hypot(a.x, a.y) }

// parts are the joints that are followed: wrist, elbow and shoulder on the racket's side,
// then on the other.
const parts = 6

// Arms are both arms of one player through a stretch of pictures.
type Arms struct {
	at []float64     // clip time of the pictures, rising
	of [parts][]spot // from the hips; of a left-hander in a mirror
	// How the player stands: how far the toes point to the right, and where the racket's
	// shoulder is from the other.
	view [views]float64
	// Whether this may be the near player, who turns the back to the camera: then the racket's
	// shoulder is on the racket's side of the picture. Where it plainly is on the other,
	// somebody else is seen, or left and right are exchanged.
	backs bool

	struck, sided layer.Layer
}

// Of takes both arms from bodies in order of time, of a player who holds the racket on the
// side racket.
func Of(bodies []measure.Body, racket measure.Side) *Arms {
	const plainly = .3 // trunks; chosen on drawn clubs of seeds 601 and 602
	a := &Arms{struck: struck(), sided: sided()}
	right := 1. // where the picture's right is
	if racket == measure.Left {
		right = -1
	}
	place := func(j measure.Joint) spot { return spot{right * j.X, j.Y} }
	middle := func(pair [2]measure.Joint) spot { return place(pair[0]).plus(place(pair[1])).times(.5) }
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
		for side := range measure.Side(2) {
			for k, pair := range [...]*[2]measure.Joint{&b.Wrist, &b.Elbow, &b.Shoulder} {
				of := &a.of[int(side)*parts/2+k]
				*of = append(*of, minus(place(pair[racket^side]), hips))
			}
		}
		trunks = append(trunks, trunk)
		aheads = append(aheads, minus(middle(b.Toe), middle(b.Heel)))
		acrosses = append(acrosses, minus(place(b.Shoulder[racket]), place(b.Shoulder[1-racket])))
	}
	if len(trunks) == 0 {
		return a
	}
	scale := 1 / median(trunks)
	for _, of := range a.of {
		for i := range of {
			of[i] = of[i].times(scale)
		}
	}
	ahead, across := typical(aheads).times(scale), typical(acrosses).times(scale)
	a.view = [views]float64{ahead.x, across.x, across.y}
	a.backs = across.x > -plainly
	return a
}

func minus(a, b spot) spot          { return spot{a.x - b.x, a.y - b.y} }
func (a spot) plus(b spot) spot     { return spot{a.x + b.x, a.y + b.y} }
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
func (a *Arms) between(of []spot, t float64) (spot, bool) {
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

// step parts the moments at which joints are taken, seconds.
const step = .12

const (
	steps = 6  // from [Reach] before a moment to as long after
	still = .3 // trunks a second: the speed of a joint that hardly moves
	views = 3  // numbers that tell how a player stands
	way   = 3  // numbers that tell how a joint moves in a step
	spots = 5  // from two steps before a moment to two after
)

// Ways are what [Arms.Contact] weighs: how each joint moves to the right, up, and the
// logarithm of how fast, in each step round a moment, and how the player stands. Not ok as
// there.
func (a *Arms) Ways(t float64) (v [steps*parts*way + views]float64, ok bool) {
	k := 0
	for _, of := range a.of {
		from, ok := a.between(of, t-Reach)
		for i := range steps {
			var to spot
			if ok {
				to, ok = a.between(of, t-Reach+float64(i+1)*step)
			}
			if !ok {
				return v, false
			}
			d := minus(to, from).times(1 / step)
			v[k], v[k+1], v[k+2] = d.x, -d.y, math.Log(still+d.long())
			k += way
			from = to
		}
	}
	copy(v[k:], a.view[:])
	return v, true
}

// Places are what [Arms.Side] weighs: where each joint is before, at and after a moment,
// and how the player stands. Not ok as in [Arms.Contact].
func (a *Arms) Places(t float64) (v [spots*parts*2 + views]float64, ok bool) {
	k := 0
	for _, of := range a.of {
		for i := range spots {
			p, ok := a.between(of, t+step*float64(i-spots/2))
			if !ok {
				return v, false
			}
			v[k], v[k+1] = p.x, p.y
			k += 2
		}
	}
	copy(v[k:], a.view[:])
	return v, true
}

// most is how much joints may say at most, in favour of a contact or against it, as a
// logarithm: they may be somebody else's.
const most = 6

// Contact is how much likelier the joints are about a moment if the racket meets a ball
// then than at any other time of a turn, as a natural logarithm; not known where too few
// pictures were looked at, or nobody was found in them.
func (a *Arms) Contact(t float64) (odds float64, known bool) {
	v, known := a.Ways(t)
	if !known {
		return 0, false
	}
	return min(most, max(-most, a.struck.Of(v[:]))), true
}

// Side is on which side of the body the racket meets a ball at a moment, with the chance
// that this is so, 0.5 to 1; not known as in [Arms.Contact], nor where the
// player cannot be the near one.
func (a *Arms) Side(t float64) (side club.Side, chance float64, known bool) {
	v, known := a.Places(t)
	if !known || !a.backs {
		return "", 0, false
	}
	odds := a.sided.Of(v[:])
	side = club.Forehand
	if odds < 0 {
		side = club.Backhand
	}
	return side, 1 / (1 + math.Exp(-math.Abs(odds))), true
}

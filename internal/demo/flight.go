package demo

import "math"

// gravity is the standard acceleration of free fall, m/s².
const gravity = 9.81

const (
	// restitution is the part of the ball's upright speed that a bounce on the
	// table leaves, the root of 0.23/0.30: about 23 cm from 30 cm. Source: Laws of
	// Table Tennis 2.1.3.
	restitution = 0.875595

	// grip is the part of the level speed that a bounce leaves, and floorBounce
	// the restitution of the hall's floor. Chosen for the drawing, no source.
	grip        = 0.9
	floorBounce = 0.72
	netClear    = TableHeight + NetHeight + BallRadius + 0.012
)

// flight is one stretch of a ball's way under gravity alone.
type flight struct {
	from, to float64 // seconds
	at, v    Vec     // place and velocity at from
	held     bool    // in a hand: it stays where it is
}

// reach is the flight that leaves a at from and is at b a time later.
func reach(a, b Vec, from, seconds float64) flight {
	v := b.Sub(a).Times(1 / seconds)
	v.Z += gravity * seconds / 2
	return flight{from: from, to: from + seconds, at: a, v: v}
}

func (f flight) place(t float64) Vec {
	if f.held {
		return f.at
	}
	t -= f.from
	return Vec{f.at.X + f.v.X*t, f.at.Y + f.v.Y*t, f.at.Z + f.v.Z*t - gravity*t*t/2}
}

func (f flight) speed(t float64) Vec {
	return Vec{f.v.X, f.v.Y, f.v.Z - gravity*(t-f.from)}
}

// whenX is the time at which the flight's line is at x.
func (f flight) whenX(x float64) float64 { return f.from + (x-f.at.X)/f.v.X }

// clearsNet reports whether the flight passes over the net, if it passes it.
func (f flight) clearsNet() bool {
	t := f.whenX(NetX)
	return t < f.from || t > f.to || f.place(t).Z > netClear
}

// bounce is the flight after f has met a level surface at its end.
func (f flight) bounce(restitution, seconds float64) flight {
	v := f.speed(f.to)
	return flight{from: f.to, to: f.to + seconds, at: f.place(f.to), v: Vec{v.X * grip, v.Y * grip, -v.Z * restitution}}
}

// fall is how long after its start the flight comes down to height z.
func (f flight) fall(z float64) float64 {
	return (f.v.Z + math.Sqrt(math.Max(0, f.v.Z*f.v.Z+2*gravity*(f.at.Z-z)))) / gravity
}

// Ball is the way of one ball from the hand that feeds it until it is dead.
type Ball struct{ flights []flight }

// Place is where the ball is; false before and after its way.
func (b Ball) Place(t float64) (Vec, bool) {
	for _, f := range b.flights {
		if t >= f.from && t < f.to {
			return f.place(t), true
		}
	}
	return Vec{}, false
}

func (b *Ball) add(f ...flight) { b.flights = append(b.flights, f...) }
func (b Ball) last() flight     { return b.flights[len(b.flights)-1] }

package demo

import (
	"math"
	"sort"
)

// pose is what the joints of a figure are worked out from. Lengths are metres in
// the body's own frame: forward, to the racket side, up; angles are radians.
type pose [poseSize]float64

const (
	pelvisX    = iota // hall
	pelvisY           // hall
	facing            // angle of forward from the hall's x
	hipHeight         // of the hip joints
	lean              // of the trunk, forward
	twistBack         // of the shoulders, positive takes the racket shoulder back
	racketFwd         // centre of the blade
	racketSide        //
	racketUp          // height above the floor
	bladeFwd          // direction from the wrist to the blade, not of unit length
	bladeSide         //
	bladeUp           //
	elbowOut          // 0 the elbow hangs, half pi it is lifted outward
	handFwd           // the free hand
	handSide          //
	handUp            //
	poseSize
)

// track is a figure's pose over time: smooth through its keys and never beyond
// them between two (monotone cubic interpolation, Fritsch and Carlson 1980, with
// the slopes' weighted harmonic mean of Fritsch and Butland 1984).
type track struct {
	times  []float64
	poses  []pose
	slopes []pose
}

type key struct {
	t float64
	p pose
}

// newTrack sorts the keys; of two closer than a hundredth of a second the one
// given first stays.
func newTrack(keys []key) track {
	sort.SliceStable(keys, func(i, j int) bool { return keys[i].t < keys[j].t })
	var tr track
	for _, k := range keys {
		if n := len(tr.times); n > 0 && k.t-tr.times[n-1] < 0.01 {
			continue
		}
		tr.times = append(tr.times, k.t)
		tr.poses = append(tr.poses, k.p)
	}
	tr.slopes = make([]pose, len(tr.times))
	for i := 1; i+1 < len(tr.times); i++ {
		h0, h1 := tr.times[i]-tr.times[i-1], tr.times[i+1]-tr.times[i]
		for c := range poseSize {
			d0 := (tr.poses[i][c] - tr.poses[i-1][c]) / h0
			d1 := (tr.poses[i+1][c] - tr.poses[i][c]) / h1
			if d0*d1 > 0 {
				w0, w1 := 2*h1+h0, h1+2*h0
				tr.slopes[i][c] = (w0 + w1) / (w0/d0 + w1/d1)
			}
		}
	}
	return tr
}

func (tr track) at(t float64) pose {
	n := len(tr.times)
	i := sort.SearchFloat64s(tr.times, t)
	if i == 0 {
		return tr.poses[0]
	}
	if i == n {
		return tr.poses[n-1]
	}
	h := tr.times[i] - tr.times[i-1]
	s := (t - tr.times[i-1]) / h
	a, b := tr.poses[i-1], tr.poses[i]
	var p pose
	for c := range poseSize {
		p[c] = (1+2*s)*(1-s)*(1-s)*a[c] + s*(1-s)*(1-s)*h*tr.slopes[i-1][c] +
			s*s*(3-2*s)*b[c] + s*s*(s-1)*h*tr.slopes[i][c]
	}
	return p
}

// plant is one stand of a foot.
type plant struct {
	from, to float64
	x, y     float64
}

// foot is where a foot is: still while planted, lifted in an arc between.
func foot(plants []plant, t float64) Vec {
	i := sort.Search(len(plants), func(i int) bool { return plants[i].from > t })
	if i == 0 {
		return Vec{plants[0].x, plants[0].y, 0}
	}
	a := plants[i-1]
	if t <= a.to || i == len(plants) {
		return Vec{a.x, a.y, 0}
	}
	b := plants[i]
	s := (t - a.to) / (b.from - a.to)
	move := math.Hypot(b.x-a.x, b.y-a.y)
	ease := s * s * (3 - 2*s)
	return Vec{a.x + (b.x-a.x)*ease, a.y + (b.y-a.y)*ease, math.Min(0.09, 0.35*move) * math.Sin(math.Pi*s)}
}

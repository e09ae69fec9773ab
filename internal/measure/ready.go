package measure

import (
	"cmp"
	"math"
	"slices"
)

// Return is when the racket hand is back in the ready position after a stroke.
type Return struct {
	Told bool // else nothing can be said, and the rest is empty
	// At is the clip time, seconds. Where the hand is not back before it swings for the
	// next stroke, Never is set and At is when that begins: it is not back before.
	At     float64
	Never  bool
	SD     float64 // of At, seconds
	Shared float64 // the part of SD that all strokes before one camera have in common
	Astray float64 // how often At says nothing of the stroke, 0 to 1
}

// What finds a hand that is back, chosen on the true joints of drawn clubs 101 to 103 and
// what the network saw of them. Distances are in lengths of the trunk.
const (
	returnsFrom = .12 // seconds after a contact: before, the racket follows through
	swings      = .26 // seconds before the next contact the hand is on its way there
	leaves      = .5  // seconds before it, at the earliest, a hand leaves the ready position
	waitsFrom   = .65 // seconds before it, from when
	waitsTo     = .30 // to when a hand waits as a rule
	backWithin  = .27 // of where it waits, a hand is back
	fewWaits    = 3   // strokes of a turn that have to show where the hand waits

	// A wrist moves fast, of which the network is never sure: it is followed where joints
	// that rest would not be taken for seen.
	wristVisible = .05
	returnShare  = .9  // of the pictures have to show it
	returnApart  = .18 // seconds at most between the pictures before and after it is back
	returnSpread = .25 // seconds at most from when the hand comes nearer than outer to when than inner
	outer, inner = .4, .2
)

// How far the time is off, by how long the hand takes from outer to inner; seconds, on drawn
// clubs. The place where it waits is the same for all strokes of a turn, and so is a part
// of the error.
const (
	returnSD, returnSlow = .03, .7
	returnShared         = .015
	returnAstray         = .06
)

// returns is the stretch in which the hand comes back.
func (s Stroke) returns() Span { return Span{s.Contact + returnsFrom, s.Contact + s.gap() - swings} }

// Returns are when the hand is back after each stroke of one turn, in their order. The
// player shows where the hand waits: it is where it mostly is, seen from the hips, before
// it swings for the next stroke. It is back when it comes near that place to stay. Nothing
// can be said where the wrist is often hidden, and in a turn of few strokes. The feet are
// not looked at.
func Returns(strokes []Stroke, bodies []Body) []Return {
	out := make([]Return, len(strokes))
	var long []float64
	for i := range bodies {
		if l, ok := bodies[i].trunk(); ok {
			long = append(long, l)
		}
	}
	trunk, ok := median(long)
	if !ok {
		return out
	}
	ways, wanted := make([][]way, len(strokes)), make([]int, len(strokes))
	var across, down []float64
	waits := 0
	for i, s := range strokes {
		before := len(across)
		for _, b := range s.returns().Of(bodies) {
			wanted[i]++
			w, ok := b.way(s.Racket, trunk)
			if !ok {
				continue
			}
			ways[i] = append(ways[i], w)
			if left := s.Next - w.at; s.follows() && left > waitsTo && left < waitsFrom {
				across, down = append(across, w.x), append(down, w.y)
			}
		}
		if len(across) > before {
			waits++
		}
	}
	if waits < fewWaits {
		return out
	}
	var there way
	there.x, _ = median(across)
	there.y, _ = median(down)
	for i, s := range strokes {
		slices.SortFunc(ways[i], func(a, b way) int { return cmp.Compare(a.at, b.at) })
		if float64(len(ways[i])) >= returnShare*float64(wanted[i]) {
			out[i] = back(ways[i], there, s.Contact+s.gap()-leaves)
		}
	}
	return out
}

// way is from the hips to the wrist in a picture.
type way struct{ at, x, y float64 }

func (w way) from(o way) float64 { return math.Hypot(w.x-o.x, w.y-o.y) }

func (b Body) way(racket Side, trunk float64) (way, bool) {
	hips, wrist := middle(b.Hip), b.Wrist[racket]
	return way{b.Seconds, (wrist.X - hips.X) / trunk, (wrist.Y - hips.Y) / trunk}, hips.Seen() && wrist.Visibility >= wristVisible
}

// back is when the ways, in order of time, come to a place to stay there until the hand
// swings, which is after leave at the earliest.
func back(ways []way, there way, leave float64) Return {
	const few = 4
	if len(ways) < few {
		return Return{}
	}
	told := Return{Told: true, Shared: returnShared, Astray: returnAstray}
	last := len(ways) - 1
	for last > 0 && ways[last].from(there) > backWithin {
		last-- // it has begun to swing
	}
	// An arm that falls passes the place and is not back.
	if left := last < len(ways)-1; left && (ways[last].from(there) > backWithin || ways[last].at < leave) {
		told.At, told.Never, told.SD = ways[len(ways)-1].at, true, returnSD+returnSlow*returnSpread
		return told
	}
	ways = ways[:last+1]
	at, apart := arrives(ways, there, backWithin)
	before, _ := arrives(ways, there, outer)
	spread := returnSpread // of a hand that comes no nearer
	if slices.ContainsFunc(ways, func(w way) bool { return w.from(there) <= inner }) {
		after, _ := arrives(ways, there, inner)
		spread = max(0, after-before)
	}
	if apart > returnApart || spread > returnSpread {
		return Return{}
	}
	told.At, told.SD = at, returnSD+returnSlow*spread
	return told
}

// arrives is when ways come nearer than so much to a place and stay there to their end,
// and how far apart the pictures are between which they do.
func arrives(ways []way, there way, within float64) (at, apart float64) {
	near := func(i int) bool { return ways[i].from(there) <= within }
	i := len(ways) - 1
	for i > 0 && !near(i) {
		i-- // nearer than this it was before
	}
	// One picture in which it seems to be away again is the network's.
	for i > 0 && (near(i-1) || i > 1 && near(i-2)) {
		i--
	}
	if i == 0 {
		return ways[0].at, 0
	}
	a, b := ways[i-1], ways[i]
	from, to := a.from(there), b.from(there)
	return a.at + (b.at-a.at)*(from-within)/(from-to), b.at - a.at
}

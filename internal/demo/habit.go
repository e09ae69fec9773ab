package demo

import (
	"math/rand/v2"
	"slices"

	"strokeledger/internal/club"
)

// way is a fault as a figure acts it.
type way string

const (
	tooNear  way = "too near"  // plays the ball with the hips close to the end line
	elbow    way = "elbow"     // the elbow leaves its place, another place every time
	late     way = "late"      // the racket still hangs low when the partner plays
	upright  way = "upright"   // straight knees, straight back
	bigSwing way = "big swing" // the racket goes far behind the body
)

func ways() []way { return []way{tooNear, elbow, late, upright, bigSwing} }

// could reports on which strokes the way can be acted.
func (w way) sides() club.Sides {
	if w == bigSwing {
		return club.ForehandOnly
	}
	return club.BothSides
}

// habit is what one player does in one turn.
type habit struct {
	miss   float64 // chance of a miss without any fault
	faults map[way]float64
}

// draw picks the faults of one stroke, in the order of ways.
func (h habit) draw(rng *rand.Rand, side club.Side) (drawn []way) {
	for _, w := range ways() {
		if rng.Float64() < h.faults[w] && w.sides().Could(side) {
			drawn = append(drawn, w)
		}
	}
	return drawn
}

func has(faults []way, w way) bool { return slices.Contains(faults, w) }

// tendency is the chance of a fault on a stroke in the first and in the last
// session, in regular and in irregular drills; free play lies between.
type tendency struct{ regular, irregular [2]float64 }

func steady(p float64) tendency { return tendency{[2]float64{p, p}, [2]float64{p, p}} }

// breaks holds while the next ball is known and breaks when it is not.
func breaks(regular, irregular float64) tendency {
	return tendency{[2]float64{regular, regular}, [2]float64{irregular, irregular}}
}

// improves goes from one chance to another over the sessions.
func improves(from, to float64) tendency {
	return tendency{[2]float64{from, to}, [2]float64{min(1, from*1.2), to * 1.2}}
}

// at is the chance in one session, progress running from 0 (first) to 1 (last).
func (t tendency) at(m club.Method, progress float64) float64 {
	between := func(p [2]float64) float64 { return p[0] + (p[1]-p[0])*progress }
	switch m {
	case club.Regular:
		return between(t.regular)
	case club.Irregular:
		return between(t.irregular)
	}
	return (between(t.regular) + between(t.irregular)) / 2
}

package desk_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/layer"
	"strokeledger/internal/measure"
	"strokeledger/internal/swing"
)

// swung is a turn as the network sees it, and what is true of it.
type swung struct {
	from, to float64
	bodies   []measure.Body
	racket   measure.Side
	strokes  []demo.TruthStroke
}

// others are moments of a turn every 40 ms of which none is near a contact.
func (s *swung) others() (at []float64) {
	for t := s.from + .2; t < s.to-.2; t += .04 {
		if !slices.ContainsFunc(s.strokes, func(k demo.TruthStroke) bool { return math.Abs(k.Seconds-t) <= .07 }) {
			at = append(at, t)
		}
	}
	return at
}

// rested is a turn whose player's free arm moves less, or at other times, and whose
// shoulders move less: drawn players move the whole body with every stroke, others may not.
func (s swung) rested(rng *rand.Rand) swung {
	arm, shoulders := 1.2*rng.Float64(), .3+.9*rng.Float64()
	later := 0
	if rng.IntN(2) == 0 {
		later = 4 + rng.IntN(35)
	}
	free := 1 - s.racket
	seen := s.bodies
	s.bodies = slices.Clone(seen)
	for _, part := range []struct {
		of    func(b *measure.Body) *measure.Joint
		moves float64
		later int
	}{
		{func(b *measure.Body) *measure.Joint { return &b.Wrist[free] }, arm, later},
		{func(b *measure.Body) *measure.Joint { return &b.Elbow[free] }, arm, later},
		{func(b *measure.Body) *measure.Joint { return &b.Shoulder[free] }, shoulders, 0},
		{func(b *measure.Body) *measure.Joint { return &b.Shoulder[s.racket] }, shoulders, 0},
	} {
		x, y := make([]float64, len(seen)), make([]float64, len(seen))
		for i := range seen {
			hx, hy := hips(&seen[i])
			j := part.of(&seen[i])
			x[i], y[i] = j.X-hx, j.Y-hy
		}
		mx, my := medianOf(x), medianOf(y)
		for i := range seen {
			hx, hy := hips(&seen[i])
			from := (i + part.later) % len(seen)
			j := part.of(&s.bodies[i])
			j.X, j.Y = hx+mx+part.moves*(x[from]-mx), hy+my+part.moves*(y[from]-my)
		}
	}
	return s
}

// swungOf are the turns of a club as the network sees them, and as joints are drawn.
func swungOf(b *testing.B, seed int64) (all []swung) {
	c := demo.Spar(seed)
	truth := c.Truth()
	for i, s := range c.Scenes {
		clip := truth.Clips[i]
		for _, bodies := range [][][]measure.Body{seenBodies(b, clip, s, true, paced(clip)), drawnBodies(b, clip, s)} {
			for n, t := range clip.Turns {
				if len(bodies[n]) == 0 {
					continue
				}
				one := swung{from: s.Seconds(t.First), to: s.Seconds(t.Last + 1), bodies: bodies[n], racket: racketOf(c, t.PlayerID)}
				for _, k := range clip.Strokes {
					if k.Turn == n {
						one.strokes = append(one.strokes, k)
					}
				}
				all = append(all, one)
			}
		}
	}
	return all
}

func hips(b *measure.Body) (x, y float64) {
	return (b.Hip[0].X + b.Hip[1].X) / 2, (b.Hip[0].Y + b.Hip[1].Y) / 2
}

func medianOf(v []float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	return v[len(v)/2]
}

// BenchmarkRefit prints the weights of package swing, fitted to drawn clubs of seeds 301 to
// 310 as the network sees their players and as they are drawn, both once as they are and once
// with other parts of the body at rest; then those of the elbow, of seeds 101 to 110. It takes
// two hours of one core.
func BenchmarkRefit(b *testing.B) {
	if os.Getenv("STROKELEDGER_REFIT") == "" {
		b.Skip("prints weights, measures nothing")
	}
	for range b.N {
		rng := rand.New(rand.NewPCG(1, 1))
		var ways, places [][]float64
		var hit, fore []float64
		for seed := int64(301); seed <= 310; seed++ {
			for _, turn := range swungOf(b, seed) {
				for _, s := range []swung{turn, turn.rested(rng)} {
					arms := swing.Of(s.bodies, s.racket)
					for _, k := range s.strokes {
						for range 3 {
							at := k.Seconds + .006*rng.NormFloat64()
							if v, ok := arms.Ways(at); ok {
								ways, hit = append(ways, v[:]), append(hit, 1)
							}
							if v, ok := arms.Places(at); ok {
								places, fore = append(places, v[:]), append(fore, share(k.Side == club.Forehand))
							}
						}
					}
					for _, at := range s.others() {
						if v, ok := arms.Ways(at); ok {
							ways, hit = append(ways, v[:]), append(hit, 0)
						}
					}
				}
			}
		}
		const (
			units, elbowUnits            = 24, 16
			ridge, sideRidge, elbowRidge = .1, .3, .7
		)
		printed("struck", learnedOdds(ways, hit, units, ridge, rng))
		printed("sided", learnedOdds(places, fore, units, sideRidge, rng))
		var arms [][]float64
		var drops []float64
		for seed := int64(101); seed <= 110; seed++ {
			a, d := armsOf(b, seed)
			arms, drops = append(arms, a...), append(drops, d...)
		}
		printed("lifted", learnedLevel(arms, drops, elbowUnits, elbowRidge, rand.New(rand.NewPCG(1, 1))))
	}
}

func share(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// armsOf are the arms of a club's strokes as the network sees them, and how far their elbows
// truly hang, percent of the trunk.
func armsOf(b *testing.B, seed int64) (arms [][]float64, drops []float64) {
	const seen = .5 // of the elbow: where a trunk hides it, the network guesses
	c := demo.Judge(seed)
	truth := c.Truth()
	for i, s := range c.Scenes {
		clip := truth.Clips[i]
		span := func(k demo.TruthStroke) measure.Span {
			return measure.Stroke{Contact: k.Seconds}.Spans()[club.ElbowDrop]
		}
		all := seenBodies(b, clip, s, true, func(turn, n int) bool {
			return slices.ContainsFunc(clip.Strokes, func(k demo.TruthStroke) bool { return k.Turn == turn && span(k).Has(s.Seconds(n)) })
		})
		for _, k := range clip.Strokes {
			of := measure.Stroke{Contact: k.Seconds, Racket: racketOf(c, clip.Turns[k.Turn].PlayerID)}
			if arm, sure, _, ok := measure.ArmOf(of, span(k).Of(all[k.Turn])); ok && sure >= seen {
				arms, drops = append(arms, arm[:]), append(drops, 100*k.Elbow/k.Trunk)
			}
		}
	}
	return arms, drops
}

// printed prints a layer as a function of Go.
func printed(name string, l layer.Layer) {
	fmt.Printf("func %s() layer.Layer {\n\treturn layer.Layer{Units: [][]float64{\n", name)
	for _, w := range l.Units {
		fmt.Printf("\t\t{%s},\n", goText(w))
	}
	fmt.Printf("\t}, Weighs: []float64{%s}}\n}\n\n", goText(l.Weighs))
}

func goText(w []float64) string {
	s := make([]string, len(w))
	for i, v := range w {
		s[i] = fmt.Sprintf("%.3g", v)
	}
	return strings.Join(s, ", ")
}

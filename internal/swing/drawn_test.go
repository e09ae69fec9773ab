package swing_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/measure"
	"strokeledger/internal/swing"
)

// turn is a drawn turn: the arm as a network may see it, and what is true of it.
type turn struct {
	from, to float64
	bodies   []measure.Body
	racket   measure.Side
	strokes  []demo.TruthStroke
}

// turns are those of a club, with joints off as those of the network are: about 3 cm that
// stay for a turn and 3 cm that come and go.
func turns(tb testing.TB, seed int64) (all []turn) {
	tb.Helper()
	rng := rand.New(rand.NewPCG(uint64(seed), 9))
	c := demo.Spar(seed)
	hands := map[club.ID]club.Hand{}
	for _, p := range c.Catalogue.Players {
		hands[p.ID] = p.Hand
	}
	pairs := [6][2]int{{demo.RightShoulder, demo.LeftShoulder}, {demo.RightElbow, demo.LeftElbow}, {demo.RightWrist, demo.LeftWrist},
		{demo.RightHip, demo.LeftHip}, {demo.RightHeel, demo.LeftHeel}, {demo.RightToe, demo.LeftToe}}
	for i, clip := range c.Truth().Clips {
		s := c.Scenes[i]
		for _, f := range clip.Figures {
			if f.Turn < 0 {
				continue
			}
			places, err := f.Positions()
			require.NoError(tb, err)
			t := clip.Turns[f.Turn]
			one := turn{from: s.Seconds(t.First), to: s.Seconds(t.Last + 1)}
			if hands[t.PlayerID] == club.LeftHand {
				one.racket = measure.Left
			}
			var stays, comes [6][2][2]float64
			for _, off := range []*[6][2][2]float64{&stays, &comes} {
				for j := range off {
					for side := range 2 {
						off[j][side] = [2]float64{rng.NormFloat64(), rng.NormFloat64()}
					}
				}
			}
			for n := t.First; n <= t.Last && n < f.First+f.Frames; n += 4 {
				b := measure.Body{Seconds: s.Seconds(n)}
				for j, pair := range b.Pairs() {
					for side := range 2 {
						p := places[max(0, n-f.First)][pairs[j][side]]
						x, y, depth := s.CameraAt(b.Seconds).Project(p)
						const off = .03 // metres
						k := off * s.Camera.Focal / depth
						e := &comes[j][side]
						for a := range e {
							e[a] = .6*e[a] + .8*rng.NormFloat64()
						}
						pair[side] = measure.Joint{X: x + k*(stays[j][side][0]+e[0]), Y: y + k*(stays[j][side][1]+e[1]), Visibility: 1}
					}
				}
				one.bodies = append(one.bodies, b)
			}
			for _, k := range clip.Strokes {
				if k.Turn == f.Turn {
					one.strokes = append(one.strokes, k)
				}
			}
			all = append(all, one)
		}
	}
	return all
}

// contacts are the moments of a turn at which racket and ball meet, and of the others
// every 40 ms that is not near one.
func (t *turn) moments() (struck, others []float64) {
	for _, s := range t.strokes {
		struck = append(struck, s.Seconds)
	}
	for at := t.from + .2; at < t.to-.2; at += .04 {
		near := math.Inf(1)
		for _, s := range struck {
			near = min(near, math.Abs(s-at))
		}
		if near > .07 {
			others = append(others, at)
		}
	}
	return struck, others
}

// BenchmarkRefit prints the weights of weights.go, on drawn clubs of seeds 301 to 312:
// those of the units, and of a logistic regression with a ridge.
func BenchmarkRefit(b *testing.B) {
	if os.Getenv("STROKELEDGER_REFIT") == "" {
		b.Skip("prints weights, measures nothing")
	}
	for range b.N {
		rng := rand.New(rand.NewPCG(1, 1))
		var ways, places [][]float64
		var hit, fore []bool
		for seed := range int64(12) {
			for _, t := range turns(b, 301+seed) {
				arm := swing.Of(t.bodies, t.racket)
				struck, others := t.moments()
				for i, at := range struck {
					for range 4 {
						if v, ok := arm.Ways(at + .006*rng.NormFloat64()); ok {
							ways, hit = append(ways, v), append(hit, true)
						}
					}
					if v, ok := arm.Places(at); ok {
						places, fore = append(places, v), append(fore, t.strokes[i].Side == club.Forehand)
					}
				}
				for _, at := range others {
					if v, ok := arm.Ways(at); ok {
						ways, hit = append(ways, v), append(hit, false)
					}
				}
			}
		}
		units, weighs := learned(ways, hit, swing.Units, rng)
		for _, w := range units {
			fmt.Printf("{%s},\n", goText(w))
		}
		fmt.Println("weighs", goText(weighs))
		fmt.Println("sided", goText(fitted(places, fore, 10)))
	}
}

func goText(w []float64) string {
	s := make([]string, len(w))
	for i, v := range w {
		s[i] = fmt.Sprintf("%.3g", v)
	}
	return strings.Join(s, ", ")
}

// fitted is a logistic regression in which both answers weigh alike, by Newton's method;
// the last weight is the constant. The ridge is on weights of features that spread by 1.
func fitted(x [][]float64, y []bool, ridge float64) []float64 {
	n := len(x[0])
	mean, spread, yes := scaled(x, y)
	no := float64(len(x)) - yes
	b := make([]float64, n+1)
	z := make([]float64, n+1)
	for range 25 {
		h, g := mat.NewSymDense(n+1, nil), mat.NewVecDense(n+1, nil)
		for k := range n {
			h.SetSym(k, k, ridge)
			g.SetVec(k, -ridge*b[k])
		}
		h.SetSym(n, n, 1e-6)
		for i, v := range x {
			sum := b[n]
			for k := range v {
				z[k] = (v[k] - mean[k]) / spread[k]
				sum += b[k] * z[k]
			}
			z[n] = 1
			p, weigh, is := 1/(1+math.Exp(-sum)), 1., 0.
			if y[i] {
				weigh, is = .2*no/yes, 1
			}
			for k := range z {
				g.SetVec(k, g.AtVec(k)+weigh*(is-p)*z[k])
				for j := k; j <= n; j++ {
					h.SetSym(k, j, h.At(k, j)+weigh*p*(1-p)*z[k]*z[j])
				}
			}
		}
		var c mat.Cholesky
		c.Factorize(h)
		var d mat.VecDense
		if c.SolveVecTo(&d, g) != nil {
			panic("no weights fit")
		}
		for k := range b {
			b[k] += d.AtVec(k)
		}
	}
	out := make([]float64, n+1)
	out[n] = b[n] + math.Log(5)
	for k := range n {
		out[k] = b[k] / spread[k]
		out[n] -= out[k] * mean[k]
	}
	return out
}

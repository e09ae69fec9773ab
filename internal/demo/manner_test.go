package demo

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Faults are no clumps: strokes lie on both sides of each limit and in every part of
// the range, and some are in the grey zone.
func TestFaultsAreAContinuum(t *testing.T) {
	feet, elbows, backs := map[int]int{}, map[int]int{}, map[int]int{}
	never, grey, all := 0, 0, 0
	for seed := range int64(10) {
		truth := Make(seed).Truth()
		limits := truth.Limits
		for _, clip := range truth.Clips {
			for _, k := range clip.Strokes {
				all++
				feet[int(k.FeetLine*100)/5]++
				elbows[int(k.ElbowAngle)/5]++
				if math.Abs(k.FeetLine-limits.Feet) < limits.FeetGrey {
					grey++
				}
				if k.BackShare == nil {
					never++
					continue
				}
				backs[int(*k.BackShare*100)/5]++
			}
		}
	}
	for cm := 20; cm < 75; cm += 5 {
		require.Greater(t, feet[cm/5], 8, "feet %d cm from the end line", cm)
	}
	for degrees := 10; degrees < 60; degrees += 5 {
		require.Greater(t, elbows[degrees/5], 8, "elbow at %d degrees", degrees)
	}
	for percent := 25; percent < 70; percent += 5 {
		require.Greater(t, backs[percent/5], 8, "hand back at %d in 100 of the gap", percent)
	}
	require.Greater(t, never, 20)
	require.Greater(t, grey, all/20)
	require.Less(t, grey, all/3)
}

// The hand is back when the truth says so: right before it the racket is farther from
// its ready place, right after it nearer, and it has not rested there before. Who is late by the truth is late by
// the limit.
func TestHandIsBackWhenTheTruthSays(t *testing.T) {
	ready := readyStance.stance()
	checked := 0
	for seed := range int64(4) {
		for _, s := range Make(seed).Scenes {
			for i := range s.acts {
				a := &s.acts[i]
				body := &s.Actors[a.actor]
				apart := func(seconds float64) float64 {
					f := body.Figure(seconds)
					side := Vec{f.Forward.Y, -f.Forward.X, 0}
					if f.Left {
						side = side.Times(-1)
					}
					at := f.Joints[Racket].Sub(f.Joints[Pelvis])
					return Vec{at.Dot(f.Forward) - ready.fwd*f.Scale, at.Dot(side) - ready.side*f.Scale, at.Z - (ready.up-ready.hip-0.05)*f.Scale}.Length() / f.Scale
				}
				for n, d := range a.strokes {
					back, ok := s.recovered(a, n)
					limit := d.t + s.latest(a, n)
					require.Equal(t, has(d.faults, late), back > limit)
					until := min(back, d.t+a.gap(n)-untilSwing)
					inside := 0.0 // an arm that falls passes the place, but does not stay
					for at := d.t + 0.16; at < until-0.005; at += 0.01 {
						if apart(at) < backWithin-0.005 {
							inside += 0.01
						}
					}
					require.Less(t, inside, 0.10, "%s turn %d stroke %d: back at %.2f s after", s.File, i, n, back-d.t)
					if ok {
						require.Greater(t, apart(back-0.03), backWithin)
						require.InDelta(t, backWithin, apart(back), 0.01)
						require.Less(t, apart(back+0.015), backWithin)
						checked++
					}
				}
			}
		}
	}
	require.Greater(t, checked, 600)
}

// The height of the wrist over the hips, around two fifths of the way to the next
// stroke, tells late hands from others where the truth is not in the grey zone, and
// cannot tell them in it.
func TestLateHandsCanBeSeen(t *testing.T) {
	type seen struct {
		over float64 // trunk lengths
		late bool
	}
	var plain, grey []seen
	for seed := range int64(3) {
		for _, c := range []Club{Make(seed), Judge(seed)} {
			truth := c.Truth()
			for i, clip := range truth.Clips {
				for _, k := range clip.Strokes {
					a := &c.Scenes[i].Actors[c.Scenes[i].acts[k.Turn].actor]
					wrist := RightWrist
					if a.Left {
						wrist = LeftWrist
					}
					var over []float64
					for share := 0.36; share <= 0.46; share += 0.02 {
						f := a.Figure(k.Seconds + share*k.Gap)
						hips := f.Joints[RightHip].To(f.Joints[LeftHip], 0.5)
						over = append(over, (f.Joints[wrist].Z-hips.Z)/k.Trunk)
					}
					slices.Sort(over)
					s := seen{over[len(over)/2], k.Recovered == nil || *k.Recovered > k.Latest}
					if k.Recovered != nil && math.Abs(*k.Recovered-k.Latest) < truth.Limits.BackGrey*k.Gap {
						grey = append(grey, s)
					} else {
						plain = append(plain, s)
					}
				}
			}
		}
	}
	const limit = 0.21
	share := func(all []seen, late bool) float64 {
		low, n := 0, 0
		for _, s := range all {
			if s.late == late {
				n++
				if s.over < limit {
					low++
				}
			}
		}
		return float64(low) / float64(n)
	}
	require.Greater(t, share(plain, true), 0.97)
	require.Less(t, share(plain, false), 0.03)
	require.Less(t, share(grey, true)-share(grey, false), 0.97, "but nothing tells the grey ones for sure")
}

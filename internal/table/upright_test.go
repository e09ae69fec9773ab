package table_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// standing is a place in the upright plane through a foot that faces a camera.
func (c filmed) standing(foot vec, right, up float64) vec {
	dx, dy := foot[0]-c.at[0], foot[1]-c.at[1]
	l := math.Hypot(dx, dy)
	return vec{foot[0] + right*dy/l, foot[1] - right*dx/l, up}
}

// A shoulder, an elbow and a wrist over a foot, and the angle between them.
func TestUprightIsExact(t *testing.T) {
	c := exact()
	fitted, err := table.Fit(c.clicked(.001, true))
	require.NoError(t, err)
	foot := vec{-.5, .4, 0}
	p, _ := c.see(foot)
	spot, err := fitted.Floor(p, .001)
	require.NoError(t, err)
	joint := func(right, up float64) table.Joint {
		p, _ := c.see(c.standing(foot, right, up))
		j, err := spot.Upright(p, .001)
		require.NoError(t, err)
		return j
	}
	shoulder, elbow, wrist := joint(.1, 1.3), joint(.2, 1.05), joint(.45, 1.05)
	got, half, err := elbow.Above()
	require.NoError(t, err)
	require.InDelta(t, 1.05, got, 1e-5)
	require.Greater(t, half, .003, "the table's height is never quite known")
	got, _, err = shoulder.Higher(elbow)
	require.NoError(t, err)
	require.InDelta(t, .25, got, 1e-5)
	degrees, half, err := table.Angle(shoulder, elbow, wrist)
	require.NoError(t, err)
	require.InDelta(t, 180-math.Atan2(.25, .1)*180/math.Pi, degrees, 1e-3)
	require.Less(t, half, .5)
	sole, err := fitted.Level(func() table.Point { p, _ := c.see(vec{-.5, .4, .03}); return p }(), .001, .03)
	require.NoError(t, err)
	got, _, err = sole.From(table.EndLine)
	require.NoError(t, err)
	require.InDelta(t, .5, got, 1e-6)
}

func TestUprightRefuses(t *testing.T) {
	c := exact()
	fitted, err := table.Fit(c.clicked(2, true))
	require.NoError(t, err)
	p, _ := c.see(vec{-.5, .4, 0})
	spot, err := fitted.Floor(p, 2)
	require.NoError(t, err)
	again, err := fitted.Floor(p, 2)
	require.NoError(t, err)
	j, err := spot.Upright(table.Point{X: p.X, Y: p.Y - 100}, 2)
	require.NoError(t, err)
	o, err := again.Upright(table.Point{X: p.X, Y: p.Y - 50}, 2)
	require.NoError(t, err)
	_, _, err = j.Higher(o)
	require.ErrorIs(t, err, table.TooVague, "joints over two feet")
	_, _, err = table.Angle(j, o, j)
	require.ErrorIs(t, err, table.TooVague)
	_, _, err = table.Angle(j, j, j)
	require.ErrorIs(t, err, table.TooVague, "no angle at one point")
	_, _, err = table.Joint{}.Above()
	require.ErrorIs(t, err, table.TooVague)
	for _, bad := range []table.Point{{X: math.NaN(), Y: 1}, {X: 1e5, Y: 1}, {X: math.Inf(1), Y: 1}} {
		_, err = spot.Upright(bad, 2)
		require.ErrorIs(t, err, table.NotOnFloor)
	}
	var none table.Spot
	_, err = none.Upright(p, 2)
	require.ErrorIs(t, err, table.TooVague)
}

// What is told of joints lies within its half width as often as it says, on cameras
// that nobody tuned on, with clicks of 2 px and joints pointed at within 3.
func TestUprightCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(20, 14))
	var inside, of [3]int
	var misses [3][]float64
	add := func(i int, miss, half float64, err error) {
		if err != nil {
			require.ErrorIs(t, err, table.TooVague)
			return
		}
		of[i]++
		inside[i] += within(miss, half)
		misses[i] = append(misses[i], miss)
	}
	for range 300 {
		c := anyCamera(rng, ordinary())
		clicks, _ := c.clicks(rng, 2, true)
		fitted, err := table.Fit(clicks)
		require.NoError(t, err)
		for _, foot := range c.feet(rng, 3) {
			near := func(at vec) (table.Point, bool) {
				p, ok := c.see(at)
				return table.Point{X: p.X + 3*rng.NormFloat64(), Y: p.Y + 3*rng.NormFloat64()}, ok
			}
			p, _ := near(foot)
			spot, err := fitted.Floor(p, 3)
			if err != nil {
				continue
			}
			var joints [3]table.Joint
			at := [3][2]float64{{.1, 1.25}, {.15 + .2*rng.Float64(), .95 + .2*rng.Float64()}, {.5, .9 + .4*rng.Float64()}}
			all := true
			for i, a := range at {
				p, seen := near(c.standing(foot, a[0], a[1]))
				joints[i], err = spot.Upright(p, 3)
				all = all && seen && err == nil
			}
			if !all {
				continue
			}
			got, half, err := joints[1].Above()
			add(0, got-at[1][1], half, err)
			got, half, err = joints[0].Higher(joints[1])
			add(1, got-at[0][1]+at[1][1], half, err)
			got, half, err = table.Angle(joints[0], joints[1], joints[2])
			a, b := math.Atan2(at[0][1]-at[1][1], at[0][0]-at[1][0]), math.Atan2(at[2][1]-at[1][1], at[2][0]-at[1][0])
			add(2, got-math.Abs(math.Remainder(a-b, 2*math.Pi))*180/math.Pi, half, err)
		}
	}
	for i, what := range []string{"height, cm", "difference of heights, cm", "angle, hundredths of a degree"} {
		require.Greater(t, of[i], 500, what)
		t.Logf("%-32s median %.1f, 95 %% within %.1f, %.1f %% inside", what, quantile(misses[i], .5), quantile(misses[i], .95), percent(inside[i], of[i]))
		require.InDelta(t, 95, percent(inside[i], of[i]), 2, what)
	}
}

package table_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// measured is how well the feet of many halls were measured.
type measured struct {
	end, side     []float64 // errors from the end line and the side line, metres
	inside        [2]int    // how many of them lie within their half width
	apart         []float64 // errors of differences between two feet of one camera
	insideApart   int
	halves, sames []float64 // half widths of distances and of differences
	vague, unfit  int       // feet and cameras that were refused
	feet, cameras int
}

// measure films n halls with clicks of sd and feet pointed at with footSD, pixels.
func measure(t *testing.T, seed uint64, n int, l lens, sd, footSD float64, tops, wide bool) (m measured) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 14))
	for range n {
		c := anyCamera(rng, l)
		clicks, _ := c.clicks(rng, sd, tops)
		clicks.Wide = wide
		m.cameras++
		fitted, err := table.Fit(clicks)
		if err != nil {
			m.unfit++
			continue
		}
		var before *table.Spot
		var x float64
		for _, foot := range c.feet(rng, 6) {
			p, _ := c.see(foot)
			m.feet++
			spot, err := fitted.Floor(table.Point{X: p.X + footSD*rng.NormFloat64(), Y: p.Y + footSD*rng.NormFloat64()}, footSD)
			if errors.Is(err, table.TooVague) {
				m.vague++
				continue
			}
			require.NoError(t, err)
			if d, half, err := spot.From(table.EndLine); err == nil {
				m.end, m.halves = append(m.end, d+foot[0]), append(m.halves, half)
				m.inside[0] += within(d+foot[0], half)
			} else {
				require.ErrorIs(t, err, table.TooVague)
				m.vague++
			}
			if d, half, err := spot.From(table.LeftSideLine); err == nil {
				m.side = append(m.side, d-(foot[1]-1.525))
				m.inside[1] += within(d-(foot[1]-1.525), half)
			}
			if before != nil {
				if d, half, err := spot.Farther(*before, table.EndLine); err == nil {
					m.apart, m.sames = append(m.apart, d-(x-foot[0])), append(m.sames, half)
					m.insideApart += within(d-(x-foot[0]), half)
				}
			}
			before, x = &spot, foot[0]
		}
	}
	return m
}

func within(miss, half float64) int {
	if math.Abs(miss) <= half {
		return 1
	}
	return 0
}

// quantile is that of absolute values, in centimetres.
func quantile(of []float64, q float64) float64 {
	all := make([]float64, len(of))
	for i, v := range of {
		all[i] = 100 * math.Abs(v)
	}
	slices.Sort(all)
	return all[int(q*float64(len(all)-1))]
}

func percent(part, of int) float64 { return 100 * float64(part) / float64(of) }

func (m measured) log(t *testing.T, name string) {
	t.Helper()
	t.Logf("%-22s end line median %.1f cm, 95 %% within %.1f, half width %.1f, %.1f %% inside; side line %.1f, %.1f, %.1f %%; apart %.1f, half width %.1f, %.1f %%; refused %d of %d feet, %d of %d cameras",
		name, quantile(m.end, .5), quantile(m.end, .95), quantile(m.halves, .5), percent(m.inside[0], len(m.end)),
		quantile(m.side, .5), quantile(m.side, .95), percent(m.inside[1], len(m.side)),
		quantile(m.apart, .5), quantile(m.sames, .5), percent(m.insideApart, len(m.apart)), m.vague, m.feet, m.unfit, m.cameras)
}

// What the fit has to reach on 300 cameras that nobody tuned on, with clicks of 2 px
// and feet pointed at within 3 px.
func TestReach(t *testing.T) {
	covers := func(t *testing.T, m measured) {
		t.Helper()
		require.Zero(t, m.unfit, "cameras refused")
		require.Greater(t, len(m.end), 1600)
		for _, inside := range []float64{percent(m.inside[0], len(m.end)), percent(m.inside[1], len(m.side)), percent(m.insideApart, len(m.apart))} {
			require.InDelta(t, 95, inside, 2, "percent of distances within their half width")
		}
	}
	t.Run("corners and tops", func(t *testing.T) {
		m := measure(t, 14, 300, ordinary(), 2, 3, true, false)
		m.log(t, "corners and tops")
		covers(t, m)
		require.LessOrEqual(t, quantile(m.end, .5), 1.8)
		require.LessOrEqual(t, quantile(m.end, .95), 7.)
		require.LessOrEqual(t, percent(m.vague, m.feet), 1.)
	})
	t.Run("corners", func(t *testing.T) {
		m := measure(t, 15, 300, ordinary(), 2, 3, false, false)
		m.log(t, "corners")
		covers(t, m)
		require.LessOrEqual(t, percent(m.vague, m.feet), 4.)
	})
	t.Run("careful clicks", func(t *testing.T) {
		m := measure(t, 16, 300, ordinary(), .7, 1, true, false)
		m.log(t, "careful clicks")
		covers(t, m)
		require.LessOrEqual(t, quantile(m.end, .5), 1.)
	})
	t.Run("phone upright", func(t *testing.T) {
		l := ordinary()
		l.upright = true
		m := measure(t, 19, 300, l, 2, 3, true, false)
		m.log(t, "phone upright")
		covers(t, m)
		require.LessOrEqual(t, quantile(m.end, .95), 9.) // the table is smaller in it
	})
	t.Run("wide", func(t *testing.T) {
		m := measure(t, 17, 300, wideAngle(), 2, 3, true, true)
		m.log(t, "wide, told")
		covers(t, m)
		// Not told, the half widths are too small: that is what Wide is for.
		m = measure(t, 17, 300, wideAngle(), 2, 3, true, false)
		m.log(t, "wide, not told")
		require.Less(t, percent(m.inside[0], len(m.end)), 92.)
	})
}

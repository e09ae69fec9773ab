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

func TestProbe(t *testing.T) {
	for _, seed := range []uint64{1, 2, 3} {
		measure(t, seed, 300, ordinary(), 2, 3, true, false).log(t, "corners, tops")
		measure(t, seed, 300, ordinary(), 2, 3, false, false).log(t, "corners")
		measure(t, seed, 300, wideAngle(), 2, 3, true, true).log(t, "wide, told")
		measure(t, seed, 300, wideAngle(), 2, 3, true, false).log(t, "wide, not told")
	}
	_ = errors.Is
}

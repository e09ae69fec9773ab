package table_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// exact is a camera behind the near player's right shoulder with a faultless lens.
func exact() filmed {
	c := filmed{width: 1920, height: 1080, at: vec{-2.4, -1.6, 1.7}, focal: 1500, aspect: 1, cx: 960, cy: 540, table: .76}
	look := vec{1, .76, .5}.minus(c.at)
	c.ahead = look.over(math.Sqrt(look.dot(look)))
	c.right = c.ahead.cross(vec{0, 0, 1})
	c.right = c.right.over(math.Sqrt(c.right.dot(c.right)))
	c.down = c.ahead.cross(c.right)
	return c
}

func noise() *rand.Rand { return rand.New(rand.NewPCG(1, 1)) }

// clicked are clicks on the camera's picture without errors, of the given SD.
func (c filmed) clicked(sd float64, tops bool) table.Clicks {
	out, _ := c.clicks(noise(), 0, tops)
	out.SD = sd
	return out
}

func TestExactClicksGiveExactDistances(t *testing.T) {
	c := exact()
	for _, tops := range []bool{true, false} {
		fitted, err := table.Fit(c.clicked(.001, tops))
		require.NoError(t, err)
		require.InDelta(t, c.focal, fitted.Focal(), .01)
		at := fitted.Position()
		require.InDeltaSlice(t, c.at[:], at[:], 1e-5)
		require.Less(t, fitted.Missed(), 1e-4)
		p, ok := fitted.See(-.5, .3, 0)
		want, _ := c.see(vec{-.5, .3, 0})
		require.True(t, ok)
		require.InDelta(t, 0, math.Hypot(p.X-want.X, p.Y-want.Y), 1e-3)
		spot, err := fitted.Floor(want, .001)
		require.NoError(t, err)
		for line, distance := range map[table.Line]float64{table.EndLine: .5, table.RightSideLine: -.3, table.LeftSideLine: .3 - 1.525} {
			got, half, err := spot.From(line)
			require.NoError(t, err)
			require.InDelta(t, distance, got, 1e-6)
			require.Greater(t, half, .0, "the table's height is never quite known")
		}
	}
}

// It does not matter which way round the table the corners are clicked, nor which
// top comes first.
func TestClicksEitherWayRound(t *testing.T) {
	c := exact()
	clicks := c.clicked(2, true)
	want, err := table.Fit(clicks)
	require.NoError(t, err)
	q := clicks.Corners
	clicks.Corners = [4]table.Point{q[1], q[0], q[3], q[2]}
	slices.Reverse(clicks.Tops)
	got, err := table.Fit(clicks)
	require.NoError(t, err)
	a, b := want.Position(), got.Position()
	require.InDeltaSlice(t, a[:], b[:], 1e-6)
	one, err := table.Fit(table.Clicks{Width: clicks.Width, Height: clicks.Height, Corners: q, Tops: clicks.Tops[:1]})
	require.NoError(t, err)
	a = one.Position()
	require.InDeltaSlice(t, c.at[:], a[:], .05)
}

// Two feet of one camera: what the camera does not know moves both alike.
func TestADifferenceIsKnownBetter(t *testing.T) {
	c := exact()
	fitted, err := table.Fit(c.clicked(2, true))
	require.NoError(t, err)
	again, err := table.Fit(c.clicked(2, true))
	require.NoError(t, err)
	spot := func(camera *table.Camera, x, sd float64) table.Spot {
		p, _ := c.see(vec{-x, .4, 0})
		s, err := camera.Floor(p, sd)
		require.NoError(t, err)
		return s
	}
	near, farther := spot(fitted, .3, .5), spot(fitted, .45, .5)
	_, half, err := near.From(table.EndLine)
	require.NoError(t, err)
	d, apart, err := farther.Farther(near, table.EndLine)
	require.NoError(t, err)
	require.InDelta(t, .15, d, .01)
	require.Less(t, apart, half)
	_, strangers, err := farther.Farther(spot(again, .3, .5), table.EndLine)
	require.NoError(t, err)
	require.Greater(t, strangers, 1.3*half, "two cameras' errors are not common")
	d, apart, err = near.Farther(near, table.EndLine)
	require.NoError(t, err)
	require.Zero(t, d)
	_, alone, err := spot(fitted, .3, .001).Farther(spot(fitted, .3, .001), table.EndLine)
	require.NoError(t, err)
	require.Less(t, alone, .0001, "without errors of pointing nothing is left at one place")
	require.Greater(t, apart, alone)
}

// Clicks that fit worse than they were said to make all half widths larger, and are
// refused where no clicking explains them.
func TestWorseFitsAreLessSure(t *testing.T) {
	c := exact()
	half := func(off float64) (float64, error) {
		clicks := c.clicked(2, true)
		clicks.Tops[0].Y -= off
		fitted, err := table.Fit(clicks)
		if err != nil {
			return 0, err
		}
		require.InDelta(t, off/4, fitted.Missed(), off/4+.05)
		foot, _ := c.see(vec{-.4, .4, 0})
		spot, err := fitted.Floor(foot, 1)
		require.NoError(t, err)
		_, h, err := spot.From(table.EndLine)
		require.NoError(t, err)
		return h, nil
	}
	good, err := half(0)
	require.NoError(t, err)
	bad, err := half(20)
	require.NoError(t, err)
	require.Greater(t, bad, 1.3*good)
	_, err = half(120)
	require.ErrorIs(t, err, table.NoTable)
}

func TestRefusals(t *testing.T) {
	c := exact()
	good := c.clicked(2, true)
	q := good.Corners
	mid := table.Point{X: (q[0].X + q[2].X) / 2, Y: (q[0].Y + q[2].Y) / 2}
	with := func(change func(*table.Clicks)) table.Clicks {
		out := good
		out.Tops = slices.Clone(good.Tops)
		change(&out)
		return out
	}
	for name, r := range map[string]struct {
		clicks table.Clicks
		want   error
	}{
		// The degenerate inputs that a homography has to refuse: Hartley R, Zisserman A
		// (2004), Multiple View Geometry, section 4.1.3 (from memory).
		"crossed":        {with(func(c *table.Clicks) { c.Corners = [4]table.Point{q[0], q[2], q[1], q[3]} }), table.BadCorners},
		"three in line":  {with(func(c *table.Clicks) { c.Corners[1] = mid }), table.BadCorners},
		"repeated":       {with(func(c *table.Clicks) { c.Corners[1] = q[0] }), table.BadCorners},
		"all one point":  {with(func(c *table.Clicks) { c.Corners = [4]table.Point{} }), table.BadCorners},
		"not a number":   {with(func(c *table.Clicks) { c.Corners[2].X = math.NaN() }), table.BadCorners},
		"endless":        {with(func(c *table.Clicks) { c.Corners[2].Y = math.Inf(1) }), table.BadCorners},
		"far outside":    {with(func(c *table.Clicks) { c.Corners[3].X = 5000 }), table.BadCorners},
		"three tops":     {with(func(c *table.Clicks) { c.Tops = append(c.Tops, q[0]) }), table.BadCorners},
		"no picture":     {with(func(c *table.Clicks) { c.Width = math.NaN() }), table.BadCorners},
		"no error":       {with(func(c *table.Clicks) { c.SD = math.NaN() }), table.BadCorners},
		"negative error": {with(func(c *table.Clicks) { c.SD = -1 }), table.BadCorners},
		"a slit": {with(func(c *table.Clicks) {
			c.Corners = [4]table.Point{{X: 400, Y: 600}, {X: 700, Y: 603}, {X: 1500, Y: 601}, {X: 1300, Y: 598}}
		}), table.TooLow},
		"tops on the floor": {with(func(c *table.Clicks) { c.Tops[0].Y, c.Tops[1].Y = c.Tops[0].Y+250, c.Tops[1].Y+250 }), table.NoTable},
		"a tower": {with(func(c *table.Clicks) {
			c.Corners = [4]table.Point{{X: 900, Y: 1000}, {X: 1000, Y: 1000}, {X: 1010, Y: 100}, {X: 890, Y: 100}}
			c.Tops = nil
		}), table.NoTable},
	} {
		_, err := table.Fit(r.clicks)
		require.ErrorIs(t, err, r.want, name)
	}

	fitted, err := table.Fit(good)
	require.NoError(t, err)
	for name, p := range map[string]table.Point{
		"above the horizon": {X: 960, Y: -20}, "not a number": {X: math.NaN(), Y: 700}, "outside": {X: 960, Y: 1e4}, "endless": {X: math.Inf(-1), Y: 700},
	} {
		_, err := fitted.Floor(p, 1)
		require.ErrorIs(t, err, table.NotOnFloor, name)
	}
	foot, _ := c.see(vec{-.4, .4, 0})
	for _, sd := range []float64{math.NaN(), -1, math.Inf(1)} {
		_, err := fitted.Floor(foot, sd)
		require.ErrorIs(t, err, table.NotOnFloor)
	}
	spot, err := fitted.Floor(foot, 100)
	require.NoError(t, err)
	_, _, err = spot.From(table.EndLine)
	require.ErrorIs(t, err, table.TooVague)
	_, _, err = table.Spot{}.From(table.EndLine)
	require.ErrorIs(t, err, table.TooVague)
	_, _, err = spot.Farther(table.Spot{}, table.EndLine)
	require.ErrorIs(t, err, table.TooVague)
}

func BenchmarkFit(b *testing.B) {
	rng := rand.New(rand.NewPCG(18, 14))
	var all []table.Clicks
	for range 50 {
		clicks, _ := anyCamera(rng, ordinary()).clicks(rng, 2, true)
		all = append(all, clicks)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := table.Fit(all[i%len(all)]); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFloor(b *testing.B) {
	c := exact()
	fitted, err := table.Fit(c.clicked(2, true))
	require.NoError(b, err)
	foot, _ := c.see(vec{-.4, .4, 0})
	for b.Loop() {
		spot, _ := fitted.Floor(foot, 2)
		if _, _, err := spot.From(table.EndLine); err != nil {
			b.Fatal(err)
		}
	}
}

// Whatever is clicked, the answer is a refusal or a number that is one.
func FuzzFit(f *testing.F) {
	c := exact().clicked(2, true)
	q, tops := c.Corners, c.Tops
	f.Add(q[0].X, q[0].Y, q[1].X, q[1].Y, q[2].X, q[2].Y, q[3].X, q[3].Y, tops[0].X, tops[0].Y, tops[1].X, tops[1].Y, 1920., 1080., 2., 500., 800., true)
	f.Add(q[0].X, q[0].Y, q[1].X, q[1].Y, q[2].X, q[2].Y, q[3].X, q[3].Y, 0., 0., 0., 0., 1920., 1080., 2., 900., 900., false)
	f.Add(q[0].X, q[0].Y, q[0].X, q[0].Y, q[2].X, math.NaN(), q[3].X, math.Inf(1), 0., 0., -1e300, 1e300, 16., 1e5, 1e-300, 5e-324, 800., false)
	f.Fuzz(func(t *testing.T, ax, ay, bx, by, cx, cy, dx, dy, ex, ey, fx, fy, wide, high, sd, px, py float64, lens bool) {
		clicks := table.Clicks{Width: wide, Height: high, SD: sd, Wide: lens,
			Corners: [4]table.Point{{X: ax, Y: ay}, {X: bx, Y: by}, {X: cx, Y: cy}, {X: dx, Y: dy}}}
		if lens {
			clicks.Tops = []table.Point{{X: ex, Y: ey}, {X: fx, Y: fy}}
		}
		fitted, err := table.Fit(clicks)
		var refusal table.Refusal
		if err != nil {
			require.ErrorAs(t, err, &refusal)
			return
		}
		number := func(all ...float64) {
			for _, v := range all {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%v", all)
			}
		}
		at := fitted.Position()
		number(at[0], at[1], at[2], fitted.Focal(), fitted.Missed())
		require.Greater(t, at[2], .76)
		p, ok := fitted.See(px, py, sd)
		if ok {
			number(p.X, p.Y)
		}
		spot, err := fitted.Floor(table.Point{X: px, Y: py}, sd)
		if err != nil {
			require.ErrorAs(t, err, &refusal)
			return
		}
		for _, line := range []table.Line{table.EndLine, table.RightSideLine, table.LeftSideLine} {
			for _, told := range []func(table.Line) (float64, float64, error){spot.From, func(l table.Line) (float64, float64, error) { return spot.Farther(spot, l) }} {
				d, half, err := told(line)
				if err != nil {
					require.ErrorIs(t, err, table.TooVague)
					continue
				}
				number(d, half)
				require.Greater(t, half, 0.)
				require.LessOrEqual(t, half, .25)
			}
		}
	})
}

package table_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

func through(h [3][3]float64, x, y float64) table.Point {
	w := h[2][0]*x + h[2][1]*y + h[2][2]
	return table.Point{X: (h[0][0]*x + h[0][1]*y + h[0][2]) / w, Y: (h[1][0]*x + h[1][1]*y + h[1][2]) / w}
}

// back is the place that the homography takes to a point.
func back(h [3][3]float64, p table.Point) (x, y float64) {
	a, b, c := h[0][0]-p.X*h[2][0], h[0][1]-p.X*h[2][1], p.X*h[2][2]-h[0][2]
	d, e, f := h[1][0]-p.Y*h[2][0], h[1][1]-p.Y*h[2][1], p.Y*h[2][2]-h[1][2]
	det := a*e - b*d
	return (c*e - b*f) / det, (a*f - c*d) / det
}

// four are the corners of the table, millimetres, and where a picture shows them.
func four() ([][2]float64, []table.Point) {
	return [][2]float64{{0, 0}, {2740, 0}, {2740, 1525}, {0, 1525}},
		[]table.Point{{X: 312.4, Y: 702.1}, {X: 958.7, Y: 418.9}, {X: 1604.3, Y: 486.2}, {X: 1287.5, Y: 884.6}}
}

// Worked with NumPy 1.24.2 in double precision by the normalised direct linear
// transformation, and with OpenCV 4.6.0's getPerspectiveTransform, which agrees to
// the single precision of its input.
func TestHomographyOfFourPoints(t *testing.T) {
	places, points := four()
	h, ok := table.Homography(places, points)
	require.True(t, ok)
	want := [3][3]float64{
		{4.466287080496001e-01, 4.811899812261537e-01, 3.124e+02},
		{-1.127010181160066e-02, 1.096433806719070e-02, 7.021e+02},
		{2.198318510908951e-04, -1.228892076422677e-04, 1}}
	for i := range want {
		for j := range want {
			require.InEpsilon(t, want[i][j], h[i][j], 1e-10)
		}
	}
	for place, point := range map[[2]float64]table.Point{
		{1370, 0}:     {X: 710.346525510, Y: 527.725164746},
		{1370, 1525}:  {X: 1488.732492087, Y: 631.534896315},
		{1370, 762.5}: {X: 1069.336969233, Y: 575.602057700},
		{0, 762.5}:    {X: 749.541680372, Y: 783.915564217},
		{2740, 762.5}: {X: 1261.450544673, Y: 450.459962293},
		{20, 20}:      {X: 330.315939778, Y: 700.735262152},
		{2720, 1505}:  {X: 1593.368695266, Y: 486.871471561},
	} {
		got := through(h, place[0], place[1])
		require.InDelta(t, 0, math.Hypot(got.X-point.X, got.Y-point.Y), 1e-6)
	}
	x, y := back(h, table.Point{X: 960, Y: 540})
	require.InDelta(t, 1531.8030183363608, x, 1e-6)
	require.InDelta(t, 478.5376087604688, y, 1e-6)
}

// By hand: the unit square goes to (0,0) (4,0) (3,2) (1,2), its middle to (2, 4/3).
func TestHomographyByHand(t *testing.T) {
	h, ok := table.Homography([][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, []table.Point{{}, {X: 4}, {X: 3, Y: 2}, {X: 1, Y: 2}})
	require.True(t, ok)
	for i, row := range [3][3]float64{{4, 2, 0}, {0, 4, 0}, {0, 1, 1}} {
		require.InDeltaSlice(t, row[:], h[i][:], 1e-12)
	}
	mid := through(h, .5, .5)
	require.InDelta(t, 2, mid.X, 1e-12)
	require.InDelta(t, 4./3, mid.Y, 1e-12)
}

// Eight points with errors: the normalised direct linear transformation leaves
// 0.2122642 px (NumPy 1.24.2), the refined one of OpenCV 4.6.0's findHomography 0.2041084.
func TestHomographyOfMorePoints(t *testing.T) {
	places, _ := four()
	places = append(places, [][2]float64{{1370, 0}, {1370, 1525}, {0, 762.5}, {2740, 762.5}}...)
	points := []table.Point{{X: 312.8, Y: 701.8}, {X: 958.5, Y: 419.4}, {X: 1604.4, Y: 486.4}, {X: 1287, Y: 884.5},
		{X: 710.647, Y: 528.025}, {X: 1488.432, Y: 631.735}, {X: 749.742, Y: 783.516}, {X: 1261.451, Y: 450.560}}
	h, ok := table.Homography(places, points)
	require.True(t, ok)
	sum := 0.
	for i, p := range places {
		q := through(h, p[0], p[1])
		sum += (q.X-points[i].X)*(q.X-points[i].X) + (q.Y-points[i].Y)*(q.Y-points[i].Y)
	}
	require.InDelta(t, .2122642, math.Sqrt(sum/8), 1e-6)
}

// Errors of 1 px of each click and of the measured point carried to the table by first
// order, as Criminisi, Reid and Zisserman (1997) do it; the values were worked with NumPy
// 1.24.2 and agree with 20,000 random draws to 1.5 %.
func TestHomographyCarriesErrors(t *testing.T) {
	places, points := four()
	h, _ := table.Homography(places, points)
	for _, w := range []struct{ x, y, sdX, sdY float64 }{
		{685, 762.5, 6.558, 3.851}, {1370, 762.5, 8.682, 3.957}, {2600, 1400, 14.560, 3.560},
	} {
		at := through(h, w.x, w.y)
		var vx, vy float64
		add := func(of *float64, moved func() (float64, float64)) {
			was := *of
			*of = was + .01
			x1, y1 := moved()
			*of = was - .01
			x0, y0 := moved()
			*of = was
			vx, vy = vx+(x1-x0)*(x1-x0)/.0004, vy+(y1-y0)*(y1-y0)/.0004
		}
		anew := func() (float64, float64) { g, _ := table.Homography(places, points); return back(g, at) }
		for i := range points {
			add(&points[i].X, anew)
			add(&points[i].Y, anew)
		}
		there := func() (float64, float64) { return back(h, at) }
		add(&at.X, there)
		add(&at.Y, there)
		require.InEpsilon(t, w.sdX, math.Sqrt(vx), .01)
		require.InEpsilon(t, w.sdY, math.Sqrt(vy), .01)
	}
}

// A point at a height h over a plane, seen from Hc over it at the distance D, seems to
// lie farther away on the plane by D h/(Hc - h): similar triangles. So nothing above
// the floor may be looked up on it.
func TestHeightsShowFartherAway(t *testing.T) {
	const surface = .76
	camera := table.Standing([3]float64{1.37, -3, surface + 1.6}, [3]float64{1.37, .76, surface}, 0)
	for _, w := range []struct{ x, y, h, shownX, shownY, off float64 }{
		{1, .5, .1525, .961019, .868739, .370794},
		{1.37, .7625, .25, 1.37, 1.459259, .696759},
		{2, 1.2, .05, 2.020323, 1.335484, .137},
	} {
		p, ok := camera.See(w.x, w.y, surface+w.h)
		require.True(t, ok)
		got, ok := camera.OnLevel(p, surface)
		require.True(t, ok)
		require.InDelta(t, w.shownX, got[0], 1e-6)
		require.InDelta(t, w.shownY, got[1], 1e-6)
		require.InDelta(t, w.off, math.Hypot(got[0]-w.x, got[1]-w.y), 1e-5)
		same, _ := camera.OnLevel(p, surface+w.h)
		require.InDelta(t, w.x, same[0], 1e-12)
		require.InDelta(t, w.y, same[1], 1e-12)
	}
}

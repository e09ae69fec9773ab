package table

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// homography is the projective map that takes places on a plane to points of the
// picture, at least four of them: the normalised direct linear transformation (Hartley
// RI (1997), In defense of the eight-point algorithm, IEEE PAMI 19:580-593). It fails
// where the points do not determine one.
func homography(places [][2]float64, points []Point) ([3][3]float64, bool) {
	seen := make([][2]float64, len(points))
	for i, p := range points {
		seen[i] = [2]float64{p.X, p.Y}
	}
	t, u := normalising(places), normalising(seen)
	a := mat.NewDense(2*len(places), 9, nil)
	for i := range places {
		x, y := t[0][0]*places[i][0]+t[0][2], t[1][1]*places[i][1]+t[1][2]
		v, w := u[0][0]*seen[i][0]+u[0][2], u[1][1]*seen[i][1]+u[1][2]
		a.SetRow(2*i, []float64{x, y, 1, 0, 0, 0, -v * x, -v * y, -v})
		a.SetRow(2*i+1, []float64{0, 0, 0, x, y, 1, -w * x, -w * y, -w})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDFullV) {
		return [3][3]float64{}, false
	}
	var v mat.Dense
	svd.VTo(&v)
	var h [3][3]float64
	for i := range 9 {
		h[i/3][i%3] = v.At(i, 8)
	}
	s := u[0][0]
	back := [3][3]float64{{1 / s, 0, -u[0][2] / s}, {0, 1 / s, -u[1][2] / s}, {0, 0, 1}}
	h = product(back, product(h, t))
	last := h[2][2]
	for i := range h {
		h[i] = scaled(h[i], 1/last)
	}
	return h, last != 0 && !math.IsNaN(last)
}

// normalising moves points to a mean of 0 and scales them to a mean distance of √2.
func normalising(points [][2]float64) [3][3]float64 {
	n := float64(len(points))
	var x, y, d float64
	for _, p := range points {
		x, y = x+p[0]/n, y+p[1]/n
	}
	for _, p := range points {
		d += math.Hypot(p[0]-x, p[1]-y) / n
	}
	s := math.Sqrt2 / d
	return [3][3]float64{{s, 0, -s * x}, {0, s, -s * y}, {0, 0, 1}}
}

// starts are cameras from which to begin the fit: those that the homography of the
// corners gives for the focal length that suits it and for three ordinary ones.
func starts(w, h float64, q [4]Point, p prior) []model {
	var flat [4][2]float64
	for i, c := range corners() {
		flat[i] = [2]float64{c[0], c[1]}
	}
	hom, ok := homography(flat[:], q[:])
	if !ok {
		return nil
	}
	side := max(w, h)
	tries := []float64{.7, 1.05, 1.6} // of the expected focal length
	for i := range tries {
		tries[i] *= side * math.Exp(p.zoom)
	}
	if f := focal(hom, w, h); f > .2*side && f < 6*side {
		tries = append(tries, f)
	}
	var out []model
	for _, f := range tries {
		out = append(out, posed(hom, w, h, f, p.bend))
	}
	return out
}

// focal is the focal length of a homography, pixels, 0 where it gives none: the two
// axes of the table are square to each other and of one scale (Zhang Z (2000), A
// flexible new technique for camera calibration, IEEE PAMI 22:1330-1334), which are two
// linear equations for 1/f², here solved by least squares.
func focal(h [3][3]float64, wide, high float64) float64 {
	var a, b [3]float64
	for i, mid := range [3]float64{wide / 2, high / 2, 0} {
		a[i], b[i] = h[i][0]-mid*h[2][0], h[i][1]-mid*h[2][1]
	}
	aa, bb := dot(a, a), dot(b, b)
	var top, bottom float64
	for _, e := range [2][3]float64{
		{a[0]*b[0] + a[1]*b[1], a[2] * b[2], math.Sqrt(aa * bb)},
		{a[0]*a[0] + a[1]*a[1] - b[0]*b[0] - b[1]*b[1], a[2]*a[2] - b[2]*b[2], aa + bb},
	} {
		top -= e[0] * e[1] / (e[2] * e[2])
		bottom += e[0] * e[0] / (e[2] * e[2])
	}
	if !(top > 0) {
		return 0
	}
	return math.Sqrt(bottom / top)
}

// posed is the camera of a homography and a focal length (Zhang 2000).
func posed(h [3][3]float64, wide, high, f, bend float64) model {
	k := [3][3]float64{{1 / f, 0, -wide / 2 / f}, {0, 1 / f, -high / 2 / f}, {0, 0, 1}}
	b := product(k, h)
	col := func(j int) [3]float64 { return [3]float64{b[0][j], b[1][j], b[2][j]} }
	x, y, t := col(0), col(1), col(2)
	s := 2 / (math.Sqrt(dot(x, x)) + math.Sqrt(dot(y, y)))
	if t[2] < 0 { // the table lies in front
		s = -s
	}
	x, y, t = unit(scaled(x, s)), unit(scaled(y, s)), scaled(t, s)
	z := unit(cross(x, y))
	y = cross(z, x)
	m := model{width: wide, height: high, zoom: math.Log(f / max(wide, high)), bend: bend}
	for i := range 3 {
		m.turn[i] = [3]float64{x[i], y[i], z[i]}
	}
	m.at = [3]float64{-dot(x, t), -dot(y, t), height - dot(z, t)}
	return m
}

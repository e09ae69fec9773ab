package table

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// misfits is what a camera is fitted to: residuals in standard deviations and the sum
// of their squares, or that the camera does not see what it should.
type misfits interface {
	residuals(m *model, out []float64) (cost float64, ok bool)
}

// tiny is the step of differences: metres, radians, or of the lens's own units.
const tiny = 1e-6

// linear is JᵀJ and Jᵀr at a camera.
func linear(f misfits, m *model, r []float64) (normal [free][free]float64, slope [free]float64, ok bool) {
	n := len(r)
	buffer := make([]float64, (2+free)*n)
	up, down, rows := buffer[:n], buffer[n:2*n], buffer[2*n:]
	for i := range free {
		var d [free]float64
		d[i] = tiny
		a := m.moved(d)
		d[i] = -tiny
		b := m.moved(d)
		_, seenUp := f.residuals(&a, up)
		_, seenDown := f.residuals(&b, down)
		if !seenUp || !seenDown {
			return normal, slope, false
		}
		for k := range r {
			rows[i*n+k] = (up[k] - down[k]) / (2 * tiny)
		}
	}
	for i := range free {
		for k, v := range r {
			slope[i] += rows[i*n+k] * v
		}
		for j := range i + 1 {
			for k := range r {
				normal[i][j] += rows[i*n+k] * rows[j*n+k]
			}
			normal[j][i] = normal[i][j]
		}
	}
	return normal, slope, true
}

// descend goes downhill from a camera to the nearest best one by the steps of
// Levenberg and Marquardt, until a step gains no more than a share of the cost.
// count is the number of residuals.
func descend(f misfits, m model, count, steps int, damp, share float64) (model, float64, bool) {
	r := make([]float64, count)
	tried := make([]float64, len(r))
	cost, ok := f.residuals(&m, r)
	if !ok {
		return m, 0, false
	}
	for range steps {
		normal, slope, ok := linear(f, &m, r)
		if !ok {
			return m, 0, false
		}
		gained := 0.
		for range 12 {
			if d, ok := step(normal, slope, damp); ok {
				next := m.moved(d)
				if c, ok := f.residuals(&next, tried); ok && c < cost {
					gained, m, cost = cost-c, next, c
					r, tried = tried, r
					break
				}
			}
			damp *= 4
		}
		damp = max(damp/6, 1e-9)
		if gained <= share*(1e-6+cost) {
			break
		}
	}
	return m, cost, true
}

// step solves for one damped step, with a turn of at most half a radian.
func step(normal [free][free]float64, slope [free]float64, damp float64) (d [free]float64, ok bool) {
	a := mat.NewSymDense(free, nil)
	for i := range free {
		for j := range i + 1 {
			a.SetSym(i, j, normal[i][j])
		}
		a.SetSym(i, i, normal[i][i]*(1+damp)+1e-9*damp)
	}
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return d, false
	}
	x := mat.NewVecDense(free, d[:])
	if err := chol.SolveVecTo(x, mat.NewVecDense(free, slope[:])); err != nil {
		return d, false
	}
	turn := math.Sqrt(dot([3]float64(d[:3]), [3]float64(d[:3])))
	by := -1.
	if turn > .5 {
		by = -.5 / turn
	}
	x.ScaleVec(by, x)
	return d, true
}

// covariance is that of the numbers of a camera, of a step from it.
func covariance(f misfits, m *model, count int) (*mat.SymDense, bool) {
	r := make([]float64, count)
	if _, ok := f.residuals(m, r); !ok {
		return nil, false
	}
	normal, _, ok := linear(f, m, r)
	if !ok {
		return nil, false
	}
	a := mat.NewSymDense(free, nil)
	for i := range free {
		for j := range i + 1 {
			a.SetSym(i, j, normal[i][j])
		}
	}
	var chol mat.Cholesky
	cov := new(mat.SymDense)
	if !chol.Factorize(a) || chol.InverseTo(cov) != nil {
		return nil, false
	}
	return cov, true
}

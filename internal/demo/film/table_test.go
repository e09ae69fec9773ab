package film

import (
	"context"
	"image"
	"math"
	"path/filepath"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/demo"
)

// The table in the drawn picture measures 2.74 m by 1.525 m (Laws of Table Tennis
// 2.1.1): its white border lines are found by their colour in a decoded picture,
// and carried back through the camera onto the plane of the surface. The lines
// are 2 cm wide (2.1.4), so their middles run 1 cm inside the edges.
func TestDrawnTableHasRegulationSize(t *testing.T) {
	for _, scene := range []int{0, 5, 9} {
		s := short(t, scene, 3)
		path := filepath.Join(t.TempDir(), s.File)
		require.NoError(t, Write(context.Background(), s, path, nil))
		for kind, img := range map[string]*image.RGBA{"drawn": still(s, 20), "decoded": decode(t, path)[20]} {
			corners := tableCorners(t, img, s.Camera)
			length := func(a, b int) float64 { return corners[a].Sub(corners[b]).Length() }
			for _, e := range []struct {
				name      string
				got, want float64
			}{
				{"right side", length(0, 1), 2.74}, {"far end", length(1, 2), 1.525},
				{"left side", length(2, 3), 2.74}, {"near end", length(3, 0), 1.525},
				{"diagonal", length(0, 2), 3.135797}, {"other diagonal", length(1, 3), 3.135797},
			} {
				require.InEpsilon(t, e.want, e.got, 0.01, "%s of the %s table, %s", e.name, kind, s.File)
			}
		}
	}
}

// tableCorners finds the outer corners of the surface in a picture, in the hall.
func tableCorners(t *testing.T, img *image.RGBA, c demo.Camera) [4]demo.Vec {
	corners := demo.Corners()
	var lines [4]func(float64) point
	for i := range corners {
		lines[i] = borderLine(t, img, c, corners[i], corners[(i+1)%4])
	}
	var found [4]demo.Vec
	for i := range found {
		p := cross(lines[(i+3)%4], lines[i])
		found[i] = c.OnLevel(p.x, p.y, demo.TableHeight)
	}
	// From the middles of the lines out to the edges.
	const half = demo.LineWidth / 2
	var middle demo.Vec
	for _, p := range found {
		middle = middle.Add(p.Times(0.25))
	}
	for i := range found {
		found[i].X += math.Copysign(half, found[i].X-middle.X)
		found[i].Y += math.Copysign(half, found[i].Y-middle.Y)
	}
	return found
}

// borderLine fits a straight line to the white that is found within 4 pixels of
// where an edge is expected. It returns the line's points by a parameter.
func borderLine(t *testing.T, img *image.RGBA, c demo.Camera, a, b demo.Vec) func(float64) point {
	ax, ay, _ := c.Project(a)
	bx, by, _ := c.Project(b)
	from, to := point{ax, ay}, point{bx, by}
	along := to.sub(from)
	size := math.Sqrt(along.dot(along))
	square := point{-along.y / size, along.x / size}
	var at, off []float64
	for s := 0.04; s < 0.96; s += 0.01 {
		p := between(from, to, s)
		// White is what is brighter than the surroundings on either side.
		dark := func(d float64) float64 { return darkest(img, p.x+square.x*d, p.y+square.y*d) }
		ground := 12 + max(dark(-6), dark(-5), dark(5), dark(6))
		var weight, sum float64
		for d := -4.0; d <= 4; d += 0.25 {
			w := max(0, dark(d)-ground)
			weight += w
			sum += w * d
		}
		if weight > 40 {
			at, off = append(at, s), append(off, sum/weight)
		}
	}
	require.Greater(t, len(at), 20, "white of a border line")
	slope, level := fit(at, off)
	return func(s float64) point {
		p, d := between(from, to, s), level+slope*s
		return point{p.x + square.x*d, p.y + square.y*d}
	}
}

// darkest is the darkest channel at a place of the picture.
func darkest(img *image.RGBA, x, y float64) float64 {
	x, y = x-0.5, y-0.5
	x0, y0 := int(math.Floor(x)), int(math.Floor(y))
	fx, fy := x-float64(x0), y-float64(y0)
	sum := 0.0
	for i, w := range []float64{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy} {
		p := img.RGBAAt(x0+i%2, y0+i/2)
		sum += w * float64(min(p.R, p.G, p.B))
	}
	return sum
}

// fit is a straight line through the middle of the scatter: the median of all
// slopes, then the median level (Theil 1950, Sen 1968).
func fit(x, y []float64) (slope, level float64) {
	var slopes []float64
	for i := range x {
		for j := range i {
			slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
		}
	}
	sort.Float64s(slopes)
	slope = slopes[len(slopes)/2]
	levels := make([]float64, len(x))
	for i := range x {
		levels[i] = y[i] - slope*x[i]
	}
	sort.Float64s(levels)
	return slope, levels[len(levels)/2]
}

// cross is where two straight lines meet.
func cross(a, b func(float64) point) point {
	p, q := a(0), b(0)
	u, v := a(1).sub(p), b(1).sub(q)
	w := q.sub(p)
	s := (w.x*v.y - w.y*v.x) / (u.x*v.y - u.y*v.x)
	return point{p.x + u.x*s, p.y + u.y*s}
}

// The ball is where the truth says, in the decoded picture.
func TestBallIsWhereTheTruthSays(t *testing.T) {
	club := demo.Make(1)
	truth := club.Truth().Clips[0]
	s := short(t, 0, 3)
	path := filepath.Join(t.TempDir(), s.File)
	require.NoError(t, Write(context.Background(), s, path, nil))
	pictures := decode(t, path)
	checked := 0
	for _, c := range truth.Contacts {
		for _, spot := range c.Seen {
			if spot.Frame >= s.Frames || c.Kind == demo.OnRacket && c.Who == demo.Far {
				continue // the far racket is as small as the ball and as bright
			}
			// The centre of the orange near the place.
			var weight, x, y float64
			for v := int(spot.Y) - 14; v < int(spot.Y)+14; v++ {
				for u := int(spot.X) - 14; u < int(spot.X)+14; u++ {
					p := pictures[spot.Frame].RGBAAt(u, v)
					w := max(0, float64(p.R)-float64(p.B)-110)
					weight += w
					x += w * (float64(u) + 0.5)
					y += w * (float64(v) + 0.5)
				}
			}
			require.Positive(t, weight, "a ball in picture %d at %.0f, %.0f", spot.Frame, spot.X, spot.Y)
			// A ball of 10 m/s smears over 5 cm while the shutter is open.
			require.InDelta(t, spot.X, x/weight, 5, "picture %d", spot.Frame)
			require.InDelta(t, spot.Y, y/weight, 5, "picture %d", spot.Frame)
			checked++
		}
	}
	require.Greater(t, checked, 10)
}

// between is the point that part t of the way from a to b leads to.
func between(a, b point, t float64) point { return point{a.x + (b.x-a.x)*t, a.y + (b.y-a.y)*t} }

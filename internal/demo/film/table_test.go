package film

import (
	"context"
	"fmt"
	"image"
	"image/color"
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
	for scene, s := range demo.Make(1).Scenes {
		if s.Camera.K1 != 0 || scene == 7 {
			continue // bent, or from so low down that lines are thin: TestLinesAreWhereTheCameraSeesThem
		}
		pictures := map[string]*image.RGBA{"drawn": still(s, 20)}
		if scene%5 == 0 {
			s = short(t, scene, 3)
			path := filepath.Join(t.TempDir(), s.File)
			require.NoError(t, Write(context.Background(), s, path, nil))
			pictures["decoded"] = decode(t, path)[20]
		}
		for kind, img := range pictures {
			corners := tableCorners(t, img, s.Camera, s.Table)
			length := func(a, b int) float64 { return corners[a].Sub(corners[b]).Length() }
			for _, e := range []struct {
				name      string
				got, want float64
			}{
				{"right side", length(0, 1), 2.74}, {"far end", length(1, 2), 1.525},
				{"left side", length(2, 3), 2.74}, {"near end", length(3, 0), 1.525},
				{"diagonal", length(0, 2), 3.135797}, {"other diagonal", length(1, 3), 3.135797},
			} {
				within := 0.01
				switch scene {
				case 2, 3, 4, 5: // not from behind the usual corner, but from farther away
					within = 0.03
				}
				require.InEpsilon(t, e.want, e.got, within, "%s of the %s table, %s", e.name, kind, s.File)
			}
		}
	}
}

// tableCorners finds the outer corners of the surface in a picture, in the hall.
func tableCorners(t *testing.T, img *image.RGBA, c demo.Camera, height float64) [4]demo.Vec {
	corners := demo.Corners()
	for i := range corners {
		corners[i].Z = height
	}
	var lines [4]func(float64) point
	for i := range corners {
		lines[i] = borderLine(t, img, c, corners[i], corners[(i+1)%4])
	}
	var found [4]demo.Vec
	for i := range found {
		p := cross(lines[(i+3)%4], lines[i])
		found[i] = c.OnLevel(p.x, p.y, height)
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
		if d, ok := whiteAcross(img, p, square); ok {
			at, off = append(at, s), append(off, d)
		}
	}
	require.Greater(t, len(at), 20, "white of a border line")
	slope, level := fit(at, off)
	return func(s float64) point {
		p, d := between(from, to, s), level+slope*s
		return point{p.x + square.x*d, p.y + square.y*d}
	}
}

// whiteAcross is how far from a place, in a direction, the middle of what is brighter
// than the surroundings on either side lies; false where nothing is.
func whiteAcross(img *image.RGBA, p, square point) (off float64, ok bool) {
	dark := func(d float64) float64 { return darkest(img, p.x+square.x*d, p.y+square.y*d) }
	ground := 12 + max(dark(-6), dark(-5), dark(5), dark(6))
	var weight, sum float64
	for d := -4.0; d <= 4; d += 0.25 {
		w := max(0, dark(d)-ground)
		weight += w
		sum += w * d
	}
	return sum / max(weight, 1), weight > 40
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

// The white lines are where the truth's camera sees them, in every view: through a wide
// lens, after a knock, on a table that stands too low, from near and far.
func TestLinesAreWhereTheCameraSeesThem(t *testing.T) {
	seen, knocked := 0, 0
	for _, club := range []demo.Club{demo.Make(1), demo.Judge(2)} {
		truth := club.Truth()
		for i, s := range club.Scenes {
			frames := []int{20}
			if truth.Clips[i].Moved != nil {
				frames = append(frames, s.Frames-20)
				knocked++
			}
			for _, frame := range frames {
				camera := truth.Clips[i].CameraAt(frame).Camera()
				corners := demo.Corners()
				for k := range corners {
					corners[k].Z = truth.Clips[i].TableHeight
				}
				img := still(s, frame)
				for k := range corners {
					if requireWhiteLine(t, img, camera, corners[k], corners[(k+1)%4], corners[(k+3)%4], fmt.Sprintf("%s, seed %d, picture %d, side %d", s.File, club.Seed, frame, k)) {
						seen++
					}
				}
			}
		}
	}
	require.Greater(t, seen, 50)
	require.Greater(t, knocked, 2)
}

// requireWhiteLine looks along the middle of a border line, 1 cm inside its edge on the
// side of another corner, for where the picture is whitest across.
func requireWhiteLine(t *testing.T, img *image.RGBA, c demo.Camera, a, b, inner demo.Vec, name string) (seen bool) {
	t.Helper()
	in := inner.Sub(a).Unit().Times(demo.LineWidth / 2)
	var offs []float64
	for k := 1; k < 40; k++ {
		p := a.To(b, float64(k)/40).Add(in)
		x, y, _ := c.Project(p)
		ex, ey, _ := c.Project(p.Sub(in))
		if math.Hypot(ex-x, ey-y) < 0.8 {
			continue // thinner than a pixel and a half
		}
		qx, qy, _ := c.Project(p.Add(b.Sub(a).Times(0.01)))
		along := point{qx - x, qy - y}.unit(point{1, 0})
		if off, ok := whiteAcross(img, point{x, y}, point{-along.y, along.x}); ok {
			offs = append(offs, off)
		}
	}
	if len(offs) < 12 {
		return false // too thin, or somebody stands before it
	}
	sort.Float64s(offs)
	require.InDelta(t, 0, offs[len(offs)/2], 0.9, name)
	return true
}

// Shoes are drawn where the truth has heels and toes.
func TestShoesAreWhereTheTruthSays(t *testing.T) {
	club := demo.Make(1)
	truth := club.Truth()
	right, all := 0, 0
	for _, i := range []int{0, 2, 5, 10} {
		for _, k := range truth.Clips[i].Strokes {
			img := still(club.Scenes[i], k.Frame)
			var shoes demo.RGB
			for n, f := range truth.Clips[i].Figures {
				if f.Turn == k.Turn {
					shoes = club.Scenes[i].Actors[n].Look.Shoes
				}
			}
			for _, foot := range k.Feet {
				for _, p := range []demo.TruthPoint{foot.Heel, foot.Toe} {
					all++
					if alike(img.RGBAAt(int(p.X), int(p.Y)), shoes) {
						right++
					}
				}
			}
		}
	}
	require.Greater(t, right, all*9/10, "of %d heels and toes", all) // the other leg may hide one
}

// alike reports whether a colour is another in some light.
func alike(p color.RGBA, c demo.RGB) bool {
	sum, want := float64(p.R)+float64(p.G)+float64(p.B), float64(c[0])+float64(c[1])+float64(c[2])
	if sum < want*0.5 {
		return false
	}
	for i, v := range []uint8{p.R, p.G, p.B} {
		if math.Abs(float64(v)/sum-float64(c[i])/want) > 0.03 {
			return false
		}
	}
	return true
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

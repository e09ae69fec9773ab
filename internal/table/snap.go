package table

import (
	"math"
	"slices"
)

// Snapped is a camera that was pulled onto the lines that show in a picture.
type Snapped struct {
	Camera *Camera
	// Clicks are the corners and tops where the camera sees them: from them [Fit] makes
	// the same camera again.
	Clicks Clicks
	// Support is how much of the table's lines and of the net was found where the camera
	// has them, 0 to 1.
	Support float64
	// Good says that the support is as high and that the lines tell as much as those of
	// cameras that were right.
	Good bool
}

// NoLines is the refusal of [Snap].
const NoLines Refusal = "The table's lines were not found near the points: click the corners more exactly, or keep them as they are."

// What the support of a camera must reach to be called good, and how far off the corner
// that is known least may be, by what was found of the lines, pixels of what was looked
// at: measured on drawn halls.
const (
	goodSupport = .7
	goodSpread  = 2.
)

// Snap pulls a camera that was fitted to clicks onto the white lines of the table and
// the tape of the net. clickSD is the standard deviation of the clicks, pixels of the
// camera's picture, 0 for 2. The picture may have another size than the camera's, not
// another shape. It refuses with [NoLines].
func Snap(pic *Picture, rough *Camera, clickSD float64) (Snapped, error) {
	sd, ok := deviation(clickSD, rough.model.width)
	scale, same := pic.scale(&rough.model)
	if !ok || !same {
		return Snapped{}, NoLines
	}
	sd = max(sd*scale, .5)
	first := rough.model.sized(float64(pic.width), float64(pic.height))
	s := snapper{pic: pic, prior: rough.prior, sd: sd}
	for _, c := range corners() {
		if p, ok := first.see(c); ok {
			s.clicks = append(s.clicks, click{c, p})
		}
	}
	best := pulled{support: math.Inf(-1)}
	try := func(m model, radii ...float64) {
		m, ok := s.pullAll(m, nil, radii...)
		if !ok || !plausible(&m) {
			return
		}
		e := pulled{model: m, support: support(pic, &m), spread: s.last.spread(&m), moved: cornersApart(&m, &first)}
		if e.worth(sd) > best.worth(sd) {
			best = e
		}
	}
	for _, m := range s.begins(first, sd) {
		try(m, 2*sd+2, 6, 3.5, 2.5)
		if best.clear(sd) {
			break
		}
		try(m, 3*sd+4, 8, 4, 2.5)
		try(m, 4, 2.5)
	}
	if best.moved > 7*sd || math.IsInf(best.support, -1) {
		return Snapped{}, NoLines
	}
	return s.done(best.model, best.support, best.spread, &rough.model)
}

// pulled is a camera that was pulled onto lines.
type pulled struct {
	model           model
	support, spread float64
	moved           float64 // how far from the clicks, pixels
}

// worth is what the best has most of: support, less where the clicks are left by more
// than they are likely to be off, and where the lines tell little.
func (p *pulled) worth(sd float64) float64 {
	return p.support - .02*max(0, p.moved/sd-3) - .05*max(0, p.spread-1)
}

// clear reports whether there is no use in trying from elsewhere.
func (p *pulled) clear(sd float64) bool {
	return p.support > .92 && p.spread < .8*goodSpread && p.moved < 2*sd
}

// scale is how much smaller the picture is than the camera's, and whether it has the
// same shape.
func (p *Picture) scale(m *model) (float64, bool) {
	x, y := float64(p.width)/m.width, float64(p.height)/m.height
	return x, min(p.width, p.height) >= smallest && math.Abs(x/y-1) < .02
}

// sized is the camera with a picture of another size.
func (m *model) sized(width, height float64) model {
	n := *m
	n.width, n.height = width, height
	return n
}

// snapper pulls cameras onto the lines of one picture.
type snapper struct {
	pic    *Picture
	prior  prior
	clicks []click // on the corners, if there are any, and how far they are off
	sd     float64
	last   lines // what was found last
}

// begins are cameras from which to begin: the one that was clicked, and those that see
// the corners in the same places with other focal lengths, which clicks hardly tell.
func (s *snapper) begins(m model, sd float64) []model {
	out := []model{m}
	var q [4]Point
	for i, c := range corners() {
		p, ok := m.see(c)
		if !ok {
			return out
		}
		q[i] = p
	}
	for _, by := range []float64{.7, 1, 1.4} {
		p := s.prior
		p.zoom, p.zoomSD = s.prior.zoom+math.Log(by), .08
		f := fitter{clicks: placed(q, nil, 0), sd: sd, prior: p}
		for _, n := range starts(m.width, m.height, q, p)[1:] {
			if n, _, ok := f.settle(n, glance); ok && n.at[2] > height {
				out = append(out, n)
				break
			}
		}
	}
	return out
}

// pullAll pulls twice with each radius.
func (s *snapper) pullAll(m model, on *part, radii ...float64) (model, bool) {
	ok := true
	for _, r := range radii {
		for range 2 {
			if m, ok = s.pull(m, r, on); !ok {
				return m, false
			}
		}
	}
	return m, true
}

// pull looks for the lines within r pixels and fits the camera to what is found, on
// one part of the surface alone if on is not nil.
func (s *snapper) pull(m model, r float64, on *part) (model, bool) {
	borders, ok := edges(s.pic, &m, r)
	if !ok {
		return m, false
	}
	l := lines{prior: s.prior, clicks: s.clicks, sd: s.sd}
	sides, least := 0, 3
	if on != nil {
		least = 2
	}
	for i := range borders {
		for k, p := range borders[i].places {
			if on != nil && !on.holds(p) {
				borders[i].seen[k] = nil
			}
		}
		if borders[i].straight(max(.8, .12*r)) >= 5 {
			l.add(&borders[i], 1)
			sides++
		}
	}
	if sides < least {
		return m, false
	}
	if t, ok := tape(s.pic, &m, r); ok && float64(t.straight(1)) > .45*tapes {
		l.add(&t, .6)
	}
	m, ok = l.settle(m, 12)
	s.last = l
	return m, ok
}

// plausible reports whether a camera stands where one can stand.
func plausible(m *model) bool {
	away := math.Hypot(m.at[0]-length/2, m.at[1]-width/2)
	return m.at[2] > height+.03 && m.at[2] < 12 && away < 25
}

// cornersApart is the root of the mean square of how far two cameras see the corners
// apart, pixels.
func cornersApart(a, b *model) float64 {
	sum := 0.
	for _, c := range corners() {
		p, ok := a.see(c)
		q, okay := b.see(c)
		if !ok || !okay {
			return math.Inf(1)
		}
		sum += (p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y)
	}
	return math.Sqrt(sum / 4)
}

// done makes the camera for the size of the one that was clicked. The lines do not tell
// all that is unsure: a net sags, and the lens and the table are not quite what they
// are taken for.
func (s *snapper) done(m model, support, spread float64, like *model) (Snapped, error) {
	const least, share = .9, 1. // pixels, and of the spread; measured on drawn halls
	out := Snapped{Support: support, Good: support >= goodSupport && spread <= goodSpread}
	m = m.sized(like.width, like.height)
	out.Clicks = Clicks{Width: like.width, Height: like.height, Wide: s.prior == wide(),
		SD: max(least, share*spread) * like.width / float64(s.pic.width)}
	for i, c := range corners() {
		p, ok := m.see(c)
		if !ok {
			return Snapped{}, NoLines
		}
		out.Clicks.Corners[i] = p
	}
	for _, c := range tops() {
		if p, ok := m.see(c); ok && out.Clicks.within(p, 1) {
			out.Clicks.Tops = append(out.Clicks.Tops, p)
		}
	}
	camera, err := Fit(out.Clicks)
	if err != nil {
		return Snapped{}, NoLines // they tell too little
	}
	out.Camera = camera
	return out, nil
}

// Support is how much of the table's lines and of the net a picture shows where the
// camera has them, 0 to 1; 0 for a picture of another shape.
func (c *Camera) Support(pic *Picture) float64 {
	if _, same := pic.scale(&c.model); !same {
		return 0
	}
	m := c.model.sized(float64(pic.width), float64(pic.height))
	return support(pic, &m)
}

// support weighs what was found: most of all the net, since without it the table's
// far half passes for the whole, then the borders, and that the surface has one colour.
// A line beyond which the surface goes on is half a border.
func support(pic *Picture, m *model) float64 {
	borders, ok := edges(pic, m, 3)
	if !ok {
		return 0
	}
	mean, least, second := 0., math.Inf(1), math.Inf(1)
	for i := range borders {
		part := 0.
		for _, all := range borders[i].seen {
			k := slices.IndexFunc(all, func(s sight) bool { return math.Abs(s.off) < 2 })
			switch {
			case k >= 0 && all[k].ended:
				part++
			case k >= 0:
				part += .5
			}
		}
		part /= places
		mean += part / 4
		if part < least {
			least, second = part, least
		} else {
			second = min(second, part)
		}
	}
	netShare := 0.
	if t, ok := tape(pic, m, 3); ok {
		netShare = float64(t.straight(1)) / tapes
	}
	return .4*netShare + .25*second + .25*mean + .1*even(pic, m)
}

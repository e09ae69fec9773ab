package table

import (
	"cmp"
	"math"
	"slices"
)

// What the support of a table that was found without clicks must exceed to be sure, in
// the picture where it was found and in each of the others, and how far off its corners
// may be by what was found of the lines, pixels of what was looked at: measured on drawn
// halls. Where people were taken for parts of a table, they are elsewhere in the others.
const (
	sureSupport = .8
	everywhere  = .6
	sureSpread  = 1.3
)

// Find looks for the table without clicks in up to five pictures of one clip, all of
// one size, and in their median where there are three or more, which takes moving
// people out. It returns the best that was found, if anything, and whether it is sure
// enough to be offered; the table's nearer end is taken for that of the near player.
func Find(pics []*Picture) (best Snapped, sure bool) {
	const most = 5
	all := slices.DeleteFunc(slices.Clone(pics[:min(len(pics), most)]), func(p *Picture) bool { return min(p.width, p.height) < smallest })
	if m := Median(all); m != nil {
		all = append([]*Picture{m}, all...)
	}
	worth := math.Inf(-1)
	for _, p := range all {
		s := snapper{pic: p, prior: common()}
		m, support, ok := s.find()
		if !ok || support+p.large(&m) <= worth {
			continue
		}
		spread := s.last.spread(&m)
		if m.at[0] > length/2 {
			m = m.turned()
		}
		if got, err := s.done(m, support, spread, &m); err == nil {
			best, worth = got, support+p.large(&m)
			sure = got.Good && support > sureSupport && spread < sureSpread
		}
	}
	for _, p := range all {
		sure = sure && best.Camera.Support(p) > everywhere
	}
	return best, sure
}

// Median is the picture of the medians of each pixel; nil for fewer than three
// pictures or those of several sizes.
func Median(pics []*Picture) *Picture {
	if len(pics) < 3 {
		return nil
	}
	out := &Picture{width: pics[0].width, height: pics[0].height, light: make([]float32, len(pics[0].light))}
	for _, p := range pics {
		if p.width != out.width || p.height != out.height {
			return nil
		}
	}
	v := make([]float32, len(pics))
	for i := range out.light {
		for k, p := range pics {
			v[k] = p.light[i]
		}
		slices.Sort(v)
		out.light[i] = (v[(len(v)-1)/2] + v[len(v)/2]) / 2
	}
	return out
}

// large is a bonus for tables that are large in the picture: others stand farther
// away.
func (p *Picture) large(m *model) float64 {
	return .15 * min(1, math.Sqrt(surface(m))/float64(p.width)/.3)
}

// surface is how much of the picture the table's surface takes up, square pixels.
func surface(m *model) float64 {
	var q [4]Point
	for i, c := range corners() {
		q[i], _ = m.see(c)
	}
	return area(q[:])
}

// part is which part of the surface an even quadrangle may be, metres.
type part struct{ x0, x1, y0, y1 float64 }

// parts are the whole, the near half (the net hides some of the far one), and what the
// line in the middle leaves of these.
func parts() []part {
	return []part{{0, length, 0, width}, {0, length / 2, 0, width}, {0, length / 2, 0, width / 2}, {0, length / 2, width / 2, width}, {0, length, 0, width / 2}}
}

// guess is a camera by one quadrangle.
type guess struct {
	model model
	part  part
	whole bool
	worth float64
}

// guesses are all cameras by the candidates, the likeliest first.
func (p *Picture) guesses() (out []guess) {
	w, h := float64(p.width), float64(p.height)
	prior := common()
	for _, c := range p.candidates() {
		for n, pt := range parts() {
			places := [][2]float64{{pt.x0, pt.y0}, {pt.x0, pt.y1}, {pt.x1, pt.y1}, {pt.x1, pt.y0}}
			for k := range 4 {
				q := []Point{c.corners[k], c.corners[(k+1)%4], c.corners[(k+2)%4], c.corners[(k+3)%4]}
				hom, ok := homography(places, q)
				if !ok || n == 0 && k > 1 {
					continue
				}
				g := guess{part: pt, whole: n == 0}
				least := math.Inf(1)
				for _, f := range []float64{.6, .85, 1.2, 1.7} {
					m := posed(hom, w, h, f*max(w, h), prior.bend)
					if e := m.misses(places, q); e < least && upright(&m, 15) && m.at[2] > height+.1 && m.at[2] < 6 {
						least, g.model = e, m
					}
				}
				if least > .02*w || !p.shows(&g.model) {
					continue
				}
				g.worth = .4*c.fill - 10*least/w
				out = append(out, g)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b guess) int { return cmp.Compare(b.worth, a.worth) })
	return out
}

// misses is the root of the mean square of how far places of the surface show from
// points, pixels.
func (m *model) misses(places [][2]float64, q []Point) float64 {
	sum := 0.
	for i, p := range places {
		s, ok := m.see([3]float64{p[0], p[1], height})
		if !ok {
			return math.Inf(1)
		}
		sum += (s.X-q[i].X)*(s.X-q[i].X) + (s.Y-q[i].Y)*(s.Y-q[i].Y)
	}
	return math.Sqrt(sum / float64(len(places)))
}

// upright reports whether a camera's rows are level to within some degrees.
func upright(m *model, degrees float64) bool {
	return math.Abs(m.turn[0][2]) < math.Sin(degrees*math.Pi/180) && m.turn[1][2] < 0
}

// shows reports whether a camera has the table in the picture, all but one corner at
// most, neither tiny nor filling it.
func (p *Picture) shows(m *model) bool {
	w, h := float64(p.width), float64(p.height)
	out := 0
	for _, c := range corners() {
		q, ok := m.see(c)
		if !ok || math.Abs(q.X) > 4*w || math.Abs(q.Y) > 4*w {
			return false
		}
		if q.X < -.02*w || q.Y < -.02*w || q.X > 1.02*w || q.Y > 1.02*h {
			out++
		}
	}
	a := surface(m)
	return out <= 1 && a > .006*w*h && a < .6*w*h
}

// find is the best camera without clicks, and its support.
func (s *snapper) find() (best model, found float64, ok bool) {
	p := s.pic
	const weighed, tried = 220, 16
	all := p.guesses()
	all = all[:min(len(all), weighed)]
	for i := range all {
		all[i].worth = p.worth(&all[i])
	}
	slices.SortStableFunc(all, func(a, b guess) int { return cmp.Compare(b.worth, a.worth) })
	var seen []model
	var last lines
	worth := math.Inf(-1)
	for i := range all {
		m := all[i].model
		if slices.ContainsFunc(seen, func(o model) bool { return cornersApart(&o, &m) < .008*float64(p.width) }) {
			continue
		}
		if seen = append(seen, m); len(seen) > tried {
			break
		}
		ok := true
		if !all[i].whole {
			m, ok = s.pullAll(m, &all[i].part, 8, 4)
		}
		if ok {
			m, ok = s.pullAll(m, nil, 10, 6, 3.5, 2.5)
		}
		if !ok || !plausible(&m) || !upright(&m, 12) || !p.shows(&m) {
			continue
		}
		e := support(p, &m)
		if e+p.large(&m) > worth {
			best, found, worth, last = m, e, e+p.large(&m), s.last
		}
		if e > .9 {
			break
		}
	}
	s.last = last
	return best, found, !math.IsInf(worth, -1)
}

// worth is how much of the lines and the net shows where a guess has them, roughly.
func (p *Picture) worth(g *guess) float64 {
	borders, ok := edges(p, &g.model, 7)
	if !ok {
		return math.Inf(-1)
	}
	found, of := 0., 0.
	for i := range borders {
		n, close := 0., 0.
		for k, all := range borders[i].seen {
			if g.part.holds(borders[i].places[k]) {
				n++
				if slices.ContainsFunc(all, func(s sight) bool { return math.Abs(s.off) < 5 }) {
					close++
				}
			}
		}
		if n > 3 {
			found, of = found+close/n, of+1
		}
	}
	netShare := 0.
	if t, ok := tape(p, &g.model, 9); ok {
		netShare = float64(t.straight(1)) / tapes
	}
	return .5*found/max(of, 1) + .5*netShare + 1.7*p.large(&g.model)
}

// holds reports whether a place lies on the part.
func (t *part) holds(p [3]float64) bool {
	const edge = .05
	return p[0] >= t.x0-edge && p[0] <= t.x1+edge && p[1] >= t.y0-edge && p[1] <= t.y1+edge
}

// turned is the camera with the table's ends exchanged.
func (m *model) turned() model {
	n := *m
	for i := range n.turn {
		n.turn[i][0], n.turn[i][1] = -n.turn[i][0], -n.turn[i][1]
	}
	n.at[0], n.at[1] = length-n.at[0], width-n.at[1]
	return n
}

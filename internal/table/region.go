package table

import (
	"cmp"
	"math"
	"slices"
)

// region is a part of a picture of nearly one colour.
type region struct {
	area   float64
	colour [colours]float64
	hull   []Point
	box    [4]float64 // left, top, right, bottom
}

// fill is how much of its hull a region takes up.
func (r *region) fill() float64 { return r.area / max(1, area(r.hull)) }

// gap is how far two regions' boxes lie apart, pixels.
func (r *region) gap(o *region) float64 {
	x := max(r.box[0], o.box[0]) - min(r.box[2], o.box[2])
	y := max(r.box[1], o.box[1]) - min(r.box[3], o.box[3])
	return max(0, x, y)
}

// overlap is how much of the smaller box lies in the other.
func (r *region) overlap(o *region) float64 {
	x := min(r.box[2], o.box[2]) - max(r.box[0], o.box[0])
	y := min(r.box[3], o.box[3]) - max(r.box[1], o.box[1])
	size := func(b [4]float64) float64 { return (b[2] - b[0]) * (b[3] - b[1]) }
	return max(0, x) * max(0, y) / max(1, min(size(r.box), size(o.box)))
}

// steepness is how much the picture changes at each pixel, to the right and to the left
// or up and down, in sums of differences of lightness (0 to 255) and colour.
func (p *Picture) steepness() []float32 {
	out := make([]float32, p.width*p.height)
	abs := func(v float32) float32 { return max(v, -v) }
	for y := 1; y < p.height-1; y++ {
		for x := 1; x < p.width-1; x++ {
			i, n := (y*p.width+x)*colours, p.width*colours
			differ := func(step int) float32 {
				a, b := p.light[i-step:], p.light[i+step:]
				return 2.55*abs(b[0]-a[0]) + abs(b[1]-a[1]) + abs(b[2]-a[2])
			}
			out[y*p.width+x] = max(differ(colours), differ(n))
		}
	}
	return out
}

// regions are the even parts of a picture by three limits of what is even, which its
// noise says, the largest first.
func (p *Picture) regions() (out []*region) {
	steep := p.steepness()
	some := make([]float32, 0, len(steep)/16+1)
	for i := 0; i < len(steep); i += 16 {
		some = append(some, steep[i])
	}
	slices.Sort(some)
	noise := some[len(some)/2]
	for _, limit := range []float32{max(5, 1.6*noise), max(9, 2.6*noise), max(16, 4*noise)} {
		even := make([]bool, len(steep))
		for i, v := range steep {
			even[i] = v < limit
		}
		out = append(out, p.components(opened(even, p.width))...)
	}
	const most = 70
	slices.SortStableFunc(out, func(a, b *region) int { return cmp.Compare(b.area, a.area) })
	return out[:min(len(out), most)]
}

// opened leaves out what is narrower than three pixels.
func opened(in []bool, w int) []bool {
	shrunk := spread(in, w, false)
	return spread(shrunk, w, true)
}

// spread gives a value to all eight neighbours of the pixels that have it.
func spread(in []bool, w int, value bool) []bool {
	row, out := slices.Clone(in), slices.Clone(in)
	for i := 1; i < len(in)-1; i++ {
		if in[i-1] == value || in[i+1] == value {
			row[i] = value
		}
	}
	copy(out, row)
	for i := w; i < len(in)-w; i++ {
		if row[i-w] == value || row[i+w] == value {
			out[i] = value
		}
	}
	return out
}

// components are the connected parts that are large enough to be a half of a table and
// take up most of their hull.
func (p *Picture) components(even []bool) (out []*region) {
	whole := float64(len(even))
	var queue []int32
	for start, e := range even {
		if !e {
			continue
		}
		even[start] = false
		queue = append(queue[:0], int32(start))
		for at := 0; at < len(queue); at++ {
			i := int(queue[at])
			x := i % p.width
			reach := func(j int, ok bool) {
				if ok && even[j] {
					even[j] = false
					queue = append(queue, int32(j))
				}
			}
			reach(i-1, x > 0)
			reach(i+1, x < p.width-1)
			reach(i-p.width, i >= p.width)
			reach(i+p.width, i < len(even)-p.width)
		}
		if n := float64(len(queue)); n > .0012*whole && n < .35*whole {
			if r := p.region(queue); r.fill() > .55 {
				out = append(out, r)
			}
		}
	}
	return out
}

// region is that of pixels.
func (p *Picture) region(pixels []int32) *region {
	r := &region{area: float64(len(pixels)), box: [4]float64{math.Inf(1), math.Inf(1), 0, 0}}
	first, last := map[int]int{}, map[int]int{}
	for _, at := range pixels {
		x, y := int(at)%p.width, int(at)/p.width
		if f, ok := first[y]; !ok || x < f {
			first[y] = x
		}
		if l, ok := last[y]; !ok || x > l {
			last[y] = x
		}
		for c := range r.colour {
			r.colour[c] += float64(p.light[int(at)*colours+c]) / r.area
		}
	}
	var points []Point
	for y, f := range first {
		l := last[y]
		points = append(points, Point{float64(f) + .5, float64(y) + .5}, Point{float64(l) + .5, float64(y) + .5})
		r.box = [4]float64{min(r.box[0], float64(f)), min(r.box[1], float64(y)), max(r.box[2], float64(l)+1), max(r.box[3], float64(y)+1)}
	}
	r.hull = hull(points)
	return r
}

// candidate is a quadrangle that may be the surface or a part of it.
type candidate struct {
	corners [4]Point // clockwise
	fill    float64
}

// candidates are those of single regions and of neighbours of like colour: lines and
// the net part the surface.
func (p *Picture) candidates() (out []candidate) {
	all := p.regions()
	whole := float64(p.width * p.height)
	add := func(h []Point, size float64) {
		q, ok := quadrangle(h)
		a, ha := area(q[:]), area(h)
		if !ok || ha < .003*whole || a <= 0 || ha/a < .8 {
			return
		}
		for _, c := range q {
			if math.Abs(c.X) > 6*float64(p.width) || math.Abs(c.Y) > 6*float64(p.width) {
				return
			}
		}
		for _, o := range out {
			if sameCorners(o.corners, q, .006*float64(p.width)) {
				return
			}
		}
		out = append(out, candidate{q, size / a})
	}
	for _, r := range all {
		add(r.hull, r.area)
	}
	const seeds, neighbours = 36, 14
	for _, seed := range all[:min(len(all), seeds)] {
		var near []*region
		for _, b := range all {
			alike := math.Abs(b.colour[0]-seed.colour[0])*1.3 < 14 && math.Abs(b.colour[1]-seed.colour[1]) < 14 && math.Abs(b.colour[2]-seed.colour[2]) < 14
			if b != seed && alike {
				near = append(near, b)
			}
		}
		slices.SortStableFunc(near, func(a, b *region) int { return cmp.Compare(seed.gap(a), seed.gap(b)) })
		joined, size, used := seed.hull, seed.area, []*region{seed}
		for _, b := range near[:min(len(near), neighbours)] {
			close, over := math.Inf(1), 0.
			for _, u := range used {
				close, over = min(close, u.gap(b)), max(over, u.overlap(b))
			}
			if close > .05*float64(p.width) {
				continue
			}
			both := hull(slices.Concat(joined, b.hull))
			grown := area(both) - area(joined)
			if grown <= 0 || over > .8 && grown < .03*area(joined) || b.area/grown < .45 {
				continue
			}
			joined, size, used = both, size+min(b.area, grown), append(used, b)
			add(joined, size)
		}
	}
	return out
}

// sameCorners reports whether two quadrangles are the same but for where they begin.
func sameCorners(a, b [4]Point, by float64) bool {
	for k := range 4 {
		same := true
		for i := range 4 {
			p, q := a[i], b[(i+k)%4]
			same = same && math.Abs(p.X-q.X) < by && math.Abs(p.Y-q.Y) < by
		}
		if same {
			return true
		}
	}
	return false
}

package table

import "math"

// How the lines are looked for: Laws of Table Tennis 2.1.4 for their width; the net's
// white tape is 15 mm at most (ITTF technical leaflet T2).
const (
	lineWidth = .02
	tapeWidth = .015
	ahead     = 5  // pixels of the surface that are compared with what may be a line
	places    = 28 // on each edge of the surface
	tapes     = 24 // on the net's tape
	halves    = .5 // pixels from one sample to the next
	// blur is how blurred pictures are, pixels, with what [NewPicture] adds.
	blur = 1.
)

// found are the places of one straight line in a picture.
type found struct {
	places [][3]float64 // in the room
	square []Point      // unit vectors square to the line in the picture, away from the surface or up
	shown  []Point      // where the camera sees the places
	seen   [][]sight    // what may be the line there
	off    []float64    // how far along square the line was found, pixels; NaN where it was not
}

// sight is something that may be a line.
type sight struct {
	off   float64 // along square, pixels
	worth float64 // how well it looks like the line, 0 to 1
	ended bool    // beyond it is another colour than that of the surface
}

// along fills in where the places of the line show, and returns how wide it does,
// pixels, where it ends at out from each place. It fails where one does not show.
func (f *found) along(m *model, out [3]float64) (wide []float64, ok bool) {
	n := len(f.places)
	f.shown, f.square, f.seen = make([]Point, n), make([]Point, n), make([][]sight, n)
	for i, p := range f.places {
		if f.shown[i], ok = m.see(p); !ok {
			return nil, false
		}
	}
	wide = make([]float64, n)
	for i, p := range f.places {
		a, b := f.shown[max(0, i-1)], f.shown[min(n-1, i+1)]
		l := math.Hypot(b.X-a.X, b.Y-a.Y) + 1e-9
		s := Point{(a.Y - b.Y) / l, (b.X - a.X) / l}
		for k := range p {
			p[k] += out[k]
		}
		q, ok := m.see(p)
		if !ok {
			return nil, false
		}
		w := (q.X-f.shown[i].X)*s.X + (q.Y-f.shown[i].Y)*s.Y
		if w < 0 {
			s, w = Point{-s.X, -s.Y}, -w
		}
		f.square[i], wide[i] = s, w
	}
	return wide, true
}

// border is one of the four of the surface, with its places on the inner edge of the
// white line, and the way out across it.
func border(i int) (f found, out [3]float64) {
	in := corners()
	for i := range in {
		in[i][0] = min(max(in[i][0], lineWidth), length-lineWidth)
		in[i][1] = min(max(in[i][1], lineWidth), width-lineWidth)
	}
	out = [4][3]float64{{-lineWidth, 0, 0}, {0, lineWidth, 0}, {lineWidth, 0, 0}, {0, -lineWidth, 0}}[i]
	return found{places: between(in[i], in[(i+1)%4], places)}, out
}

// edges looks for the four borders of the surface: along each, where is a white line
// at which its colour ends, within r pixels of where the camera has its inner edge?
func edges(pic *Picture, m *model, r float64) (out []found, ok bool) {
	var p profile
	for i := range 4 {
		f, away := border(i)
		wide, ok := f.along(m, away)
		if !ok {
			return nil, false
		}
		for k, q := range f.shown {
			if pic.within(q) && !hidden(m, f.places[k], q, max(3, r/2)) {
				p.take(pic, q, f.square[k], r, wide[k])
				f.seen[k] = p.sights(wide[k])
			}
		}
		out = append(out, f)
	}
	return out, true
}

// hidden reports whether a place on the far half shows within r pixels of the net's
// tape, which would be taken for it.
func hidden(m *model, place [3]float64, at Point, r float64) bool {
	const z = height + net - tapeWidth/2
	if (place[0]-length/2)*(m.at[0]-length/2) > 0 { // on the camera's side of the net
		return false
	}
	// Where the sight of the place goes through the plane of the net.
	t := (length/2 - m.at[0]) / (place[0] - m.at[0])
	y := min(max(m.at[1]+t*(place[1]-m.at[1]), -overhang), width+overhang)
	q, ok := m.see([3]float64{length / 2, y, z})
	return ok && math.Hypot(q.X-at.X, q.Y-at.Y) < r
}

// between are n places on the way from a to b.
func between(a, b [3]float64, n int) [][3]float64 {
	out := make([][3]float64, n)
	for i := range out {
		t := (float64(i) + .5) / float64(n)
		for k := range a {
			out[i][k] = a[k] + t*(b[k]-a[k])
		}
	}
	return out
}

// tape looks for the white tape of the net: along each upright line the lightest
// ridge, within r pixels of where the camera has it. Without the net the far end line
// and the tape are taken for each other.
func tape(pic *Picture, m *model, r float64) (f found, ok bool) {
	z := height + net - tapeWidth/2
	f = found{places: between([3]float64{length / 2, .03, z}, [3]float64{length / 2, width - .03, z}, tapes)}
	if _, ok = f.along(m, [3]float64{0, 0, .01}); !ok {
		return f, false
	}
	var light []float64
	const back, far = 5, 8 // samples below, at which it is darker
	for i, q := range f.shown {
		if !pic.within(q) {
			continue
		}
		light = light[:0]
		for d := -r - ahead; d <= r+ahead; d += halves {
			light = append(light, pic.at(q.X+f.square[i].X*d, q.Y+f.square[i].Y*d)[0])
		}
		best, at := math.Inf(-1), 0
		for j := int(ahead / halves); j < len(light)-int(ahead/halves); j++ {
			ridge := light[j] - min(light[j-back], light[j-far])
			if v := ridge - .15*math.Abs(float64(j)*halves-r-ahead); v > best {
				best, at = v, j
			}
		}
		if light[at]-min(light[at-back], light[at-far]) <= 7 {
			continue
		}
		var sum, weight float64
		for j := at - 3; j <= at+3; j++ {
			w := max(light[j]-light[at-back], 0) + 1e-6
			sum, weight = sum+w*(float64(j)*halves-r-ahead), weight+w
		}
		f.seen[i] = []sight{{off: sum / weight, worth: 1}}
	}
	return f, true
}

// straight chooses the sights that lie on one straight line, within band: of the lines
// through two of them the one with the most worth (Fischler MA, Bolles RC (1981), Comm
// ACM 24:381-395, here all pairs that lie apart). It returns how many there are.
func (f *found) straight(band float64) int {
	type hint struct {
		at int
		sight
	}
	var all []hint
	for i, s := range f.seen {
		for _, h := range s {
			all = append(all, hint{i, h})
		}
	}
	most, slope, level := 0., 0., 0.
	for a, h := range all {
		for _, o := range all[a+1:] {
			if o.at-h.at < len(f.places)/7 {
				continue
			}
			b := (o.off - h.off) / float64(o.at-h.at)
			sum, last := 0., -1
			for _, k := range all {
				if k.at != last && math.Abs(k.off-h.off-b*float64(k.at-h.at)) < band {
					sum, last = sum+k.worth, k.at
				}
			}
			if sum > most {
				most, slope, level = sum, b, h.off-b*float64(h.at)
			}
		}
	}
	n := 0
	f.off = make([]float64, len(f.places))
	for i := range f.off {
		f.off[i] = math.NaN()
	}
	for _, h := range all {
		if d := h.off - level - slope*float64(h.at); most > 0 && math.Abs(d) < band && math.IsNaN(f.off[h.at]) {
			f.off[h.at] = h.off
			n++
		}
	}
	return n
}

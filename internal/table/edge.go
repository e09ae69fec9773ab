package table

import (
	"math"
	"slices"
)

// How the lines are looked for: Laws of Table Tennis 2.1.4 for their width; the net's
// white tape is 15 mm at most (ITTF technical leaflet T2).
const (
	lineWidth = .02
	tapeWidth = .015
	ahead     = 5  // pixels of the surface that are compared with what may be a line
	places    = 28 // on each edge of the surface
	tapes     = 24 // on the net's tape
	halves    = .5 // pixels from one sample to the next
)

// found are the places of one straight line in a picture.
type found struct {
	places [][3]float64 // in the room
	square []Point      // unit vectors square to the line in the picture, away from the surface or up
	shown  []Point      // where the camera sees the places
	off    []float64    // how far along square the line was found, pixels; NaN where it was not
	white  []float64    // how much lighter it is there than the surface
	inside [][colours]float64
}

// seen reports whether every place of the line shows, and fills in where.
func (f *found) seen(m *model, out [3]float64) (wide []float64, ok bool) {
	n := len(f.places)
	f.shown, f.square, f.off = make([]Point, n), make([]Point, n), make([]float64, n)
	f.white, f.inside = make([]float64, n), make([][colours]float64, n)
	for i, p := range f.places {
		if f.shown[i], ok = m.see(p); !ok {
			return nil, false
		}
		f.off[i] = math.NaN()
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

// edges looks for the four borders of the surface: along each, where does its colour
// end, within r pixels of where the camera has the inner edge of the white line?
func edges(pic *Picture, m *model, r float64) (out []found, ok bool) {
	in := corners()
	for i := range in {
		in[i][0] = min(max(in[i][0], lineWidth), length-lineWidth)
		in[i][1] = min(max(in[i][1], lineWidth), width-lineWidth)
	}
	var samples [][colours]float64
	var differ []float64
	for i, a := range in {
		b := in[(i+1)%4]
		var away [3]float64
		switch i {
		case 0:
			away[0] = -lineWidth
		case 1:
			away[1] = lineWidth
		case 2:
			away[0] = lineWidth
		default:
			away[1] = -lineWidth
		}
		f := found{places: between(a, b, places)}
		wide, ok := f.seen(m, away)
		if !ok {
			return nil, false
		}
		for k, q := range f.shown {
			if !pic.within(q) {
				continue
			}
			samples = samples[:0]
			for d := -r - ahead; d <= r+4; d += halves {
				samples = append(samples, pic.at(q.X+f.square[k].X*d, q.Y+f.square[k].Y*d))
			}
			f.inside[k], f.off[k], differ = rise(samples, r, wide[k], differ)
			if !math.IsNaN(f.off[k]) {
				d := max(wide[k]/2, .5)
				f.white[k] = pic.at(q.X+f.square[k].X*d, q.Y+f.square[k].Y*d)[0] - f.inside[k][0]
			}
		}
		out = append(out, f)
	}
	return out, true
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

// rise finds where samples, which begin r + ahead pixels inside, stop to have the
// colour of the surface: half way up to the first peak of the difference.
func rise(samples [][colours]float64, r, wide float64, differ []float64) (inside [colours]float64, at float64, buffer []float64) {
	const first = int((ahead - .5) / halves) // of the inside alone
	var part [first]float64
	for c := range colours {
		for i := range part {
			part[i] = samples[i][c]
		}
		slices.Sort(part[:])
		inside[c] = part[first/2]
	}
	differ = differ[:0]
	for _, s := range samples {
		differ = append(differ, apart(s, inside))
	}
	copy(part[:], differ)
	slices.Sort(part[:])
	base := part[first/2]
	limit := min(14, max(5, 3.5*(part[first*84/100]-base)+2))
	from := int(ahead / halves)
	j := from
	for j < len(differ) && differ[j] <= base+limit {
		j++
	}
	if j == len(differ) {
		return inside, math.NaN(), differ
	}
	end := min(len(differ)-1, j+int((wide+2.5)/halves))
	peak := slices.Max(differ[j:end+1]) - base
	if peak < 1.3*limit {
		return inside, math.NaN(), differ
	}
	half := base + peak/2
	k := max(1, j-3)
	for differ[k] < half {
		k++
	}
	part0 := (half - differ[k-1]) / max(1e-6, differ[k]-differ[k-1])
	at = -r - ahead + halves*(float64(k-1)+min(max(part0, 0), 1))
	return inside, at, differ
}

// tape looks for the white tape of the net: along each upright line the lightest
// ridge, within r pixels of where the camera has it. Without the net the far end line
// and the tape are taken for each other.
func tape(pic *Picture, m *model, r float64) (f found, ok bool) {
	z := height + net - tapeWidth/2
	f = found{places: between([3]float64{length / 2, .03, z}, [3]float64{length / 2, width - .03, z}, tapes)}
	if _, ok = f.seen(m, [3]float64{0, 0, .01}); !ok {
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
		f.off[i] = sum / weight
	}
	return f, true
}

// straight keeps the offsets that lie on one straight line, within band: of the lines
// through two of them the one that most lie on (Fischler MA, Bolles RC (1981), Comm ACM
// 24:381-395, here all pairs that lie apart). It returns how many are left.
func (f *found) straight(band float64) int {
	var at []int
	for i, d := range f.off {
		if !math.IsNaN(d) {
			at = append(at, i)
		}
	}
	most, slope, level := 0, 0., 0.
	for a, i := range at {
		for _, j := range at[a+1:] {
			if j-i < 3 {
				continue
			}
			b := (f.off[j] - f.off[i]) / float64(j-i)
			n := 0
			for _, k := range at {
				if math.Abs(f.off[k]-f.off[i]-b*float64(k-i)) < band {
					n++
				}
			}
			if n > most {
				most, slope, level = n, b, f.off[i]-b*float64(i)
			}
		}
	}
	for _, k := range at {
		if most == 0 || math.Abs(f.off[k]-level-slope*float64(k)) >= band {
			f.off[k] = math.NaN()
		}
	}
	return most
}

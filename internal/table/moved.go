package table

import "math"

// How it is told that a camera moved, measured on drawn halls: lines that show farther
// than there from where they were have moved, and where less than lost of the support is
// left, the table is not where it was, or hidden.
const (
	there = 1.5 // pixels of what is looked at
	lost  = .7
	// tellable is the support from which on there is enough to lose.
	tellable = .75
)

// Moved tells from which of some pictures of a clip on, in order of time, the camera
// stands otherwise than in the one that s was pulled onto: at least two of the lines
// show elsewhere or most are gone, in that picture and in the next one. A camera that is
// not Good or has less support than .75 is not said to have moved: too little of its
// lines is known. Pictures a second apart are close enough.
func (s Snapped) Moved(pics []*Picture) (first int, moved bool) {
	if !s.Good || s.Support < tellable {
		return 0, false
	}
	before := false
	for i, p := range pics {
		now := s.elsewhere(p)
		if now && before {
			return i - 1, true
		}
		before = now
	}
	return len(pics) - 1, before && len(pics) > 0
}

// elsewhere reports whether one picture shows the table in another place.
func (s Snapped) elsewhere(pic *Picture) bool {
	c := s.Camera
	if _, same := pic.scale(&c.model); !same {
		return true
	}
	m := c.model.sized(float64(pic.width), float64(pic.height))
	if support(pic, &m) < lost*s.Support {
		return true
	}
	const r = 8
	all, ok := edges(pic, &m, r)
	if t, seen := tape(pic, &m, r); ok && seen {
		all = append(all, t)
	}
	displaced := 0
	for i := range all {
		if all[i].displaced() {
			displaced++
		}
	}
	return displaced >= 2
}

// displaced reports whether the line shows plainly, and not where the camera has it.
func (f *found) displaced() bool {
	n := f.straight(.8)
	if 2*n < len(f.places) {
		return false
	}
	sum := 0.
	for _, d := range f.off {
		if !math.IsNaN(d) {
			sum += d / float64(n)
		}
	}
	return math.Abs(sum) > there
}

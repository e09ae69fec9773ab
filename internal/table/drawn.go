package table

// Segment is a straight line of the room, to draw over a picture.
type Segment struct{ From, To [3]float64 }

// Surface are the edges of the playing surface, the near end line first.
func Surface() (out []Segment) {
	c := corners()
	for i := range c {
		out = append(out, Segment{c[i], c[(i+1)%4]})
	}
	return out
}

// Net are the edges of the net: its top, its two ends, and where it meets the surface.
func Net() []Segment {
	t := tops()
	right, left := t[0], t[1]
	right[2], left[2] = height, height
	return []Segment{{t[0], t[1]}, {t[0], right}, {t[1], left}, {right, left}}
}

// Floor is a grid on the floor behind the near end line, metres: across are lines along
// the end line, the first right under it, the others step, 2·step … behind it as far as
// behind; along are those square to them, from a multiple of step outside one side line
// to at least beside outside the other.
func Floor(step, behind, beside float64) (across, along []Segment) {
	const most = .5 // of a step, by which sums of steps may be off
	from, to := -beside, width+beside
	for i := 0.; i*step < behind+most*step; i++ {
		across = append(across, Segment{[3]float64{-i * step, from}, [3]float64{-i * step, to}})
	}
	for i := 0.; from+i*step < to; i++ {
		along = append(along, Segment{[3]float64{0, from + i*step}, [3]float64{-behind, from + i*step}})
	}
	return across, along
}

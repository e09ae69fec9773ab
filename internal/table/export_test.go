package table

// Homography is homography, for the worked geometry.
func Homography(places [][2]float64, points []Point) ([3][3]float64, bool) {
	return homography(places, points)
}

// Standing is a camera at a place that looks at another, without a lens's faults.
func Standing(at, look [3]float64, zoom float64) *Camera {
	ahead := unit([3]float64{look[0] - at[0], look[1] - at[1], look[2] - at[2]})
	right := unit(cross(ahead, [3]float64{0, 0, 1}))
	return &Camera{model: model{width: 1920, height: 1080, at: at, zoom: zoom,
		turn: [3][3]float64{right, cross(ahead, right), ahead}}}
}

// OnLevel is where a point of the picture lies if it is z high.
func (c *Camera) OnLevel(p Point, z float64) ([2]float64, bool) { return c.model.level(p, z) }

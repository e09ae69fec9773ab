package contact

// louder is the side that is heard louder, its racket and the bounces on its half.
func (m *model) louder() int {
	sum := 0.0
	for l := range levels {
		sum += m.sounds[racket1].mean[l] - m.sounds[racket0].mean[l]
		sum += m.sounds[bounce1].mean[l] - m.sounds[bounce0].mean[l]
	}
	if sum > 0 {
		return 1
	}
	return 0
}

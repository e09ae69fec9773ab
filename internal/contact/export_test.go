package contact

// Measured is what the search finds in samples: when, and what each sounds like, levels
// over the clip's loudness.
func Measured(samples []float32, rate int) (at []float64, sound [][]float64) {
	s := newSearch(rate)
	cs := append(s.write(samples), s.finish()...)
	loud := loudness(cs)
	for i := range cs {
		x := cs[i].x
		for b := range levels {
			x[b] -= loud
		}
		at, sound = append(at, cs[i].at), append(sound, x[:])
	}
	return at, sound
}

// ContactFigures are those that the detector takes to be known of a contact.
func ContactFigures() (centre, between, within []float64) {
	c := contactClass()
	return c.centre[:], c.between[:], c.within[:]
}

package reel

// Band is how many rows of a film lie below its pictures.
func Band(pieces []Piece, o Options) int { return o.filled().band(pieces) }

// Plan is the frame of each picture of a piece, for tests from outside.
func Plan(p Piece, x Times, o Options) (frames []int) {
	plan := newPlan(p, x, o.filled())
	frames = append(frames, plan.plain...)
	for i, n := range plan.slow {
		frames = append(frames, n)
		for k := 1; plan.still[n] && (i == 0 || plan.slow[i-1] != n) && k < plan.times; k++ {
			frames = append(frames, n)
		}
	}
	return frames
}

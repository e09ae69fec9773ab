package demo

// stance is one posture of the arms and the trunk for a body of 1.65 m, in the
// body's own frame: forward, to the racket side, up.
type stance struct {
	fwd, side, up float64 // centre of the blade
	bf, bs, bu    float64 // direction of the blade
	twist         float64 // of the shoulders, degrees back
	elbow         float64 // degrees out
	hf, hs, hu    float64 // free hand
	hip           float64 // height of the hips
	lean          float64 // of the trunk, degrees forward
	shift         float64 // of the hips to the racket side
}

// mix is part k of the way to another stance.
func (s stance) mix(o stance, k float64) stance {
	way := func(a, b float64) float64 { return a + (b-a)*k }
	return stance{way(s.fwd, o.fwd), way(s.side, o.side), way(s.up, o.up), way(s.bf, o.bf), way(s.bs, o.bs), way(s.bu, o.bu),
		way(s.twist, o.twist), way(s.elbow, o.elbow), way(s.hf, o.hf), way(s.hs, o.hs), way(s.hu, o.hu),
		way(s.hip, o.hip), way(s.lean, o.lean), way(s.shift, o.shift)}
}

// apart is how far two stances' blades are from one another, seen from the hips.
func (s stance) apart(o stance) float64 {
	return Vec{s.fwd - o.fwd, s.side - o.side, s.up - s.hip - o.up + o.hip}.Length()
}

// posture names a stance. Heights of zero are the ball's.
type posture int

const (
	readyStance posture = iota
	foreBack
	foreHit
	foreThru
	foreFar // a backswing far behind the body
	backBack
	backHit
	backThru
	hanging // the arm dropped after a stroke
	walking
	blockFore
	blockBack
	feedingHit
)

// stance is the posture's measures, chosen by looking at the drawn figures.
func (p posture) stance() stance {
	return [...]stance{
		readyStance: {0.50, 0.08, 1.00, 0.75, -0.15, 0.6, 0, 18, 0.40, -0.22, 0.98, 0.72, 24, 0},
		foreBack:    {0.02, 0.64, 0.84, -0.25, 0.85, -0.4, 48, 22, 0.46, -0.10, 1.08, 0.70, 22, 0.05},
		foreHit:     {0.50, 0.47, 0, 0.45, 0.8, 0.1, 2, 20, 0.34, -0.28, 1.06, 0.71, 22, 0},
		foreThru:    {0.58, -0.08, 1.36, 0.4, -0.55, 0.6, -36, 42, 0.16, -0.38, 1.00, 0.74, 20, -0.04},
		foreFar:     {-0.40, 0.66, 0.80, -0.75, 0.5, -0.5, 82, 30, 0.50, 0.05, 1.10, 0.72, 16, 0.05},
		backBack:    {0.30, -0.16, 0.86, 0.15, -0.9, -0.2, -22, 30, 0.34, -0.24, 0.98, 0.70, 27, 0},
		backHit:     {0.54, -0.02, 0, 0.3, -0.85, 0.25, -6, 30, 0.28, -0.30, 0.98, 0.71, 24, 0},
		backThru:    {0.66, 0.32, 1.20, 0.6, 0.6, 0.45, 10, 30, 0.18, -0.34, 0.96, 0.73, 21, 0},
		hanging:     {0.20, 0.38, 0.53, 0.35, 0.1, -0.85, 8, 12, 0.12, -0.34, 0.86, 0.76, 12, 0},
		walking:     {0.16, 0.30, 0.62, 0.45, 0.05, -0.85, 0, 8, 0.08, -0.30, 0.80, 0.80, 4, 0},
		blockFore:   {0.50, 0.30, 0, 0.55, 0.6, 0.45, 0, 20, 0.36, -0.24, 0.98, 0.73, 20, 0},
		blockBack:   {0.52, 0.0, 0, 0.45, -0.65, 0.5, -4, 26, 0.32, -0.26, 0.98, 0.73, 20, 0},
		feedingHit:  {0.46, 0.26, 0, 0.5, 0.65, 0.35, 0, 18, 0.40, -0.06, 0.93, 0.76, 14, 0},
	}[p]
}

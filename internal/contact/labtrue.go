package contact

import "math"

type labBeside struct {
	Seconds float64
	What    string
}
type labClip struct {
	Condition   string
	Seed        int64
	Left, Right []float32
	Rate        int
	Truth       []Contact
	Beside      []labBeside
	Begun       []float64
}

func (d *Detector) labTrue(cs []candidate, b []belief) float64 {
	is := 0.
	if d.lab == nil {
		return 0
	}
	for i := range b {
		for _, tr := range d.lab.Truth {
			if math.Abs(tr.Seconds-cs[i].at) < .01 {
				is += b[i].contact()
			}
		}
	}
	return is
}

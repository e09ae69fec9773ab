package camera

import "strokeledger/internal/table"

// Ground is the floor as a clip's camera shows it, by which a near player is told from
// others.
type Ground struct{ camera *table.Camera }

// Ground is the floor as the fitted camera shows it.
func (f *Fitted) Ground() Ground { return Ground{f.camera} }

// Stand is where a point of the floor lies, metres.
func (g Ground) Stand(x, y float64) (behind, left float64, known bool) {
	spot, err := g.camera.Floor(table.Point{X: x, Y: y}, 0)
	if err != nil {
		return 0, 0, false
	}
	behind, _, err = spot.From(table.EndLine)
	right, _, also := spot.From(table.RightSideLine)
	return behind, -right, err == nil && also == nil
}

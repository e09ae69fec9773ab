package swing

// Ways and Places are what the weights are fitted to.
func (a *Arm) Ways(t float64) ([]float64, bool)   { v, ok := a.ways(t); return v[:], ok }
func (a *Arm) Places(t float64) ([]float64, bool) { v, ok := a.places(t); return v[:], ok }

// Units is how many units there are.
const Units = units

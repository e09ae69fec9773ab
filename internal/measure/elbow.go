package measure

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// An arm is told from the pictures round a contact: where wrist and elbow are from the
// shoulder and how fast they move, how the shoulders lie, and how the player stands to the
// camera. How far the elbow hangs is learned from drawn players as the network of joints
// sees them (lifted.go): the network has learned that arms hang and shows a lifted one half
// as far up, and what the line of sight hides of the elbow the forearm and the shoulders
// tell. So what is told is drawn towards how arms hang, by as much as it is unsure.
const (
	// elbowSure is how visible the elbow has to be, the median of its pictures. Where a trunk
	// hides it, the network guesses.
	elbowSure = .7
	// elbowSD is the error that is left, percent of the trunk, elbowShared how far the means
	// of clips are off, and elbowAstray how many of the elbows beyond a limit by more than
	// their error are not truly lifted, beside what the error says: of drawn clubs that the
	// weights were not fitted to.
	elbowSD     = 4.2
	elbowShared = 2.2
	elbowAstray = .25
	// turned is how far to the racket's side the racket's shoulder shows from the other at
	// least, trunks: less, as in a view from the side, leaves an error half as large again,
	// and on the other side left and right are exchanged.
	turned = .1
	// highest is how far below the shoulder an elbow shows at least, percent of the trunk:
	// what lies farther above it is not the player's arm (common practice, no source).
	highest = -10
)

// Arm is what the weights of the elbow are fitted to, lengths in trunks, to the right and
// down, of a left-hander in a mirror: where the wrist and the elbow are from the racket's
// shoulder at the contact, and by how much that changes in a tenth of a second; the same of
// that shoulder from the other; how far the toes point to the right; and where that shoulder
// is from the other in the middle of the pictures.
type Arm [3*4 + 3]float64

// ArmOf is the arm round a contact, of bodies in any order, of which one whose arm is
// something else in the picture changes little, with how visible its elbow is
// and how far that shows below the shoulder, in percent of the trunk. Not ok where fewer
// than three pictures show the trunk, or none at another time.
func ArmOf(s Stroke, bodies []Body) (arm Arm, sure, shown float64, ok bool) {
	const tenth = .1 // seconds
	var at, trunks, visible, below []float64
	var parts [3][2][]float64 // x and y of each
	var ahead []float64
	var across [2][]float64
	for _, b := range slices.SortedFunc(slices.Values(bodies), func(a, b Body) int { return cmp.Compare(a.Seconds, b.Seconds) }) {
		long, ok := b.trunk()
		if !ok {
			continue
		}
		at, trunks = append(at, (b.Seconds-s.Contact)/tenth), append(trunks, long)
		own, other := b.Shoulder[s.Racket], b.Shoulder[1-s.Racket]
		visible, below = append(visible, b.Elbow[s.Racket].Visibility), append(below, 100*(b.Elbow[s.Racket].Y-own.Y)/long)
		for k, pair := range [...][2]Joint{{b.Wrist[s.Racket], own}, {b.Elbow[s.Racket], own}, {own, other}} {
			parts[k][0] = append(parts[k][0], pair[0].X-pair[1].X)
			parts[k][1] = append(parts[k][1], pair[0].Y-pair[1].Y)
		}
		ahead = append(ahead, (b.Toe[0].X+b.Toe[1].X-b.Heel[0].X-b.Heel[1].X)/2)
		across[0], across[1] = append(across[0], own.X-other.X), append(across[1], own.Y-other.Y)
	}
	if len(at) < 3 || at[0] == at[len(at)-1] {
		return arm, 0, 0, false
	}
	trunk := middleOf(trunks)
	mirror := [2]float64{1 / trunk, 1 / trunk}
	if s.Racket == Left {
		mirror[0] = -mirror[0]
	}
	n := 0
	for _, part := range parts {
		for axis, v := range part {
			level, slope := stat.LinearRegression(at, smooth(v), nil, false)
			arm[n], arm[n+1] = level*mirror[axis], slope*mirror[axis]
			n += 2
		}
	}
	arm[n], arm[n+1], arm[n+2] = middleOf(ahead)*mirror[0], middleOf(across[0])*mirror[0], middleOf(across[1])*mirror[1]
	return arm, middleOf(visible), middleOf(below), true
}

// elbow is how far the racket arm's elbow hangs below the shoulder.
func elbow(s Stroke, bodies []Body) (Value, bool) {
	arm, sure, shown, ok := ArmOf(s, bodies)
	if !ok || sure < elbowSure || shown < highest || arm[len(arm)-2] < turned {
		return Value{}, false
	}
	return Value{lifted().Of(arm[:]), elbowSD, elbowShared, elbowAstray}, true
}

// smooth puts the median of three neighbours in the place of each of at least three values.
func smooth(v []float64) (out []float64) {
	for i := range v {
		first := min(max(0, i-1), len(v)-3)
		out = append(out, middleOf(slices.Clone(v[first:first+3])))
	}
	return out
}

func middleOf(v []float64) float64 {
	m, _ := median(v)
	return m
}

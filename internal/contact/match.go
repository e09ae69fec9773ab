package contact

// Tolerance added to a window so that its boundary is inside it in spite of
// rounding: 2.05 − 2.00 is more than .05 in binary.
const rounding = 1e-9

// Match pairs two lists of moments one to one, each pair at most window seconds
// apart (the boundary is inside), so that as many as can be are paired. Both
// lists must be in order. It returns the index pairs (of a, of b) in order.
//
// With one window for all, taking the earliest of each list that can be paired
// never costs a pair, so this is a maximum bipartite matching, as mir_eval 0.7
// (onset.f_measure) makes it.
func Match(a, b []float64, window float64) [][2]int {
	var pairs [][2]int
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch d := a[i] - b[j]; {
		case d > window+rounding:
			j++
		case -d > window+rounding:
			i++
		default:
			pairs = append(pairs, [2]int{i, j})
			i++
			j++
		}
	}
	return pairs
}

// Score returns the F-measure, precision and recall of found against true
// moments, matched as [Match] does; all 0 if either list is empty.
func Score(truth, found []float64, window float64) (f, precision, recall float64) {
	n := float64(len(Match(truth, found, window)))
	if n == 0 {
		return 0, 0, 0
	}
	precision, recall = n/float64(len(found)), n/float64(len(truth))
	return 2 * precision * recall / (precision + recall), precision, recall
}

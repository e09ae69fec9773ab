package agreement

import (
	"cmp"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"strokeledger/internal/tally/interval"
)

// Plan is what a second look is asked to tell.
type Plan struct {
	Rate    float64 // how often the fault is said, of all strokes: between 0 and 1
	Kappa   float64 // that is expected, 0 to below 1
	Half    float64 // half the width of kappa's interval that is wanted
	PerTurn float64 // strokes of a turn, on average; at least 1
	Alike   float64 // correlation of two strokes of one turn
}

// UsualAlike is how alike strokes of one turn are taken to be in their agreement, as
// long as nobody has measured it (common practice, no source; on invented clubs whose
// turns differ in the rate of a fault it gives the width that was asked for, see
// TestSizeGivesTheWidth).
const UsualAlike = 0.02

// Strokes returns how many strokes, and how many turns of them, it takes until kappa's
// 95 % interval is as narrow as wanted, if both coaches say the fault equally often. It
// is the large-sample formula, and as many times that as strokes of one turn are alike.
//
// Sources: Cantor AB (1996) "Sample-size calculations for Cohen's kappa", Psychol
// Methods 1:150-153, on the variance of Fleiss, Cohen and Everitt (1969); Kish L (1965)
// Survey Sampling, 8.2 for the design effect.
func (p Plan) Strokes() (strokes, turns int) {
	both := p.Rate * (p.Rate + p.Kappa*(1-p.Rate))
	one := p.Rate - both
	need := kappaSpread(both, one, one, 1-both-2*one) * interval.Z / p.Half
	effect := 1 + max(0, p.PerTurn-1)*p.Alike
	strokes = int(math.Ceil(need * need * effect))
	return strokes, max(fewestTurns, int(math.Ceil(float64(strokes)/max(1, p.PerTurn))))
}

// Draw chooses n turns of those that lie in the given strata, from each as many as it has
// of all, and within a stratum by chance; the same seed chooses the same. It returns their
// places in order. With n at or above their number it chooses all.
func Draw(strata []string, n int, seed uint64) []int {
	random := rand.New(rand.NewPCG(seed, 0xd7a3))
	by := map[string][]int{}
	for i, s := range strata {
		by[s] = append(by[s], i)
	}
	names := slices.Sorted(maps.Keys(by))
	type left struct {
		name string
		rest float64
	}
	var lefts []left
	take, given := map[string]int{}, 0
	for _, s := range names {
		share := float64(min(n, len(strata))) * float64(len(by[s])) / float64(len(strata))
		take[s] = int(share)
		given += take[s]
		lefts = append(lefts, left{s, share - float64(int(share))})
	}
	// What is left of a whole turn goes to the largest remainders, equal ones by chance.
	random.Shuffle(len(lefts), func(i, j int) { lefts[i], lefts[j] = lefts[j], lefts[i] })
	slices.SortStableFunc(lefts, func(a, b left) int { return cmp.Compare(b.rest, a.rest) })
	for _, l := range lefts {
		if given < min(n, len(strata)) && take[l.name] < len(by[l.name]) {
			take[l.name]++
			given++
		}
	}
	var chosen []int
	for _, s := range names {
		random.Shuffle(len(by[s]), func(i, j int) { by[s][i], by[s][j] = by[s][j], by[s][i] })
		chosen = append(chosen, by[s][:take[s]]...)
	}
	slices.Sort(chosen)
	return chosen
}

package tally

import "strokeledger/internal/tally/rate"

// likeness is how alike strokes are in this club, by index of the fault.
type likeness struct {
	turns, days []rate.Likeness
	pairs       []rate.Likeness // of the two parts of one day, beyond what the day makes of both
	minutes     []rate.Likeness // of turns without logged strokes
	any         rate.Likeness   // of turns, for what is no fault
}

// newLikeness fits it over all players.
func (k *Counter) newLikeness(totals []Total) likeness {
	turns, days := make([]rate.FaultAlike, len(k.faults)), make([]rate.FaultAlike, len(k.faults))
	pairs, minutes := make([]rate.FaultAlike, len(k.faults)), make([]rate.FaultAlike, len(k.faults))
	for i, f := range k.eachFault(totals) {
		minutes[i].Timed = true
		minutes[i].Alike.Join(f.Unlogged)
		minutes[i].X += float64(f.Marks)
		minutes[i].N += f.Minutes
		minutes[i].NN += f.MinuteSquares
		add := func(to *rate.FaultAlike, alike rate.Alike, squares float64) {
			to.Alike.Join(alike)
			to.X += float64(f.X)
			to.N += float64(f.N)
			to.NN += squares
		}
		add(&turns[i], f.Turns, f.TurnSquares)
		add(&days[i], f.Days, f.DaySquares)
		pairs[i].Paired = true
		pairs[i].Alike.Join(f.Pairs)
		pairs[i].X += float64(f.X) / max(1, float64(f.N)) * f.PairStrokes
		pairs[i].N += f.PairStrokes
		pairs[i].NN += f.PairSquares
	}
	all := rate.FaultAlike{} // nothing of its own: the others' word
	for _, f := range turns {
		all.X, all.N, all.NN = all.X+f.X, all.N+f.N, all.NN+f.NN
	}
	fits := rate.FitLikeness(append(turns, all))
	return likeness{turns: fits[:len(turns)], days: rate.FitLikeness(days), pairs: rate.FitLikeness(pairs), minutes: rate.FitLikeness(minutes), any: fits[len(turns)]}
}

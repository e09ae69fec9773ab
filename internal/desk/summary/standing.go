package summary

import (
	"strokeledger/internal/cache"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/rate"
)

func standingForm() cache.Form { return cache.Form{Name: "standing", Version: tally.TotalVersion} }

// standing is what the library keeps of what a player showed.
func standing(t tally.Total) []byte {
	w := cache.NewWriter(standingForm(), 300*len(t.Faults))
	standingFields(cache.Write(w), &t)
	return w.Seal()
}

// readStanding reports whether bytes are what standing has written.
func readStanding(data []byte) (t tally.Total, ok bool) {
	r, ok := cache.Open(standingForm(), data)
	standingFields(cache.Read(&r), &t)
	return t, ok && !r.Bad() && r.Left() == 0
}

func standingFields(c cache.Fields, t *tally.Total) {
	cache.Text(c, &t.PlayerID)
	cache.List(c, &t.Faults, func(f *tally.FaultTotal) {
		cache.Text(c, &f.FaultID)
		cache.Whole(c, &f.X)
		cache.Whole(c, &f.N)
		cache.Whole(c, &f.Marks)
		for _, v := range []*float64{&f.Minutes, &f.TurnSquares, &f.DaySquares, &f.MinuteSquares, &f.PairStrokes, &f.PairSquares} {
			cache.Decimal(c, v)
		}
		for _, a := range []*rate.Alike{&f.Turns, &f.Days, &f.Unlogged, &f.Pairs} {
			for _, v := range []*float64{&a.Apart, &a.Room, &a.Free, &a.Less} {
				cache.Decimal(c, v)
			}
		}
	})
}

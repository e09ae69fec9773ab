package measured

import (
	"context"
	"slices"

	"strokeledger/internal/cache"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/reading"
)

// Readings are what is measured of the turns that the filter picks, by what the library
// keeps: no film is opened, and no picture looked at.
func (x *Meter) Readings(ctx context.Context, f store.Filter) (all reading.Readings, err error) {
	wanted := func(t keptTurn) bool {
		return (len(f.Players) == 0 || slices.Contains(f.Players, t.player)) && (len(f.Drills) == 0 || slices.Contains(f.Drills, t.drill))
	}
	err = x.lib.Readings(ctx, f, func(id club.ID) ([]byte, error) { return x.work(ctx, id) }, func(id club.ID, date club.Date, players []club.ID, data []byte) error {
		clip := reading.Clip{Players: players}
		kept, _ := readReadings(data)
		for _, t := range kept {
			if !wanted(t) {
				continue
			}
			one := reading.Turn{ClipID: id, PlayerID: t.player, DrillID: t.drill, Date: date, Values: map[club.Measure][]float64{}, Shared: map[club.Measure]float64{}}
			for i, m := range club.Measures() {
				if v := t.of[i]; len(v.at) > 0 {
					one.Values[m], one.Shared[m] = v.at, v.shared
				}
			}
			all.Turns = append(all.Turns, one)
			clip.Measured = append(clip.Measured, t.player)
		}
		all.Clips = append(all.Clips, clip)
		return nil
	})
	return all, err
}

// work is what is measured of a clip's turns, as it is kept.
func (x *Meter) work(ctx context.Context, id club.ID) ([]byte, error) {
	v, err := x.heard.Kept(ctx, id)
	if err != nil || v == nil {
		return nil, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	c, err := x.clip(ctx, v, cat)
	if err != nil {
		return nil, err
	}
	turns := make([]keptTurn, len(v.Ledger.Turns))
	place := map[club.ID]int{}
	for i, t := range v.Ledger.Turns {
		turns[i] = keptTurn{player: t.PlayerID, drill: t.DrillID, of: make([]keptValues, len(club.Measures()))}
		place[t.ID] = i
	}
	for _, s := range c.strokes {
		at, ok := place[s.turn]
		if !ok || s.id == "" { // it is only heard
			continue
		}
		values, _ := c.values(v.Index, s)
		for i, m := range club.Measures() {
			if one, ok := values[m]; ok {
				k := &turns[at].of[i]
				k.at, k.shared = append(k.at, one.At), max(k.shared, one.Shared)
			}
		}
	}
	turns = slices.DeleteFunc(turns, func(t keptTurn) bool {
		return !slices.ContainsFunc(t.of, func(v keptValues) bool { return len(v.at) > 0 })
	})
	w := cache.NewWriter(readingForm(), 0)
	readingFields(cache.Write(w), &turns)
	return w.Seal(), nil
}

// readingForm counts the measures and their errors too: with others clips are worked out
// again.
func readingForm() cache.Form { return cache.Form{Name: "reading", Version: 1} }

// keptTurn is what is measured of one turn, by place of [club.Measures].
type keptTurn struct {
	player, drill club.ID
	of            []keptValues
}

type keptValues struct {
	at     []float64
	shared float64
}

func readingFields(f cache.Fields, turns *[]keptTurn) {
	const parts = 20 // of a unit: less than can be measured
	cache.List(f, turns, func(t *keptTurn) {
		cache.Text(f, &t.player)
		cache.Text(f, &t.drill)
		cache.List(f, &t.of, func(v *keptValues) {
			rounded(f, &v.shared, parts)
			cache.List(f, &v.at, func(at *float64) { rounded(f, at, parts) })
		})
	})
}

// readReadings reports whether bytes are what work has written.
func readReadings(data []byte) (turns []keptTurn, ok bool) {
	r, ok := cache.Open(readingForm(), data)
	if !ok {
		return nil, false
	}
	readingFields(cache.Read(&r), &turns)
	ok = !r.Bad() && r.Left() == 0 && !slices.ContainsFunc(turns, func(t keptTurn) bool { return len(t.of) != len(club.Measures()) })
	if !ok {
		return nil, false
	}
	return turns, true
}

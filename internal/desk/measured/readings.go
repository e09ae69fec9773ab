package measured

import (
	"context"
	"fmt"
	"math"
	"slices"

	"strokeledger/internal/cache"
	"strokeledger/internal/club"
	"strokeledger/internal/measure"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/reading"
)

// Readings are what is measured of the turns that the filter picks, by what the library
// keeps: no film is opened, and no picture looked at.
func (x *Meter) Readings(ctx context.Context, f store.Filter) (all reading.Readings, err error) {
	var clips []keptClip
	if err := x.each(ctx, f, func(c keptClip) { clips = append(clips, c) }); err != nil || len(clips) == 0 {
		return all, err
	}
	margins, err := x.margins(ctx, f, clips)
	if err != nil {
		return all, err
	}
	for _, c := range clips {
		clip := reading.Clip{Players: c.players}
		for _, t := range c.turns {
			one := reading.Turn{ClipID: c.id, PlayerID: t.player, DrillID: t.drill, Date: c.date, Values: map[club.Measure][]float64{}, Shared: map[club.Measure]float64{}}
			for _, s := range t.strokes {
				values := s.values()
				if at, ok := margins[place{c.id, s.frame}]; ok {
					values[club.ReadyMargin] = measure.Value{At: at}
				}
				for m, v := range values {
					one.Values[m], one.Shared[m] = append(one.Values[m], v.At), max(one.Shared[m], v.Shared)
				}
			}
			all.Turns = append(all.Turns, one)
			clip.Measured = append(clip.Measured, t.player)
		}
		all.Clips = append(all.Clips, clip)
	}
	return all, nil
}

// place is where a stroke of several clips is.
type place struct {
	clip  club.ID
	frame int
}

// margins are the measures by the frames that coaches have set: they are kept apart, since
// a blind second look does not see those of others, and what machines measured is for all.
func (x *Meter) margins(ctx context.Context, f store.Filter, clips []keptClip) (map[place]float64, error) {
	out := map[place]float64{}
	if !slices.ContainsFunc(clips, func(c keptClip) bool { return len(c.turns) > 0 }) {
		return out, nil
	}
	err := x.lib.Each(ctx, f, false, func(r *club.TurnRecord) error {
		for _, s := range r.Strokes {
			if at, ok := marginOf(r, s); ok {
				out[place{r.ClipID, s.Frame}] = at
			}
		}
		return nil
	})
	return out, err
}

// marginOf is the measure of a stroke by the frame that a coach has set.
func marginOf(r *club.TurnRecord, s club.Stroke) (ms float64, ok bool) {
	if s.Ready == nil || s.Answer == nil {
		return 0, false
	}
	return 1000 * (*s.Answer - r.Base.Seconds(s.Ready.Ticks-r.Zero)), true
}

// mostStrokes is how many strokes of several clips are shown together.
const mostStrokes = 1000

// Strokes are the measured strokes of the turns that the filter picks, over all their
// clips, by what the library keeps: in order of date, clip and time. The error is a
// *club.Problem where there are too many to be looked at.
func (x *Meter) Strokes(ctx context.Context, f store.Filter) ([]Stroke, error) {
	clips, n := []keptClip{}, 0
	err := x.each(ctx, f, func(c keptClip) {
		clips = append(clips, c)
		for _, t := range c.turns {
			n += len(t.strokes)
		}
	})
	if err != nil {
		return nil, err
	}
	if n > mostStrokes {
		return nil, &club.Problem{Field: "from", Say: fmt.Sprintf("These are %d measured strokes: choose a player or a shorter period, at most %d are shown together.", n, mostStrokes)}
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	records, err := x.lib.Record(ctx, f)
	if err != nil {
		return nil, err
	}
	drills := map[club.ID]club.Drill{}
	for _, r := range cat.Drills {
		drills[r.ID] = r
	}
	known, margins := map[place]said{}, map[place][2]float64{}
	for _, r := range records {
		of := saidIn(&r, drills[r.DrillID].Pattern, cat)
		for _, s := range r.Strokes {
			at := place{r.ClipID, s.Frame}
			known[at] = of[s.ID]
			if ms, ok := marginOf(&r, s); ok {
				margins[at] = [2]float64{ms, 1000 * r.Picture}
			}
		}
	}
	out := []Stroke{}
	for _, c := range clips {
		for _, t := range c.turns {
			for _, s := range t.strokes {
				one := tell(stroke{player: t.player, frame: s.frame}, s.values(), cat.Faults)
				one.ClipID, one.Date = c.id, c.date
				at := place{c.id, s.frame}
				if on, ok := known[at]; ok {
					one.Marked, one.Clean = on.marked, on.clean
				}
				if m, ok := margins[at]; ok {
					one.setMargin(m[0], m[1], cat.Faults)
				}
				out = append(out, one)
			}
		}
	}
	return out, nil
}

// keptClip is what is measured of the turns of one clip that a filter picks.
type keptClip struct {
	id      club.ID
	date    club.Date
	players []club.ID // with strokes in it
	turns   []keptTurn
}

// each calls do with every clip that has strokes in turns that the filter picks.
func (x *Meter) each(ctx context.Context, f store.Filter, do func(keptClip)) error {
	other := func(t keptTurn) bool {
		return len(f.Players) > 0 && !slices.Contains(f.Players, t.player) || len(f.Drills) > 0 && !slices.Contains(f.Drills, t.drill)
	}
	holds := func(data []byte) bool {
		_, ok := readTurns(data)
		return ok
	}
	return x.lib.Readings(ctx, f, holds, func(id club.ID) ([]byte, error) { return x.work(ctx, id) }, func(id club.ID, date club.Date, players []club.ID, data []byte) error {
		turns, _ := readTurns(data)
		do(keptClip{id, date, players, slices.DeleteFunc(turns, other)})
		return nil
	})
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
	at := map[club.ID]int{}
	for i, t := range v.Ledger.Turns {
		turns[i] = keptTurn{player: t.PlayerID, drill: t.DrillID}
		at[t.ID] = i
	}
	returns := c.returns(v.Index)
	for i, s := range c.strokes {
		turn, ok := at[s.turn]
		values, _ := c.values(v.Index, s, returns[i])
		if !ok || s.id == "" || len(values) == 0 { // it is only heard, or not measured
			continue
		}
		one := keptStroke{frame: s.frame}
		for i, m := range club.Measures() {
			if v, ok := values[m]; ok {
				one.of = append(one.of, keptValue{i, v})
			}
		}
		turns[turn].strokes = append(turns[turn].strokes, one)
	}
	turns = slices.DeleteFunc(turns, func(t keptTurn) bool { return len(t.strokes) == 0 })
	w := cache.NewWriter(turnForm(), 0)
	turnFields(cache.Write(w), &turns)
	return w.Seal(), nil
}

// turnForm counts the measures and their errors too: with others clips are worked out
// again.
func turnForm() cache.Form { return cache.Form{Name: "reading", Version: 4} }

// keptTurn is what is measured of one turn.
type keptTurn struct {
	player, drill club.ID
	strokes       []keptStroke // in order of frame
}

type keptStroke struct {
	frame int
	of    []keptValue
}

type keptValue struct {
	measure int // its place in [club.Measures]
	measure.Value
}

func (s *keptStroke) values() measure.Values {
	out := measure.Values{}
	for _, v := range s.of {
		out[club.Measures()[v.measure]] = v.Value
	}
	return out
}

func turnFields(f cache.Fields, turns *[]keptTurn) {
	const parts = 50 // of a unit: less than can be measured
	cache.List(f, turns, func(t *keptTurn) {
		cache.Text(f, &t.player)
		cache.Text(f, &t.drill)
		cache.List(f, &t.strokes, func(s *keptStroke) {
			cache.Whole(f, &s.frame)
			cache.List(f, &s.of, func(v *keptValue) {
				cache.Whole(f, &v.measure)
				rounded(f, &v.At, parts)
				rounded(f, &v.SD, parts)
				rounded(f, &v.Shared, parts)
				rounded(f, &v.Astray, 100)
			})
		})
	})
}

// readTurns reports whether bytes are what work has written.
func readTurns(data []byte) (turns []keptTurn, ok bool) {
	r, ok := cache.Open(turnForm(), data)
	if !ok {
		return nil, false
	}
	turnFields(cache.Read(&r), &turns)
	for _, t := range turns {
		for _, s := range t.strokes {
			for _, v := range s.of {
				ok = ok && v.measure >= 0 && v.measure < len(club.Measures())
			}
		}
	}
	if !ok || r.Bad() || r.Left() != 0 {
		return nil, false
	}
	return turns, true
}

func rounded(f cache.Fields, v *float64, parts float64) {
	n := int(math.Round(*v * parts))
	cache.Whole(f, &n)
	*v = float64(n) / parts
}

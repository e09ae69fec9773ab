package store

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/cache"
	"strokeledger/internal/club"
)

// busy fills a library with turns of every kind: strokes inside and outside of
// turns, marks hung by hand on strokes of the turn, of another one and of none,
// moments of readiness, answers, and rows that were removed again.
func busy(t testing.TB) *Library {
	l := filled(t)
	rng := rand.New(rand.NewPCG(5, 7))
	var edits []Edit
	for i := range 3 {
		edits = append(edits, Put(player(i)), Put(drill(i)), Put(fault(i)))
	}
	edits = append(edits, Put(coach(1)))
	for day := range 4 {
		edits = append(edits, Put(club.Session{ID: id("day", day), Date: club.Date(fmt.Sprintf("2026-04-%02d", 10-day))}))
	}
	must(t, l, edits...)
	for n := range 12 {
		c := clip(100+n, 0)
		c.SessionID, c.FirstTicks = id("day", n%4), int64(n)
		c.Fingerprint = fmt.Sprint("busy", n)
		edits = []Edit{Put(c)}
		for i := range 4 {
			edits = append(edits, Put(club.Turn{ID: club.NewID(), ClipID: c.ID, PlayerID: id("player", rng.IntN(3)), DrillID: id("drill", rng.IntN(3)),
				First: i * 100, Last: i*100 + 90, FirstTicks: int64(i*100) * 512, LastTicks: int64(i*100+90) * 512, Settled: i%3 == 1}))
		}
		var strokes []club.ID
		for _, frame := range rng.Perm(400)[:40] {
			s := club.Stroke{ID: club.NewID(), ClipID: c.ID, Frame: frame, Ticks: int64(frame) * 512, Side: []club.Side{"", club.Forehand, club.Backhand}[rng.IntN(3)],
				Outcome: []club.Outcome{club.Good, club.Missed}[rng.IntN(2)], Source: club.ByHand, Confidence: 1, CoachID: id("coach", 0)}
			if rng.IntN(3) == 0 {
				s.Ready = &club.Moment{Frame: frame + 5, Ticks: int64(frame+5) * 512}
			}
			if answer := rng.Float64() * 9; rng.IntN(3) == 0 {
				s.Answer = &answer
			}
			if len(strokes) == 2 { // an ID may be anything, and an answer any number
				s.ID = club.ID(fmt.Sprintf("odd, 3:é\n%d:", n))
				answer := []float64{-1e-300, 0.1, 1.0 / 3, 86399.99999999999}[n%4]
				s.Answer = &answer
			}
			strokes = append(strokes, s.ID)
			edits = append(edits, Put(s))
		}
		for _, frame := range rng.Perm(400)[:25] {
			m := club.Mark{ID: club.NewID(), ClipID: c.ID, FaultID: id("fault", rng.IntN(3)), CoachID: id("coach", 0), Frame: frame, Ticks: int64(frame) * 512,
				Source: club.ByHand, Confidence: 1, Made: time.Unix(1, 0)}
			if rng.IntN(4) == 0 {
				m.StrokeID = append(strokes, "gone")[rng.IntN(len(strokes)+1)]
			}
			edits = append(edits, Put(m))
		}
		for i := range 6 { // of a turn, of several, of a part, of none
			first := rng.IntN(390)
			last := min(399, first+rng.IntN(150))
			if i < 3 {
				first, last = i*100, i*100+90
			}
			look := club.Look{ID: club.NewID(), ClipID: c.ID, CoachID: []club.ID{"", id("coach", 0), id("coach", 1)}[rng.IntN(3)], First: first, Last: last,
				FirstTicks: int64(first) * 512, LastTicks: int64(last) * 512, Made: time.Unix(1, 0), Assumed: rng.IntN(3) == 0}
			for f := range 1 + rng.IntN(3) {
				look.Faults = append(look.Faults, id("fault", f))
			}
			edits = append(edits, Put(look))
		}
		must(t, l, edits...)
		must(t, l, Remove[club.Stroke](strokes[0]), Remove[club.Stroke](strokes[7]))
	}
	return l
}

// counted is what Each promises of a record.
func counted(all []club.TurnRecord, names bool) []club.TurnRecord {
	out := make([]club.TurnRecord, len(all))
	for i, r := range all {
		r.Turn = club.Turn{ID: r.ID, ClipID: r.ClipID, PlayerID: r.PlayerID, DrillID: r.DrillID, First: r.First, Last: r.Last, FirstTicks: r.FirstTicks, LastTicks: r.LastTicks, Settled: r.Settled}
		strokes, marks := r.Strokes, r.Marks
		r.Strokes, r.Marks = []club.Stroke{}, []club.Mark{}
		for _, s := range strokes {
			kept := club.Stroke{Frame: s.Frame, Ticks: s.Ticks, Side: s.Side, Outcome: s.Outcome, Ready: s.Ready, Answer: s.Answer}
			if names && s.Ready != nil {
				kept.ID = s.ID
			}
			r.Strokes = append(r.Strokes, kept)
		}
		for _, m := range marks {
			kept := club.Mark{FaultID: m.FaultID, Frame: m.Frame, Ticks: m.Ticks}
			if names {
				kept.ID = m.ID
			}
			r.Marks = append(r.Marks, kept)
		}
		looks := r.Looks
		r.Looks = []club.Look{}
		for _, l := range looks {
			l.ID, l.ClipID, l.Made = "", "", time.Time{}
			r.Looks = append(r.Looks, l)
		}
		out[i] = r
	}
	return out
}

// each collects what Each gives; a mark that was hung by hand on a stroke of its
// turn has to find it by name.
func each(t testing.TB, l *Library, f Filter, names bool, plain []club.TurnRecord) []club.TurnRecord {
	var got []club.TurnRecord
	require.NoError(t, l.Each(context.Background(), f, names, func(r *club.TurnRecord) error {
		c := *r
		c.Strokes, c.Marks = slices.Clone(r.Strokes), slices.Clone(r.Marks)
		for i := range c.Strokes {
			if at := c.Strokes[i].Ready; at != nil {
				moment := *at
				c.Strokes[i].Ready = &moment
			}
			if at := c.Strokes[i].Answer; at != nil {
				answer := *at
				c.Strokes[i].Answer = &answer
			}
		}
		was := plain[len(got)]
		for i := range c.Marks {
			on := func(r club.TurnRecord) int {
				return slices.IndexFunc(r.Strokes, func(s club.Stroke) bool { return s.ID == r.Marks[i].StrokeID && s.ID != "" })
			}
			assert.Equal(t, on(was), on(c), "mark %d of turn %d", i, len(got))
		}
		for i := range c.Marks {
			c.Marks[i].StrokeID = ""
		}
		for i := range c.Strokes {
			if !names || c.Strokes[i].Ready == nil {
				c.Strokes[i].ID = ""
			}
		}
		c.Strokes, c.Marks, c.Looks = append([]club.Stroke{}, c.Strokes...), append([]club.Mark{}, c.Marks...), append([]club.Look{}, r.Looks...)
		got = append(got, c)
		return nil
	}))
	return got
}

// The packed reading and the plain one tell the same of every filter: with no
// pack yet, with packs, and after every kind of change.
func TestEachTellsWhatRecordTells(t *testing.T) {
	ctx := context.Background()
	l := busy(t)
	filters := []Filter{
		{}, {Players: []club.ID{id("player", 1)}}, {Drills: []club.ID{id("drill", 2)}},
		{Players: []club.ID{id("player", 0), id("player", 2)}, Drills: []club.ID{id("drill", 1)}},
		{From: "2026-04-08"}, {To: "2026-04-08"}, {From: "2026-04-08", To: "2026-04-09", Players: []club.ID{id("player", 1)}}, {Players: []club.ID{"nobody"}},
	}
	compare := func(what string) {
		t.Helper()
		for _, f := range filters {
			plain, err := l.Record(ctx, f)
			require.NoError(t, err)
			if f.Players == nil {
				require.NotEmpty(t, plain)
			}
			for _, names := range []bool{false, true} {
				require.Equal(t, counted(plain, names), append([]club.TurnRecord{}, each(t, l, f, names, plain)...), "%s: %+v, names %v", what, f, names)
			}
		}
		counts := must1(l.SessionPage(ctx, "", 0)).Counts
		unlooked := map[club.ID]int{}
		for _, r := range must1(l.Record(ctx, Filter{})) {
			if len(r.Looks) == 0 {
				unlooked[r.ClipID]++
			}
		}
		require.NotEmpty(t, unlooked, what)
		for clip, n := range counts {
			require.Equal(t, unlooked[clip], n.Unlooked, "%s: %s", what, clip)
		}
		_, err := l.write.Exec("DELETE FROM pack")
		require.NoError(t, err)
		require.Equal(t, must1(l.SessionPage(ctx, "", 0)).Counts, counts, what)
		require.Len(t, each(t, l, Filter{}, false, must1(l.Record(ctx, Filter{}))), len(must1(l.Record(ctx, Filter{}))))
	}
	compare("first")
	compare("packed")
	led, err := l.OfClip(ctx, clip(103, 0).ID)
	require.NoError(t, err)
	stroke, mark, turn, look := led.Strokes[5], led.Marks[4], led.Turns[1], led.Looks[2]
	look.Faults, look.Last = []club.ID{id("fault", 2)}, look.Last+3
	film, err := l.Clip(ctx, clip(103, 0).ID)
	require.NoError(t, err)
	day, err := Get[club.Session](ctx, l, film.SessionID)
	require.NoError(t, err)
	stroke.Side, stroke.Frame, stroke.Ticks = club.Backhand, 201, 201*512
	stroke.Ready = nil
	mark.StrokeID = led.Strokes[9].ID
	turn.PlayerID, turn.Last, turn.Settled = id("player", 2), turn.Last-30, !turn.Settled
	film.FirstTicks, film.SessionID = 77, id("day", 0)
	day.Date = "2026-04-20"
	for what, edit := range map[string]Edit{
		"stroke": Put(stroke), "mark": Put(mark), "turn": Put(turn), "clip": Put(film), "session": Put(day),
		"less a stroke": Remove[club.Stroke](led.Strokes[3].ID), "less a mark": Remove[club.Mark](led.Marks[2].ID),
		"look": Put(look), "less a look": Remove[club.Look](led.Looks[0].ID), "one look more": Put(aLook(103)),
		"less a turn": Remove[club.Turn](led.Turns[3].ID), "less a clip": Remove[club.Clip](clip(105, 0).ID),
	} {
		must(t, l, edit)
		compare(what)
	}
	_, err = l.Undo(ctx, "")
	require.NoError(t, err)
	compare("undo")
	require.NoError(t, l.Forget(ctx, "", Forgetting{Player: id("player", 2)}))
	compare("forget")
}

// aLook is one coach's look through the first turns of a busy clip.
func aLook(n int) club.Look {
	return club.Look{ID: id("look", n), ClipID: clip(n, 0).ID, CoachID: id("coach", 0), First: 0, Last: 250, LastTicks: 250 * 512, Faults: []club.ID{id("fault", 1)}, Made: time.Unix(9, 0)}
}

// A pack that the disk has spoilt is made again.
func TestEachMendsPacks(t *testing.T) {
	ctx := context.Background()
	l := busy(t)
	plain, err := l.Record(ctx, Filter{})
	require.NoError(t, err)
	want := each(t, l, Filter{}, true, plain)
	for _, spoil := range []string{"data = x''", "data = substr(data, 1, length(data) - 5)", "ids = x'00'", "data = zeroblob(length(data))"} {
		_, err := l.write.Exec("UPDATE pack SET " + spoil + " WHERE clip_id IN (SELECT clip_id FROM pack LIMIT 4)")
		require.NoError(t, err)
		require.Equal(t, want, each(t, l, Filter{}, true, plain), spoil)
	}
	stop := fmt.Errorf("enough")
	for after := range 40 {
		n := 0
		require.ErrorIs(t, l.Each(ctx, Filter{}, false, func(*club.TurnRecord) error {
			if n++; n > after {
				return stop
			}
			return nil
		}), stop)
		require.Equal(t, after+1, n, "nothing is given after an error")
	}
	over, cancel := context.WithCancel(ctx)
	films, err := l.films(ctx, Filter{}, false)
	require.NoError(t, err)
	all := func(_, _ club.ID) bool { return true }
	many := slices.Repeat(films, 20) // more turns than are unpacked ahead
	require.ErrorIs(t, l.unpack(over, many, false, all, func(*club.TurnRecord) error { cancel(); return nil }), context.Canceled)
}

// A pack in which one byte is another is told, or read as what it says; it never crashes.
func TestUnpackOfEveryOtherByte(t *testing.T) {
	data, ids := pack([]club.TurnRecord{{
		Turn:  club.Turn{ID: "t", PlayerID: "p", DrillID: "d", First: 3, Last: 9, FirstTicks: -4, LastTicks: 400},
		Marks: []club.Mark{{ID: "m", FaultID: "f", Frame: 5, Ticks: 6}},
		Looks: []club.Look{{CoachID: "c", First: 1, Last: 8, FirstTicks: 2, LastTicks: 90, Faults: []club.ID{"f", "g"}, Assumed: true}, {Faults: []club.ID{"g"}}},
	}})
	whole, ok := openPack(data, ids, true)
	require.True(t, ok)
	body := whole.data.Raw(whole.data.Left())
	for i := range body {
		for b := range 256 {
			other := slices.Clone(body)
			other[i] = byte(b)
			u := unpacker{slot: new(slot)}
			require.NotPanics(t, func() {
				_ = u.each(loose(other, ids), true, func(_, _ club.ID) bool { return true }, func() error { return nil })
			}, "byte %d is %d", i, b)
		}
	}
}

// loose is a pack with such a body.
func loose(body, ids []byte) packed {
	w := cache.NewWriter(packForm(), len(body))
	w.Raw(body)
	p, _ := openPack(w.Seal(), ids, true)
	return p
}

// Nothing that a pack may hold makes reading it crash.
func FuzzUnpack(f *testing.F) {
	ready, answer := &club.Moment{Frame: 7, Ticks: 70}, 1.5
	data, ids := pack([]club.TurnRecord{{
		Turn:    club.Turn{ID: club.NewID(), PlayerID: "p", DrillID: club.NewID(), First: 3, Last: 9, FirstTicks: -4, LastTicks: 400},
		Strokes: []club.Stroke{{ID: "s", Frame: 4, Ticks: 5, Side: club.Backhand, Outcome: club.Missed, Ready: ready, Answer: &answer}},
		Marks:   []club.Mark{{ID: club.NewID(), FaultID: "f", Frame: 5, Ticks: 6, StrokeID: "s"}},
		Looks:   []club.Look{{CoachID: "c", First: 1, Last: 8, FirstTicks: 2, LastTicks: 90, Faults: []club.ID{"f", club.NewID()}, Assumed: true}},
	}})
	whole, _ := openPack(data, ids, true)
	f.Add(whole.data.Raw(whole.data.Left()), whole.ids.Raw(whole.ids.Left()))
	f.Fuzz(func(t *testing.T, data, ids []byte) {
		u := unpacker{slot: new(slot)}
		w := cache.NewWriter(namesForm(), len(ids))
		w.Raw(ids)
		_ = u.each(loose(data, w.Seal()), true, func(_, _ club.ID) bool { return true }, func() error { return nil })
	})
}

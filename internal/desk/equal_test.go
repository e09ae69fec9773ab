package desk_test

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
	"strokeledger/internal/timecode"
)

// The packed reading, the kept totals of the club and the counting turn by turn
// come to what the plain way comes to, digit by digit: every turn read from the
// tables and summed up at once. So they do after every change.
func TestSummaryIsThePlainOne(t *testing.T) {
	ctx := t.Context()
	dir := filepath.Join(t.TempDir(), "library")
	const today = "2026-05-14"
	now := func() time.Time { return time.Date(2026, 5, 14, 12, 0, 0, 0, time.Local) }
	d, err := desk.Open(ctx, dir, library.Options{Create: true, Now: now})
	require.NoError(t, err)
	defer d.Close()
	l, err := store.Open(ctx, dir, store.Options{})
	require.NoError(t, err)
	defer l.Close()
	do := func(edits ...store.Edit) {
		t.Helper()
		_, err := l.Do(ctx, "", "edit", edits...)
		require.NoError(t, err)
	}
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)

	rnd := rand.New(rand.NewPCG(3, 4))
	id := func(kind string, n int) club.ID { return club.ID(fmt.Sprint(kind, n)) }
	for i := range 7 {
		do(store.Put(club.Player{ID: id("p", i), Name: fmt.Sprint("Player ", i), Hand: club.RightHand}))
	}
	entries := func(clip club.ID) (edits []store.Edit) {
		marked := rnd.Perm(400)
		for i, frame := range rnd.Perm(400)[:60] {
			s := club.Stroke{ID: club.NewID(), ClipID: clip, Frame: frame, Ticks: int64(frame) * 512, Source: club.ByHand, Confidence: 1,
				Side: []club.Side{"", "", club.Forehand, club.Backhand}[rnd.IntN(4)], Outcome: []club.Outcome{club.Good, club.Good, club.Missed}[rnd.IntN(3)]}
			if answer := float64(frame)*.04 + rnd.Float64(); rnd.IntN(3) == 0 {
				s.Ready, s.Answer = &club.Moment{Frame: frame + 10, Ticks: int64(frame+10) * 512}, &answer
			}
			m := club.Mark{ID: club.NewID(), ClipID: clip, FaultID: cat.Faults[rnd.IntN(5)].ID, Frame: marked[i], Source: club.ByHand, Confidence: 1}
			m.Ticks = int64(m.Frame) * 512
			if rnd.IntN(5) == 0 {
				m.StrokeID = s.ID
			}
			edits = append(edits, store.Put(s), store.Put(m))
		}
		return edits
	}
	for n := range 20 {
		date := club.Date(fmt.Sprintf("2026-%02d-14", 1+n/4))
		clip := club.Clip{ID: id("c", n), SessionID: id("s", n/4), Name: "a.mp4", Path: "/films/a.mp4", Fingerprint: fmt.Sprint(n), Frames: 1000,
			FirstTicks: int64(n), Base: timecode.Base{Num: 1, Den: 12800}, Seconds: 40, Width: 320, Height: 180}
		edits := []store.Edit{store.Put(club.Session{ID: id("s", n/4), Date: date}), store.Put(clip)}
		for i := range 4 {
			edits = append(edits, store.Put(club.Turn{ID: club.NewID(), ClipID: clip.ID, PlayerID: id("p", rnd.IntN(7)), DrillID: cat.Drills[rnd.IntN(len(cat.Drills))].ID,
				First: i * 100, Last: i*100 + 95, FirstTicks: int64(i*100) * 512, LastTicks: int64(i*100+95) * 512}))
		}
		if n%5 > 0 { // else a clip without strokes
			edits = append(edits, entries(clip.ID)...)
		}
		do(edits...)
	}

	plain := func(q summary.Query) tally.Summary {
		cat, err := d.Library.Catalogue(ctx)
		require.NoError(t, err)
		all, err := l.Record(ctx, store.Filter{})
		require.NoError(t, err)
		slices.SortFunc(all, func(a, b club.TurnRecord) int { return tally.InOrder(&a, &b) })
		k := tally.NewCounter(cat, tally.Options{})
		for i := range all {
			k.Add(&all[i])
		}
		goals, err := d.Ladder.Goals(ctx)
		require.NoError(t, err)
		turns, err := l.Record(ctx, store.Filter{Players: q.Players, To: q.To})
		require.NoError(t, err)
		rulings, err := store.All[club.Ruling](ctx, l)
		require.NoError(t, err)
		return tally.SummariseWith(cat, turns, tally.Options{From: q.From, To: q.To, Split: q.Split, Drills: q.Drills, Today: today, Rulings: rulings,
			TriesCap: goals.TriesCap, Irregular: goals.Irregular, Club: k.Totals()})
	}
	compare := func(what string) {
		t.Helper()
		for _, q := range []summary.Query{
			{}, {Players: []club.ID{"p3"}}, {Players: []club.ID{"p1", "p5"}, From: "2026-02-01", Split: "2026-03-14"},
			{Drills: []club.ID{cat.Drills[0].ID, cat.Drills[1].ID}}, {From: "2026-02-14", To: "2026-03-14"},
		} {
			got, err := d.Summary.Sum(ctx, q)
			require.NoError(t, err)
			require.NotZero(t, got.Team.All.Strokes)
			require.Equal(t, plain(q), got, "%s: %+v", what, q)
		}
	}
	compare("at first")
	compare("packed")
	led, err := l.OfClip(ctx, "c6")
	require.NoError(t, err)
	turn := led.Turns[2]
	turn.PlayerID = "p0"
	drill, fault := cat.Drills[0], cat.Faults[1]
	drill.Pattern, fault.Sides = "BF", club.ForehandOnly
	do(entries("c5")...)
	compare("more entries")
	do(store.Put(turn), store.Remove[club.Stroke](led.Strokes[0].ID), store.Remove[club.Mark](led.Marks[0].ID))
	compare("fewer entries")
	do(store.Put(drill), store.Put(fault))
	compare("other definitions")
	do(store.Put(club.Session{ID: "s1", Date: "2026-07-01"}), store.Remove[club.Clip]("c9"))
	compare("another day, a clip less")
}

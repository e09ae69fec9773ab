package desk_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/desk/todo"
	"strokeledger/internal/store"
)

// evening is a library with turns, strokes and looks of every kind, and what is needed
// to count in it by hand.
type evening struct {
	*desk.Desk
	cat     club.Catalogue
	clips   []club.Clip
	dates   map[club.ID]club.Date
	ledgers map[club.ID]store.Ledger
}

// randomEvenings makes one: six evenings with two clips each of 100 frames; a player who
// has left, a clip whose film is gone, a fault that is retired, three coaches.
func randomEvenings(t *testing.T, seed uint64) *evening {
	d, beside := evenings(t, 6)
	ctx, random := t.Context(), rand.New(rand.NewPCG(seed, 20))
	h := &evening{Desk: d, dates: map[club.ID]club.Date{}, ledgers: map[club.ID]store.Ledger{}}
	var edits []store.Edit
	for i := range 3 {
		edits = append(edits, store.Put(club.Coach{ID: club.ID(fmt.Sprint("coach", i)), Name: fmt.Sprint("Coach ", i)}),
			store.Put(club.Player{ID: club.ID(fmt.Sprint("player", i)), Name: fmt.Sprint("Player ", i), Hand: club.RightHand, Retired: i == 2}))
	}
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	gone := cat.Faults[1]
	gone.Retired = true
	edits = append(edits, store.Put(gone))
	_, err = beside.Do(ctx, "", "people", edits...)
	require.NoError(t, err)
	require.NoError(t, d.Library.SetCoach(ctx, "coach0"))
	h.cat, err = d.Library.Catalogue(ctx)
	require.NoError(t, err)
	faults := h.cat.Faults[:4] // of which the second is retired
	var every []club.ID
	for _, f := range h.cat.Faults {
		every = append(every, f.ID)
	}
	h.clips, err = beside.Clips(ctx)
	require.NoError(t, err)
	edits = nil
	for _, c := range h.clips {
		s, err := store.Get[club.Session](ctx, beside, c.SessionID)
		require.NoError(t, err)
		h.dates[c.ID] = s.Date
		turns := random.IntN(4)
		for i := range turns {
			first := 25*i + random.IntN(5)
			last := first + 5 + random.IntN(15)
			edits = append(edits, store.Put(club.Turn{ID: club.NewID(), ClipID: c.ID, PlayerID: club.ID(fmt.Sprint("player", random.IntN(3))), DrillID: h.cat.Drills[0].ID,
				First: first, Last: last, FirstTicks: int64(512 * first), LastTicks: int64(512 * last), Settled: random.IntN(3) == 0}))
			taken := map[int]bool{}
			for range random.IntN(3) * random.IntN(4) {
				frame := first + random.IntN(last-first+1)
				if taken[frame] {
					continue // a picture shows one stroke
				}
				taken[frame] = true
				edits = append(edits, store.Put(club.Stroke{ID: club.NewID(), ClipID: c.ID, Frame: frame, Ticks: int64(512 * frame), Outcome: club.Good, Source: club.ByHand, Confidence: 1, CoachID: "coach0"}))
			}
			for range random.IntN(4) {
				l := club.Look{ID: club.NewID(), ClipID: c.ID, CoachID: club.ID(fmt.Sprint("coach", random.IntN(3))), First: first, Last: last, Made: time.Unix(1, 0), Assumed: random.IntN(4) == 0}
				switch random.IntN(3) {
				case 0: // a part of the turn, or of two
					l.First = max(0, min(99, l.First-10+random.IntN(20)))
					l.Last = max(l.First, min(99, l.Last-10+random.IntN(20)))
				case 1:
					l.First, l.Last = 0, 99
				}
				l.FirstTicks, l.LastTicks = int64(512*l.First), int64(512*l.Last)
				if l.Faults = every; random.IntN(3) > 0 {
					l.Faults = nil
					for _, f := range faults {
						if random.IntN(2) == 0 {
							l.Faults = append(l.Faults, f.ID)
						}
					}
				}
				if len(l.Faults) > 0 && random.IntN(4) > 0 {
					edits = append(edits, store.Put(l))
				}
			}
		}
	}
	_, err = beside.Do(ctx, "", "evenings", edits...)
	require.NoError(t, err)
	filmless := h.clips[seed%12]
	filmless.Fingerprint, filmless.Path = "", ""
	_, err = beside.Do(ctx, "", "a film that is forgotten", store.Put(filmless))
	require.NoError(t, err)
	h.clips = slices.DeleteFunc(h.clips, func(c club.Clip) bool { return c.ID == filmless.ID })
	for _, c := range h.clips {
		h.ledgers[c.ID], err = d.Library.OfClip(ctx, c.ID)
		require.NoError(t, err)
	}
	return h
}

// byHand counts picture by picture.
func (h *evening) byHand(q todo.Query) todo.List {
	want := todo.List{Rows: []todo.Row{}}
	slices.SortFunc(h.clips, func(a, b club.Clip) int {
		if c := -compare(h.dates[a.ID], h.dates[b.ID]); c != 0 {
			return c
		}
		return compare(a.ID, b.ID)
	})
	left := map[club.ID]bool{}
	for _, p := range h.cat.Players {
		left[p.ID] = p.Retired
	}
	for _, c := range h.clips {
		led, date := h.ledgers[c.ID], h.dates[c.ID]
		if !date.Between(q.From, q.To) {
			continue
		}
		if len(led.Turns) == 0 && q.PlayerID == "" {
			want.Clips++
			want.Rows = append(want.Rows, todo.Row{Date: date, ClipID: c.ID, ClipName: c.Name, Missing: []string{}})
		}
		for _, t := range led.Turns {
			if q.PlayerID != t.PlayerID && (q.PlayerID != "" || left[t.PlayerID]) {
				continue
			}
			row := todo.Row{Date: date, ClipID: c.ID, ClipName: c.Name, TurnID: t.ID, PlayerID: t.PlayerID, DrillID: t.DrillID, First: t.First, Last: t.Last,
				Seconds: float64(t.First) * 512 / 12800, Missing: []string{}}
			var must []int // frames that have to be looked at
			for _, s := range led.Strokes {
				if t.First <= s.Frame && s.Frame <= t.Last {
					row.Strokes++
					must = append(must, s.Frame)
				}
			}
			row.Unsettled = row.Strokes == 0 && !t.Settled
			touched := false
			for _, f := range h.cat.Faults {
				if q.FaultID != f.ID && (q.FaultID != "" || f.Retired) {
					continue
				}
				seen, whole := map[int]bool{}, false
				for _, l := range led.Looks {
					if q.CoachID != "" && (l.CoachID != q.CoachID || l.Assumed) {
						continue
					}
					overlap := l.First <= t.Last && l.Last >= t.First
					mine := l.CoachID == "coach0" && !l.Assumed
					if overlap && (q.FaultID == "" || slices.Contains(l.Faults, q.FaultID)) {
						touched = true
						row.Mine = row.Mine || mine
					}
					if !slices.Contains(l.Faults, f.ID) {
						continue
					}
					whole = whole || l.First <= t.First && l.Last >= t.Last
					for frame := l.First; frame <= l.Last; frame++ {
						seen[frame] = true
					}
				}
				if !whole && (len(must) == 0 || slices.ContainsFunc(must, func(frame int) bool { return !seen[frame] })) {
					row.Missing = append(row.Missing, f.Code)
				}
			}
			if row.Unlooked = !touched; row.Unlooked {
				row.Missing = []string{}
			}
			if !row.Unlooked && !row.Unsettled && len(row.Missing) == 0 {
				continue
			}
			want.Rows = append(want.Rows, row)
			want.Turns++
			if row.Unlooked {
				want.Unlooked++
			} else if len(row.Missing) > 0 {
				want.Partly++
			}
			if row.Unsettled {
				want.Unsettled++
			}
		}
	}
	if q.Most > 0 {
		want.Rows = want.Rows[:min(q.Most, len(want.Rows))]
	}
	return want
}

func compare[T ~string](a, b T) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// What is listed as still to do is what counting by hand finds, however the looks
// lie, and a summary counts the same turns as looked at.
func TestToDo(t *testing.T) {
	var seen todo.List
	for seed := range uint64(25) {
		h, ctx := randomEvenings(t, seed), t.Context()
		for _, q := range []todo.Query{
			{}, {Most: 3}, {PlayerID: "player1"}, {PlayerID: "player2"}, {PlayerID: "nobody"}, {FaultID: h.cat.Faults[0].ID}, {FaultID: h.cat.Faults[1].ID}, {CoachID: "coach0"},
			{CoachID: "coach1", FaultID: h.cat.Faults[2].ID, PlayerID: "player0"}, {From: "2026-03-02"}, {From: "2026-03-02", To: "2026-03-04", Most: 1}, {To: "2026-03-01"},
		} {
			got, err := h.ToDo.List(ctx, q)
			require.NoError(t, err)
			require.Equal(t, h.byHand(q), got, "seed %d, %+v", seed, q)
		}
		all, err := h.ToDo.List(ctx, todo.Query{})
		require.NoError(t, err)
		seen.Unlooked, seen.Partly, seen.Unsettled, seen.Clips = seen.Unlooked+all.Unlooked, seen.Partly+all.Partly, seen.Unsettled+all.Unsettled, seen.Clips+all.Clips
		for _, clip := range h.clips {
			row, err := h.Footage.Row(ctx, clip.ID)
			require.NoError(t, err)
			untouched := 0
			for _, turn := range h.ledgers[clip.ID].Turns {
				if !slices.ContainsFunc(h.ledgers[clip.ID].Looks, func(l club.Look) bool { return l.First <= turn.Last && l.Last >= turn.First }) {
					untouched++
				}
			}
			require.Equal(t, untouched, row.Unlooked, "seed %d, %s", seed, clip.ID)
		}
		if seed%12 > 1 {
			continue
		}
		// The clip without its film, whose numbers stay in a summary, is of the first day.
		for _, p := range []club.ID{"player0", "player1"} {
			mine, err := h.ToDo.List(ctx, todo.Query{PlayerID: p, From: "2026-03-02"})
			require.NoError(t, err)
			s, err := h.Summary.Sheet(ctx, summary.Query{From: "2026-03-02"}, p)
			require.NoError(t, err)
			require.Len(t, s.Players, 1)
			l := s.Players[0].All.Looked
			require.Equal(t, []int{l.NoTurns, l.SomeTurns}, []int{mine.Unlooked, mine.Partly}, "seed %d, %s", seed, p)
		}
	}
	require.Greater(t, min(seen.Unlooked, seen.Partly, seen.Unsettled, seen.Clips), 10, "%+v", seen)
}

package desk_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
)

// The number of turns that were not looked through opens the list of them.
func TestUnlookedTurns(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	near, late := b.cat.Faults[0], b.cat.Faults[1]
	var all []club.ID
	for _, f := range b.cat.Faults {
		all = append(all, f.ID)
	}
	turns := map[int]club.Turn{}
	for _, first := range []int{0, 20, 40, 60} {
		turn, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: first, Last: first + 14})
		require.NoError(t, err)
		turns[first] = turn
		if first < 60 {
			_, err = b.Strokes.Add(ctx, b.clip, first+5, club.Good)
			require.NoError(t, err)
		}
	}
	b.look(t, 0, 14, "", all...)
	b.look(t, 20, 34, "", near.ID)

	list, err := b.Summary.Unlooked(ctx, summary.Query{}, "")
	require.NoError(t, err)
	s, err := b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	looked := s.Team.All.Looked
	require.Equal(t, looked.SomeTurns+looked.NoTurns, list.Total)
	require.Len(t, list.Turns, 3)
	one := list.Turns[0]
	require.Equal(t, summary.UnlookedTurn{
		TurnID: turns[20].ID, ClipID: b.clip, ClipName: one.ClipName, Date: "2026-03-14", Frame: 20, Seconds: one.Seconds, Length: one.Length,
		Player: "Ines Varga", PlayerID: b.player.ID, Drill: b.cat.Drills[0].Name, Strokes: 1, Faults: one.Faults,
	}, one)
	require.Contains(t, one.ClipName, "a01_baseline")
	require.InDelta(t, 20.0/25, one.Seconds, 1e-9, "25 pictures a second (manifest)")
	require.InDelta(t, 15.0/25, one.Length, 1e-9)
	require.Len(t, one.Faults, len(all)-1)
	require.NotContains(t, one.Faults, near.Code)
	require.Equal(t, []int{40, 60}, []int{list.Turns[1].Frame, list.Turns[2].Frame})
	require.True(t, list.Turns[1].Nobody)
	require.Len(t, list.Turns[1].Faults, len(all))
	require.Zero(t, list.Turns[2].Strokes)

	for fault, want := range map[club.ID]int{near.ID: 2, late.ID: 3} {
		list, err := b.Summary.Unlooked(ctx, summary.Query{}, fault)
		require.NoError(t, err)
		require.Equal(t, want, list.Total)
		for _, l := range s.Team.All.Faults {
			if l.FaultID == fault {
				require.Equal(t, l.UnlookedTurns, list.Total)
			}
		}
	}
	for _, q := range []summary.Query{{Drills: []club.ID{b.cat.Drills[1].ID}}, {To: "2026-03-13"}, {Methods: []club.Method{"none"}}} {
		list, err := b.Summary.Unlooked(ctx, q, "")
		require.NoError(t, err)
		require.Equal(t, summary.Unlooked{Turns: []summary.UnlookedTurn{}}, list)
	}
	_, err = b.Summary.Unlooked(ctx, summary.Query{From: "2026-13-01"}, "")
	requireProblem(t, err, "from")
}

// Only the latest 500 turns are listed, however many there are; a fault that is not
// in use any more is looked for where it is asked for.
func TestUnlookedTurnsAreManyOrOfARetiredFault(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	require.NoError(t, b.PutTurns(ctx, b.clip, b.player.ID, b.cat.Drills[0].ID, 1203))
	list, err := b.Summary.Unlooked(ctx, summary.Query{}, "")
	require.NoError(t, err)
	require.Equal(t, 1203, list.Total)
	require.Len(t, list.Turns, 500)
	for i := 1; i < len(list.Turns); i++ {
		a, b := list.Turns[i-1], list.Turns[i]
		require.True(t, a.Date > b.Date || a.Date == b.Date && (a.ClipID < b.ClipID || a.ClipID == b.ClipID && a.Frame < b.Frame), "%d", i)
	}
	require.Equal(t, club.Date("2026-02-18"), list.Turns[0].Date, "the 49th day")
	require.Equal(t, club.Date("2026-01-29"), list.Turns[499].Date, "turn 703, of the 29th day")

	f := b.cat.Faults[0]
	f.Retired = true
	_, err = b.Catalogue.SaveFault(ctx, f)
	require.NoError(t, err)
	list, err = b.Summary.Unlooked(ctx, summary.Query{}, "")
	require.NoError(t, err)
	require.NotContains(t, list.Turns[0].Faults, f.Code)
	list, err = b.Summary.Unlooked(ctx, summary.Query{}, f.ID)
	require.NoError(t, err)
	require.Contains(t, list.Turns[0].Faults, f.Code)
}

// The tables tell who has looked where.
func TestTablesSayWhoLooked(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	rows := func(which string) (all []map[string]string) {
		var out bytes.Buffer
		require.NoError(t, b.Documents.Table(ctx, summary.Query{}, publish.TableForm{Which: which, NoMark: true}, &out))
		cells, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
		require.NoError(t, err)
		for _, row := range cells[1:] {
			at := map[string]string{}
			for i, column := range cells[0] {
				at[column] = row[i]
			}
			all = append(all, at)
		}
		return all
	}
	marks := rows("marks")
	require.Len(t, marks, 2)
	require.Equal(t, "TI; unknown", marks[0]["looked_by"])
	require.Empty(t, marks[1]["looked_by"], "nobody has looked there for that fault")

	for _, s := range rows("strokes") {
		frame, err := strconv.Atoi(s["frame"])
		require.NoError(t, err)
		want := "unknown"
		if frame <= 40 {
			want = "TI; unknown"
		}
		require.Equal(t, want, s["looked_by"], frame)
	}

	looks := rows("looks")
	require.Len(t, looks, 2)
	for i, want := range []string{
		fmt.Sprintf("1 TI %s %s 0 40 2026-03-15T20:00:00Z no", b.cat.Faults[0].Code, b.cat.Faults[1].Code),
		fmt.Sprintf("1 unknown %s 0 74 2026-03-15T20:00:00Z no", b.cat.Faults[0].Code),
	} {
		var got []string
		for _, column := range []string{"turn", "coach", "faults", "first_frame", "last_frame", "made", "assumed"} {
			got = append(got, looks[i][column])
		}
		require.Equal(t, want, strings.Join(got, " "))
	}
}

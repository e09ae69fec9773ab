package desk_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/summary"
)

func TestQueryByMethodAndTheMarksBehind(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	drill := b.cat.Drills[0]
	other := slices.IndexFunc(b.cat.Drills, func(r club.Drill) bool { return r.Method != drill.Method })
	fault := b.cat.Faults[0].ID
	var marks []club.ID
	for i, id := range []club.ID{drill.ID, b.cat.Drills[other].ID} {
		first := 5 + 30*i
		_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: id, First: first, Last: first + 20})
		require.NoError(t, err)
		_, err = b.Strokes.Add(ctx, b.clip, first+10, club.Good)
		require.NoError(t, err)
		m, err := b.Marks.Add(ctx, b.clip, first+11, fault)
		require.NoError(t, err)
		marks = append(marks, m.ID)
	}
	b.look(t, 0, 74, "", fault)
	for _, c := range []struct {
		name  string
		query summary.Query
		want  []club.ID
	}{
		{"all", summary.Query{}, marks},
		{"a method", summary.Query{Methods: []club.Method{drill.Method}}, marks[:1]},
		{"another", summary.Query{Methods: []club.Method{b.cat.Drills[other].Method}}, marks[1:]},
		{"a drill of the method", summary.Query{Methods: []club.Method{drill.Method}, Drills: []club.ID{drill.ID}}, marks[:1]},
		{"a drill of another method", summary.Query{Methods: []club.Method{drill.Method}, Drills: []club.ID{b.cat.Drills[other].ID}}, []club.ID{}},
		{"no such method", summary.Query{Methods: []club.Method{"sideways"}}, []club.ID{}},
	} {
		got, err := b.Summary.Behind(ctx, c.query, summary.Kind{FaultID: fault})
		require.NoError(t, err, c.name)
		require.Equal(t, c.want, got, c.name)
	}
	got, err := b.Summary.Behind(ctx, summary.Query{}, summary.Kind{FaultID: "gone"})
	require.NoError(t, err)
	require.Empty(t, got)
	_, err = b.Summary.Behind(ctx, summary.Query{From: "today"}, summary.Kind{})
	requireProblem(t, err, "from")
	for phase, want := range map[club.Phase][]club.ID{b.cat.Faults[0].Phase: marks, "nowhere": {}} {
		got, err := b.Summary.Behind(ctx, summary.Query{}, summary.Kind{Phase: phase})
		require.NoError(t, err)
		require.Equal(t, want, got, phase)
	}

	all, err := b.Summary.Overview(ctx, summary.Query{})
	require.NoError(t, err)
	require.Len(t, all.Players, 1)
	require.Equal(t, 2, all.Team.All.Faults[0].PerStroke.X)
	require.Empty(t, all.Team.All.Faults[0].MarkIDs)
	require.Equal(t, []club.Date{"2026-03-14"}, all.Days)
	line := all.Players[0]
	require.Equal(t, []any{"Ines Varga", 2, 2, 2}, []any{line.Name, line.Strokes, line.Most.X, line.Most.N})
	require.Len(t, line.Rungs, 2, "only rungs that were tried")
	part, err := b.Summary.Overview(ctx, summary.Query{Methods: []club.Method{drill.Method}})
	require.NoError(t, err)
	require.Equal(t, 1, part.Players[0].Strokes)
	require.Equal(t, line.Rungs, part.Players[0].Rungs, "the ladder is of all drills")
	require.Empty(t, line.WorkOn, "two strokes say nothing")
	ranking, err := b.Summary.Ranking(ctx, summary.Query{}, fault)
	require.NoError(t, err)
	require.Empty(t, ranking.Players, "one player is no ranking")
	one, err := b.Summary.Sheet(ctx, summary.Query{}, b.player.ID)
	require.NoError(t, err)
	require.Equal(t, "Ines Varga", one.Players[0].Name)
	v, err := b.Summary.Versus(ctx, summary.Query{}, b.player.ID, "")
	require.NoError(t, err)
	require.Empty(t, v.Comparisons, "there is nobody else")
	team, err := b.Summary.Sheet(ctx, summary.Query{}, "")
	require.NoError(t, err)
	require.Empty(t, team.Players)
	require.Equal(t, 2, team.Team.All.Turns)
}

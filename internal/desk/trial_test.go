package desk_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo/second"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/desk/trial"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// A coach's test shows nothing of what was marked while it goes on, finds a habit that was
// planted, and counts in no number.
func TestSelfTest(t *testing.T) {
	d, c := filmless(t, 44)
	ctx := t.Context()
	requireProblem(t, d.Trials.Begin(ctx, c.Catalogue.Coaches[0].ID, 1), "") // two coaches share no turn yet
	coach, looks := second.Read(&c, second.Usual(), 44)
	require.NoError(t, desk.AddSecond(d, ctx, coach, looks))
	fresh, err := d.Catalogue.SaveCoach(ctx, club.Coach{Name: "Nora New"})
	require.NoError(t, err)
	require.NoError(t, d.Library.SetCoach(ctx, fresh.ID))
	before, err := d.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)

	requireProblem(t, d.Trials.Answer(ctx, "s", nil), "")
	require.NoError(t, d.Trials.Begin(ctx, fresh.ID, 7))
	requireProblem(t, d.Trials.Begin(ctx, fresh.ID, 8), "")
	one := func() trial.Test {
		tests, err := d.Trials.List(ctx)
		require.NoError(t, err)
		require.Len(t, tests, 1)
		return tests[0]
	}
	test := one()
	require.Len(t, test.Strokes, trial.Strokes)
	require.Nil(t, test.Result)
	rows, err := store.All[standard.Trial](ctx, d.Library.Library)
	require.NoError(t, err)
	right := map[club.ID][]club.ID{}
	clean := 0
	for _, a := range rows[0].Answers {
		if right[a.StrokeID] = a.Right; len(a.Right) == 0 {
			clean++
		}
	}
	require.Equal(t, trial.Strokes/2, clean)
	for _, s := range test.Strokes {
		require.Empty(t, s.Right, "what is settled does not show yet")
		require.Less(t, s.From, s.To)
		led, err := d.Library.OfClip(ctx, s.ClipID)
		require.NoError(t, err)
		for _, m := range led.Marks {
			require.False(t, s.From <= m.Frame && m.Frame <= s.To, "a mark shows on a stroke of the test")
		}
	}
	state, err := d.Library.State(ctx)
	require.NoError(t, err)
	require.True(t, state.Tested)
	require.False(t, state.Blind)
	s := test.Strokes[0]
	_, err = d.Library.Do(ctx, "mark", store.Put(club.Mark{ID: "m", ClipID: s.ClipID, FaultID: c.Catalogue.Faults[0].ID, CoachID: fresh.ID, Frame: s.From, Source: club.ByHand, Confidence: 1}))
	requireProblem(t, err, "")
	_, err = d.Library.Snapshot(ctx, nil)
	requireProblem(t, err, "")

	// The coach takes every fault for what it is but the first, which this coach never sees.
	blind := slices.MaxFunc(slices.Concat(rows[0].Answers), func(a, b standard.Answer) int { return len(a.Right) - len(b.Right) }).Right[0]
	requireProblem(t, d.Trials.Answer(ctx, "nobody's", nil), "stroke")
	require.Error(t, d.Trials.Answer(ctx, s.StrokeID, []club.ID{"no fault"}))
	requireProblem(t, d.Trials.Finish(ctx), "")
	for id, faults := range right {
		said := slices.DeleteFunc(slices.Clone(faults), func(f club.ID) bool { return f == blind })
		require.NoError(t, d.Trials.Answer(ctx, id, said))
	}
	require.Equal(t, trial.Strokes, one().Given)
	require.NoError(t, d.Trials.Finish(ctx))
	done := one()
	require.False(t, done.IsOpen)
	for _, l := range done.Result.Lines {
		switch {
		case l.FaultID == blind:
			require.Positive(t, l.There)
			require.Zero(t, l.Seen, l.Say)
		default:
			require.Equal(t, l.There, l.Seen, l.Say)
		}
		require.Zero(t, l.Extra)
	}
	for _, s := range done.Strokes {
		require.Equal(t, right[s.StrokeID], s.Right)
	}
	after, err := d.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, before, after, "a test counts in no number")

	require.NoError(t, d.Trials.Begin(ctx, fresh.ID, 7))
	rows, err = store.All[standard.Trial](ctx, d.Library.Library)
	require.NoError(t, err)
	again := map[club.ID][]club.ID{}
	for _, a := range rows[1].Answers {
		again[a.StrokeID] = a.Right
	}
	require.Equal(t, right, again, "the same number draws the same")
	require.NoError(t, d.Trials.Leave(ctx))
	require.Len(t, one().Strokes, trial.Strokes)
}

package store

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
)

func TestPairingsComeBackAsTheyWere(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(pairing(1, 0)))
	got := []alignment.Pairing{pairing(1, 0)}
	for _, clip := range []int{0, 1} {
		require.Equal(t, got, paired(t, l, clip))
	}
	require.Empty(t, paired(t, l, 2))
	third := clip(3, 0)
	must(t, l, Put(third), Put(pairing(3, 0)))
	for _, clip := range []int{0, 1, 3} {
		require.Equal(t, []alignment.Pairing{pairing(1, 0), pairing(3, 0)}, paired(t, l, clip))
	}
	must(t, l, Remove[club.Clip](third.ID))
	all, err := l.Snapshot(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, got, all.Pairings)

	// A part of the record has a pairing where it has both clips.
	must(t, l, Put(turn(0, 1, 0, 0, 0, 100)))
	one, err := l.Snapshot(ctx, &Filter{})
	require.NoError(t, err)
	require.Empty(t, one.Pairings)
	must(t, l, Put(turn(1, 0, 0, 0, 0, 100)))
	both, err := l.Snapshot(ctx, &Filter{})
	require.NoError(t, err)
	require.Equal(t, got, both.Pairings)
}

func paired(t *testing.T, l *Library, clip int) []alignment.Pairing {
	t.Helper()
	led, err := l.OfClip(context.Background(), id("clip", clip))
	require.NoError(t, err)
	return led.Pairings
}

func TestPairingsThatCannotBe(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	third := clip(3, 0)
	must(t, l, Put(third), Put(pairing(1, 0)))
	wrong := func(p alignment.Pairing, change func(*alignment.Pairing)) Edit {
		change(&p)
		return Put(p)
	}
	for name, c := range map[string]struct {
		edit Edit
		say  string
	}{
		"under another id": {wrong(pairing(3, 0), func(p *alignment.Pairing) { p.ID = "another" }), "A pairing has the id of its clip: line the clips up again."},
		"with itself":      {Put(pairing(3, 3)), "A clip cannot be lined up with itself: pick another."},
		"two sessions":     {Put(pairing(2, 0)), "These clips are of two sessions: only clips of one session are lined up."},
		"a chain":          {Put(pairing(3, 1)), "One of these clips is lined up with a third already: line them up with that one, or take them apart first."},
		"the other's end":  {Put(pairing(0, 3)), "One of these clips is lined up with a third already: line them up with that one, or take them apart first."},
		"no such clip":     {Put(pairing(3, 77)), "The clip of this pairing is not in the library any more: pick another."},
		"no clock at all":  {wrong(pairing(3, 0), func(p *alignment.Pairing) { p.Drift = math.Inf(1) }), "A number of this entry is not a number: look at the entry again."},
		"a clock too fast": {wrong(pairing(3, 0), func(p *alignment.Pairing) { p.Drift = .01 }), "What is told of the two clocks makes no sense: line the clips up again."},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := l.Do(ctx, "", "wrong", c.edit)
			var problem *club.Problem
			require.ErrorAs(t, err, &problem)
			require.Equal(t, c.say, problem.Say)
		})
	}
	must(t, l, Put(pairing(3, 0))) // a third camera
}

// A pairing goes with either clip and comes back with it; with a film that is forgotten it
// goes for good.
func TestPairingsGoWithTheirClips(t *testing.T) {
	ctx := context.Background()
	for _, gone := range []int{0, 1} {
		l := filled(t)
		must(t, l, Put(pairing(1, 0)), Put(turn(0, gone, 0, 0, 0, 100)))
		must(t, l, Remove[club.Clip](id("clip", gone)))
		require.Empty(t, paired(t, l, 1-gone))
		_, err := l.Undo(ctx, "")
		require.NoError(t, err)
		require.Equal(t, []alignment.Pairing{pairing(1, 0)}, paired(t, l, 1))

		for _, counts := range []bool{false, true} {
			l := filled(t)
			must(t, l, Put(pairing(1, 0)), Put(turn(0, gone, 0, 0, 0, 100)))
			require.NoError(t, l.Forget(ctx, "", Forgetting{Player: id("player", 0), Clips: []club.ID{id("clip", gone)}, KeepCounts: counts}))
			var rows int
			require.NoError(t, l.read.QueryRow("SELECT count(*) FROM pairing").Scan(&rows))
			require.Zero(t, rows)
		}
	}
}

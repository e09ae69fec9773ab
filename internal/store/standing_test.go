package store

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// What is kept of a player holds until something changes on which it rests.
func TestStandings(t *testing.T) {
	ctx := context.Background()
	l := busy(t)
	s, err := l.Standings(ctx)
	require.NoError(t, err)
	require.Empty(t, s.ByPlayer)
	require.Len(t, s.Missing, 3)
	keep := func() Standings {
		s, err := l.Standings(ctx)
		require.NoError(t, err)
		texts := map[club.ID][]byte{}
		for _, id := range s.Missing {
			texts[id] = []byte("of " + string(id))
		}
		require.NoError(t, l.PutStandings(ctx, s, texts))
		s, err = l.Standings(ctx)
		require.NoError(t, err)
		return s
	}
	s = keep()
	require.Equal(t, "of "+string(id("player", 1)), string(s.ByPlayer[id("player", 1)]))
	require.Empty(t, s.Missing)

	led, err := l.OfClip(ctx, clip(103, 0).ID)
	require.NoError(t, err)
	here := map[club.ID]bool{}
	for _, turn := range led.Turns {
		here[turn.PlayerID] = true
	}
	mark, stroke := led.Marks[3], led.Strokes[3]
	mark.FaultID, stroke.Side = id("fault", 1), club.Backhand
	if led.Marks[3].FaultID == mark.FaultID {
		mark.FaultID = id("fault", 2)
	}
	if led.Strokes[3].Side == stroke.Side {
		stroke.Side = club.Forehand
	}
	for what, edit := range map[string]Edit{"mark": Put(mark), "stroke": Put(stroke), "less a stroke": Remove[club.Stroke](led.Strokes[1].ID)} {
		must(t, l, edit)
		s, err = l.Standings(ctx)
		require.NoError(t, err)
		require.Len(t, s.Missing, len(here), what)
		keep()
	}
	f := fault(1)
	f.Label = "Another label"
	must(t, l, Put(f))
	require.Empty(t, must1(l.Standings(ctx)).Missing, "a label is in no number")
	f.Sides = club.BackhandOnly
	must(t, l, Put(f))
	require.Len(t, must1(l.Standings(ctx)).Missing, 3)
	keep()
	must(t, l, Put(fault(9)))
	require.Len(t, must1(l.Standings(ctx)).Missing, 3, "of a fault that is new nothing is kept")
	keep()
	d := drill(2)
	d.Pattern = "B"
	must(t, l, Put(d))
	require.Len(t, must1(l.Standings(ctx)).Missing, 3)

	// What was worked out before a change is not kept after it.
	old := must1(l.Standings(ctx))
	must(t, l, Remove[club.Mark](led.Marks[0].ID))
	require.NoError(t, l.PutStandings(ctx, old, map[club.ID][]byte{id("player", 1): []byte("old")}))
	require.Empty(t, must1(l.Standings(ctx)).ByPlayer)
}

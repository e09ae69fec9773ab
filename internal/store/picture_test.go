package store

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

// How a clip is shown is read back as it was put, obeys its rules, goes with its clip and
// comes back with it, and is forgotten with its film.
func TestAdjustments(t *testing.T) {
	ctx := context.Background()
	for name, keep := range map[string]bool{"with the numbers": false, "keeping the numbers": true} {
		t.Run(name, func(t *testing.T) {
			l := filled(t)
			must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(adjustment(0, 3)), Put(adjustment(1, 1)))
			got, err := Get[picture.Adjustment](ctx, l, id("clip", 0))
			require.NoError(t, err)
			require.Equal(t, adjustment(0, 3), got)
			for edit, say := range map[*picture.Adjustment]string{
				{ID: id("clip", 2), ClipID: id("clip", 2), Rotation: 4}: "A picture is rotated by 0 to 3 quarters.",
				{ID: id("clip", 2), ClipID: id("clip", 2), Gamma: -101}: "Brightness, contrast and gamma are numbers from -100 to 100.",
				{ID: "another", ClipID: id("clip", 2)}:                  "How a clip is shown has the id of its clip: set it again.",
				{ID: "clip-77", ClipID: "clip-77", Mirror: true}:        "The clip of this adjustment is not in the library any more: pick another.",
			} {
				_, err := l.Do(ctx, "a", "", Put(*edit))
				var p *club.Problem
				require.ErrorAs(t, err, &p)
				require.Equal(t, say, p.Say)
			}
			before := contents(t, l)
			must(t, l, Remove[club.Clip](id("clip", 0)))
			_, err = Get[picture.Adjustment](ctx, l, id("clip", 0))
			require.ErrorIs(t, err, ErrUnknown)
			_, err = l.Undo(ctx, "a")
			require.NoError(t, err)
			require.True(t, before.same(contents(t, l)))

			require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(0).ID, Clips: []club.ID{id("clip", 0)}, KeepCounts: keep}))
			require.Equal(t, map[club.ID]any{id("clip", 1): adjustment(1, 1)}, contents(t, l)["adjustment"])
			rows := 0
			require.NoError(t, l.read.QueryRow("SELECT count(*) FROM adjustment").Scan(&rows))
			require.Equal(t, 1, rows, "no tombstone either")
		})
	}
}

func TestPairs(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(pair(1, 1, 0, 5)), Put(pair(0, 1, 2, 7)))
	got, err := All[picture.Pair](ctx, l)
	require.NoError(t, err)
	require.Equal(t, []picture.Pair{pair(0, 1, 2, 7), pair(1, 1, 0, 5)}, got)
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Equal(t, []picture.Pair{pair(1, 1, 0, 5)}, led.Pairs, "where it is the other one too")

	wrong := func(change func(*picture.Pair)) Edit {
		p := pair(2, 0, 1, 5)
		change(&p)
		return Put(p)
	}
	for say, edit := range map[string]Edit{
		"Give the pair a name.": wrong(func(p *picture.Pair) { p.Name = " " }),
		"The name is longer than 200 characters: say it more briefly.":         wrong(func(p *picture.Pair) { p.Name = strings.Repeat("a", 201) }),
		"Frame 1000 is past the end of the clip: its frames are 0 to 999.":     wrong(func(p *picture.Pair) { p.Frame = 1000 }),
		"Frame 1001 is past the end of the clip: its frames are 0 to 999.":     wrong(func(p *picture.Pair) { p.OtherFrame = 1001 }),
		"Frames are counted from 0: pick one inside the clip.":                 wrong(func(p *picture.Pair) { p.OtherFrame = -1 }),
		"The clip of this pair is not in the library any more: pick another.":  wrong(func(p *picture.Pair) { p.OtherID = "clip-77" }),
		"What is seen of a picture must lie inside it: set it again.":          wrong(func(p *picture.Pair) { p.OtherSeen.Times = 0.5 }),
		"How much is seen of the picture on the left is a number from 0 to 1.": wrong(func(p *picture.Pair) { p.Divided = 1.5 }),
	} {
		before := contents(t, l)
		_, err := l.Do(ctx, "a", "", edit)
		var p *club.Problem
		require.ErrorAs(t, err, &p, say)
		require.Equal(t, say, p.Say)
		require.True(t, before.same(contents(t, l)))
	}
}

// A pair goes with either of its clips and comes back with it; it is forgotten with a player
// whose turn one of its pictures shows, with its name and its tombstone.
func TestPairsGoWithTheirClips(t *testing.T) {
	ctx := context.Background()
	for name, keep := range map[string]bool{"with the numbers": false, "keeping the numbers": true} {
		t.Run(name, func(t *testing.T) {
			l := filled(t)
			must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(turn(1, 1, 1, 0, 0, 100)),
				Put(pair(0, 0, 1, 7)), Put(pair(1, 1, 0, 7)), Put(pair(2, 1, 2, 7)), Put(pair(3, 1, 2, 9)), Put(pair(4, 2, 0, 200)))
			before := contents(t, l)
			must(t, l, Remove[club.Clip](id("clip", 0)))
			got, err := All[picture.Pair](ctx, l)
			require.NoError(t, err)
			require.Equal(t, []picture.Pair{pair(2, 1, 2, 7), pair(3, 1, 2, 9)}, got)
			_, err = l.Undo(ctx, "a")
			require.NoError(t, err)
			require.True(t, before.same(contents(t, l)))

			named := pair(3, 1, 2, 9)
			named.Name = "beside " + player(0).Name
			must(t, l, Put(named), Remove[picture.Pair](pair(1, 1, 0, 7).ID))
			require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(0).ID, KeepCounts: keep}))
			got, err = All[picture.Pair](ctx, l)
			require.NoError(t, err)
			named.Name = "beside (removed)"
			require.Equal(t, []picture.Pair{pair(2, 1, 2, 7), named, pair(4, 2, 0, 200)}, got, "another moment of the clip shows nobody or another")
			rows := 0
			require.NoError(t, l.read.QueryRow("SELECT count(*) FROM pair").Scan(&rows))
			require.Equal(t, 3, rows, "no tombstone either")
			require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(1).ID, Clips: []club.ID{id("clip", 2)}, KeepCounts: keep}))
			got, err = All[picture.Pair](ctx, l)
			require.NoError(t, err)
			require.Empty(t, got)
		})
	}
}

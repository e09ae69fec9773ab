package store

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/sighting"
)

func TestRulersComeBackAsTheyWere(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	clicked, snapped := ruler(1, 0), ruler(0, 1)
	clicked.Clicked.Tops, clicked.CoachID = nil, ""
	clicked.Clicked.Corners[0] = sighting.Place{X: -1.0 / 3, Y: math.Nextafter(2*1080, 0)}
	must(t, l, Put(clicked), Put(snapped))
	for _, want := range []sighting.Ruler{clicked, snapped} {
		got, err := Get[sighting.Ruler](ctx, l, want.ClipID)
		require.NoError(t, err)
		require.Equal(t, want, got)
		led, err := l.OfClip(ctx, want.ClipID)
		require.NoError(t, err)
		require.Equal(t, []sighting.Ruler{want}, led.Rulers)
	}
	led, err := l.OfClip(ctx, id("clip", 2))
	require.NoError(t, err)
	require.Empty(t, led.Rulers)

	must(t, l, Put(turn(0, 0, 0, 0, 0, 10)))
	all, err := l.Snapshot(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, []sighting.Ruler{snapped, clicked}, all.Rulers)
	some, err := l.Snapshot(ctx, &Filter{Players: []club.ID{id("player", 0)}})
	require.NoError(t, err)
	require.Equal(t, []sighting.Ruler{snapped}, some.Rulers)
}

func TestRulersThatCannotBe(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(ruler(0, 0)))
	before := contents(t, l)
	wrong := func(change func(*sighting.Ruler)) Edit {
		r := ruler(1, 5)
		change(&r)
		return Put(r)
	}
	const beside = "The corners and posts lie in the picture or beside it by its size at most: click them again."
	for name, c := range map[string]struct {
		edit Edit
		want string
	}{
		"a second one":     {wrong(func(r *sighting.Ruler) { r.ID = "another" }), "A ruler has the id of its clip: lay the ruler again."},
		"no such clip":     {Put(ruler(77, 0)), "The clip of this ruler is not in the library any more: pick another."},
		"no such coach":    {wrong(func(r *sighting.Ruler) { r.CoachID = "nobody" }), "The coach of this ruler is not in the library any more: pick another."},
		"past the end":     {Put(ruler(1, 1000)), "Frame 1000 is past the end of the clip: its frames are 0 to 999."},
		"before the start": {Put(ruler(1, -1)), "Frames are counted from 0: pick one inside the clip."},
		"no size":          {wrong(func(r *sighting.Ruler) { r.Height = 0 }), "The size of the picture that the ruler was laid on makes no sense: lay the ruler again."},
		"too many posts":   {wrong(func(r *sighting.Ruler) { r.Clicked.Tops = make([]sighting.Place, 3) }), "A net has two posts: click the tops of these alone."},
		"corner far away":  {wrong(func(r *sighting.Ruler) { r.Clicked.Corners[2].Y = -1081 }), beside},
		"post far away":    {wrong(func(r *sighting.Ruler) { r.Clicked.Tops[0].X = 3841 }), beside},
		"far on the lines": {wrong(func(r *sighting.Ruler) { o := r.Clicked; o.Corners[3].X = 3841; r.Snapped = &o }), beside},
		"no error at all":  {wrong(func(r *sighting.Ruler) { r.Clicked.SD = 0 }), "How far a click may be off is a number of pixels above 0, and at most a quarter of the picture's width."},
		"support past 1":   {wrong(func(r *sighting.Ruler) { r.Support = 1.01 }), "How well the ruler fits is a number from 0 to 1."},
		"not a number":     {wrong(func(r *sighting.Ruler) { r.Clicked.Corners[0].X = math.NaN() }), "A number of this entry is not a number: look at the entry again."},
	} {
		_, err := l.Do(ctx, "a", "x", Put(player(7)), c.edit)
		p, ok := club.AsProblem(err)
		require.True(t, ok, "%s: %v", name, err)
		require.Equal(t, c.want, p.Say, name)
		require.True(t, before.same(contents(t, l)), name)
	}
}

// A ruler goes with its clip, comes back with it, and is forgotten with its film.
func TestRulersGoWithTheirClip(t *testing.T) {
	ctx := context.Background()
	for name, keep := range map[string]bool{"with the numbers": false, "keeping the numbers": true} {
		t.Run(name, func(t *testing.T) {
			l := filled(t)
			must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(ruler(0, 0)), Put(ruler(1, 1)))
			c := must(t, l, Remove[club.Clip](id("clip", 0)))
			require.Equal(t, []club.ID{id("clip", 0)}, c.Clips)
			_, err := Get[sighting.Ruler](ctx, l, id("clip", 0))
			require.ErrorIs(t, err, ErrUnknown)
			_, err = l.Undo(ctx, "a")
			require.NoError(t, err)
			got, err := Get[sighting.Ruler](ctx, l, id("clip", 0))
			require.NoError(t, err)
			require.Equal(t, ruler(0, 0), got)

			require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(0).ID, Clips: []club.ID{id("clip", 0)}, KeepCounts: keep}))
			require.Equal(t, map[club.ID]any{id("clip", 1): ruler(1, 1)}, contents(t, l)["ruler"])
			rows := 0
			require.NoError(t, l.read.QueryRow("SELECT count(*) FROM ruler").Scan(&rows))
			require.Equal(t, 1, rows, "no tombstone either")
		})
	}
}

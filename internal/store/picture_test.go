package store

import (
	"context"
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

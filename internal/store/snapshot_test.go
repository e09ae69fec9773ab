package store

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// A look over several turns is in a picked snapshot once, with whichever of them; one
// that shows none of them is not.
func TestSnapshotHasEachLookOnce(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(turn(1, 0, 0, 0, 200, 300)), Put(turn(2, 0, 1, 0, 400, 500)),
		Put(look(0, 0, 50, 450, 0)), Put(look(1, 0, 100, 200, 1)), Put(look(2, 0, 101, 199, 0)), Put(look(3, 0, 400, 500, 0)))
	ids := func(f *Filter) (list []club.ID) {
		s, err := l.Snapshot(ctx, f)
		require.NoError(t, err)
		for _, k := range s.Looks {
			list = append(list, k.ID)
		}
		return list
	}
	require.Equal(t, []club.ID{id("look", 0), id("look", 1)}, ids(&Filter{Players: []club.ID{id("player", 0)}}))
	require.Equal(t, []club.ID{id("look", 0), id("look", 3)}, ids(&Filter{Players: []club.ID{id("player", 1)}}))
	require.Len(t, ids(nil), 4)
}

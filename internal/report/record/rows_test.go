package record

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/merge"
)

// Every table that goes from library to library has its list in a record.
func TestEveryTableHasItsList(t *testing.T) {
	var r Rows
	var lists []string
	for _, l := range r.lists() {
		lists = append(lists, l.table)
	}
	require.ElementsMatch(t, merge.Carried(), lists)
}

// A moment that no clock can tell is damage, and so is a row that is there twice.
func TestRowsThatCannotBe(t *testing.T) {
	side := merge.Side{"session": {{ID: "s", Image: []byte(`{"id":"s","date":"2026-03-14"}`)}}}
	for _, at := range []int64{0, 7, latest, -1, latest + 1, 1 << 62} {
		side["session"][0].Stamp.Clock = at
		var r Record
		require.NoError(t, r.Fill(side))
		got, last, err := r.Side()
		if at < 0 || at > latest {
			require.ErrorContains(t, err, "a moment that cannot be")
			continue
		}
		require.NoError(t, err)
		require.Equal(t, at, last)
		require.Equal(t, side["session"], got["session"])
		r.Removed.Sessions = r.Sessions
		_, _, err = r.Side()
		require.ErrorContains(t, err, "twice")
	}
}

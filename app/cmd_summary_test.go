package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestPlayerNamed(t *testing.T) {
	cat := club.Catalogue{Players: []club.Player{
		{ID: "1", Name: "Ada Quist", Retired: true},
		{ID: "2", Name: "Ada Quist", Alias: "AQ"},
		{ID: "3", Name: "Mo Tan", Alias: "Ines"},
		{ID: "4", Name: "Ines"},
		{ID: "5", Name: "Old Hand", Retired: true},
	}}
	for name, want := range map[string]club.ID{"ada quist ": "2", "aq": "2", "1": "1", "MO TAN": "3", "old hand": "5", "oh": "5"} {
		p, err := playerNamed(cat, name)
		require.NoError(t, err, name)
		require.Equal(t, want, p.ID, name)
	}
	_, err := playerNamed(cat, "ines")
	require.ErrorContains(t, err, "2 players", "whose numbers are meant is not guessed")
	_, err = playerNamed(cat, "nobody")
	require.ErrorContains(t, err, "nobody")
	require.NotContains(t, err.Error(), "Quist", "no names where they may end up in a log")
	_, err = playerNamed(cat, " ")
	require.Error(t, err)
}

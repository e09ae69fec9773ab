package club

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestConsentOnADay(t *testing.T) {
	for _, c := range []struct {
		from, until, day Date
		want             Consent
	}{
		{"", "", "2026-03-14", Missing},
		{"2026-03-15", "", "2026-03-14", Missing},
		{"2026-03-14", "", "2026-03-14", Given},
		{"2026-01-01", "2026-03-14", "2026-03-14", Given},
		{"2026-01-01", "2026-03-13", "2026-03-14", Over},
	} {
		require.Equal(t, c.want, Player{ConsentFrom: c.from, ConsentUntil: c.until}.ConsentOn(c.day), c)
	}
	require.False(t, Player{}.DueForDeletion("2026-03-14"))
	require.False(t, Player{DeleteAfter: "2026-03-14"}.DueForDeletion("2026-03-14"))
	require.True(t, Player{DeleteAfter: "2026-03-13"}.DueForDeletion("2026-03-14"))
}

func TestConsentIsChecked(t *testing.T) {
	for field, p := range map[string]Player{
		"-":             {ConsentFrom: "2026-01-01", ConsentUntil: "2026-12-31", ConsentBy: "Mother", DeleteAfter: "2028-01-01"},
		"consent_from":  {ConsentFrom: "1.1.2026"},
		"consent_until": {ConsentFrom: "2026-01-01", ConsentUntil: "2025-12-31"},
		"delete_after":  {DeleteAfter: "soon"},
		"consent_by":    {ConsentBy: strings.Repeat("x", MaxName+1)},
	} {
		p.Name, p.Hand = "Ana", RightHand
		requireProblem(t, field, p.Check(), field)
	}
	requireProblem(t, "consent_from", Player{Name: "Ana", Hand: RightHand, ConsentUntil: "2026-01-01"}.Check(), "until without from")
}

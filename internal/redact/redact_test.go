package redact_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/redact"
)

// secret is what must not be seen: words that no alias is made of.
func secret(t *rapid.T, what string) string {
	return rapid.StringMatching(`Q[a-z]{6,12} Z[a-z]{6,12}`).Draw(t, what)
}

// Whatever stands in names, notes, paths and consents, none of it is left, and every
// row keeps its id.
func TestRowsTellNobody(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		said := []string{}
		hide := func(what string) string { s := secret(t, what); said = append(said, s); return s }
		cat := club.Catalogue{
			Coaches: []club.Coach{{ID: "c1", Name: hide("coach")}, {ID: "c2", Name: hide("coach")}},
			Players: []club.Player{
				{ID: "p1", Name: hide("player"), Group: hide("group"), ConsentBy: hide("consent"), Hand: club.LeftHand},
				{ID: "p2", Name: hide("player"), Hand: club.RightHand, Retired: true},
			},
			Drills: []club.Drill{{ID: "d", Name: "Forehand", Note: hide("note")}},
		}
		kept := cat.Players[0]
		clips := []club.Clip{{ID: "f", Name: hide("file") + ".mp4", Path: "/" + hide("folder") + "/a.mp4"}}
		sessions := []club.Session{{ID: "s", Note: hide("note")}}
		marks := []club.Mark{{ID: "m", Note: hide("note")}}
		rulings := []club.Ruling{{ID: "r", Reason: hide("reason")}}
		called := redact.Players(cat, false)
		for id, name := range redact.Coaches(cat, false) {
			called[id] = name
		}
		called["f"] = redact.Clip(0)
		players := cat.Players

		redact.Rows(&cat, clips, sessions, marks, rulings, called)

		text, err := json.Marshal([]any{cat, clips, sessions, marks, rulings})
		require.NoError(t, err)
		for _, s := range said {
			require.NotContains(t, string(text), s)
		}
		require.Equal(t, kept, players[0], "the list that was given is not written to")
		require.Equal(t, club.ID("p1"), cat.Players[0].ID)
		require.Equal(t, club.LeftHand, cat.Players[0].Hand)
		require.True(t, cat.Players[1].Retired)
		require.NotEqual(t, cat.Players[0].Name, cat.Players[1].Name)
		require.Equal(t, "clip 1", clips[0].Name)
		require.Equal(t, "Forehand", cat.Drills[0].Name)
	})
}

// With names everybody is called by them.
func TestNamesWhereTheyAreWanted(t *testing.T) {
	cat := club.Catalogue{Coaches: []club.Coach{{ID: "c", Name: "Grace Hopper"}}, Players: []club.Player{{ID: "p", Name: "Ada Lovelace", Alias: "Countess"}}}
	require.Equal(t, map[club.ID]string{"p": "Ada Lovelace"}, redact.Players(cat, true))
	require.Equal(t, map[club.ID]string{"p": "Countess"}, redact.Players(cat, false))
	require.Equal(t, map[club.ID]string{"c": "Grace Hopper"}, redact.Coaches(cat, true))
	require.NotContains(t, redact.Coaches(cat, false)["c"], "Hopper")
}

package desk_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/catalogue"
)

func TestRoster(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	got, err := b.Catalogue.ImportRoster(ctx, strings.NewReader("name,hand\nAda Quist,left\nInes Varga,right\nMo Tan,both\n\"Cy\"x,left\nAdá Quist,left\n"))
	require.NoError(t, err)
	require.Equal(t, 2, got.Added, "an unreadable hand leaves nobody out")
	require.Equal(t, 1, got.Skipped)
	require.Len(t, got.Rows, 3)
	require.Equal(t, []int{4, 5, 6}, []int{got.Rows[0].Line, got.Rows[1].Line, got.Rows[2].Line})
	require.True(t, got.Rows[0].Taken)
	require.Equal(t, `"Adá Quist" stands in line 2 already as "Ada Quist": add something to tell them apart.`, got.Rows[2].Say)
	cat, err := b.Library.Catalogue(ctx)
	require.NoError(t, err)
	require.Len(t, cat.Players, 3)
	got, err = b.Catalogue.ImportRoster(ctx, strings.NewReader("name\nadà quist\n"))
	require.NoError(t, err)
	require.Equal(t, 0, got.Added+got.Skipped, "reads like another's")
	require.Equal(t, "adà quist reads like Ada Quist, who is in the club already, and was left out: if it is somebody else, add something to tell them apart.", got.Rows[0].Say)
}

// Consent comes by columns of the roster, for those who are in the club already too, and for
// a group at once.
func TestConsentOfMany(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	got, err := b.Catalogue.ImportRoster(ctx, strings.NewReader("name,consent from,consent until,consent by\nAda Quist,2026-01-01,,mother\nInes Varga,1.2.2026,2026-12-31,father\n"))
	require.NoError(t, err)
	require.Equal(t, []int{1, 1, 1, 0}, []int{got.Added, got.Skipped, got.Consented, len(got.Rows)})
	again, err := b.Catalogue.ImportRoster(ctx, strings.NewReader("name,consent from\nAda Quist,2026-01-01\nInes Varga,\n"))
	require.NoError(t, err)
	require.Equal(t, []int{0, 2, 0}, []int{again.Added, again.Skipped, again.Consented}, "nothing new, and nothing taken back")
	cat, err := b.Library.Catalogue(ctx)
	require.NoError(t, err)
	ids := []club.ID{cat.Players[0].ID, cat.Players[1].ID}
	require.Equal(t, "mother", cat.Players[0].ConsentBy)
	require.Equal(t, club.Date("2026-02-01"), cat.Players[1].ConsentFrom)

	given := catalogue.Consented{Players: ids, From: "2026-03-01", Until: "2026-02-01", By: "parents' evening"}
	requireProblem(t, b.Catalogue.GiveConsent(ctx, given), "consent_until")
	given.Until = "2027-02-28"
	require.NoError(t, b.Catalogue.GiveConsent(ctx, given))
	now, err := b.Library.Catalogue(ctx)
	require.NoError(t, err)
	for _, p := range now.Players {
		require.Equal(t, []any{given.From, given.Until, given.By}, []any{p.ConsentFrom, p.ConsentUntil, p.ConsentBy})
	}
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	back, err := b.Library.Catalogue(ctx)
	require.NoError(t, err)
	require.Equal(t, cat, back, "one step of undo")
	requireProblem(t, b.Catalogue.GiveConsent(ctx, catalogue.Consented{Players: ids}), "from")
	requireProblem(t, b.Catalogue.GiveConsent(ctx, catalogue.Consented{From: "2026-03-01"}), "players")
	requireProblem(t, b.Catalogue.GiveConsent(ctx, catalogue.Consented{From: "2026-03-01", Players: []club.ID{"nobody"}}), "players")
}

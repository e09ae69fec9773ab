package desk_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestSuggestedFileNames(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	for _, c := range []struct{ name, alias, want, wantNamed string }{
		{"Olga Weiss", "", "faults-OW.csv", "faults-Olga-Weiss.csv"},
		{"Zoë Żak", "the tall one", "faults-the-tall-one.csv", "faults-Zoë-Żak.csv"},
		{"../../etc/passwd", "..", "faults.csv", "faults-etc-passwd.csv"},
		{`C:\x|y "*?`, "-", "faults.csv", "faults-C-x-y.csv"},
		{"\u202eעדי\u202c", "", "faults-ע.csv", "faults-עדי.csv"},
		{strings.Repeat("ab ", 60), "", "faults-aaa.csv", "faults-" + strings.Repeat("ab-", 13) + "a.csv"},
	} {
		p, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: c.name, Alias: c.alias, Hand: club.RightHand})
		require.NoError(t, err, c.name)
		got, err := b.Documents.FileName(ctx, "faults", []club.ID{p.ID}, false, "csv")
		require.NoError(t, err)
		assert.Equal(t, c.want, got)
		got, err = b.Documents.FileName(ctx, "faults", []club.ID{p.ID}, true, "csv")
		require.NoError(t, err)
		assert.Equal(t, c.wantNamed, got)
	}
	for _, players := range [][]club.ID{nil, {"a", "b"}, {"nobody"}} {
		got, err := b.Documents.FileName(ctx, "record", players, true, "json")
		require.NoError(t, err)
		assert.Equal(t, "record.json", got)
	}
}

func TestTracksAreNamedAfterTheFilm(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	got, err := b.Documents.TrackName(ctx, b.clip, "captions")
	require.NoError(t, err)
	assert.Equal(t, "a01_baseline.captions.vtt", got)
	_, err = b.Documents.TrackName(ctx, "nobody", "captions")
	assert.Error(t, err)
}

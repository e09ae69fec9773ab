package desk_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/store"
)

// How a film sounds comes with it where nobody has heard it here, and replaces nothing that
// was.
func TestSoundsThatWereHeardHereStay(t *testing.T) {
	ctx := t.Context()
	a := newLaptop(t, "a", 0)
	a.trained()
	b := a.copyOf("b", time.Hour)
	k, err := a.Library.Clip(ctx, "k1")
	require.NoError(t, err)
	a.do(store.Put(club.Session{ID: "s2", Date: "2026-03-18"}), store.Put(filmOf("k2", "s2", "two")))
	for _, print := range []string{k.Fingerprint, "two"} {
		require.NoError(t, a.Library.PutSoundPrint(ctx, print, []byte("heard by A")))
	}
	require.NoError(t, b.Library.PutSoundPrint(ctx, k.Fingerprint, []byte("heard by B")))
	b.take(a.write(exchange.Wanted{Names: true}), nil)
	for print, want := range map[string]string{k.Fingerprint: "heard by B", "two": "heard by A"} {
		got, there, err := b.Library.SoundPrint(ctx, print)
		require.NoError(t, err)
		require.True(t, there)
		require.Equal(t, want, string(got))
	}
}

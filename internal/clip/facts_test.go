package clip

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/cache"
	"strokeledger/internal/cache/cachetest"
)

// Every field of what a file says of itself is kept, also those that are new.
func TestFactsAreKeptWhole(t *testing.T) {
	var want facts
	cachetest.Fill(t, &want)
	form := cache.Form{Name: "facts"}
	w := cache.NewWriter(form, 0)
	want.Firsts = map[int]float64{3: 0.5, 1: -0.25}
	want.fields(cache.Write(w))
	r, ok := cache.Open(form, w.Seal())
	require.True(t, ok)
	var got facts
	got.fields(cache.Read(&r))
	require.False(t, r.Bad())
	require.Zero(t, r.Left())
	require.Equal(t, want, got)
}

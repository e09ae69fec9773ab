package contact

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func played() []Contact {
	return []Contact{
		{Seconds: 1, Kind: Racket, Who: Near, Confidence: .55, Turned: Bounce, TurnedWho: Far, Alone: .98},
		{Seconds: 1.2, Kind: Bounce, Who: Far, Confidence: .55, Turned: Racket, TurnedWho: Far, Alone: .97},
		{Seconds: 1.3, Kind: Other, Confidence: .2},
		{Seconds: 1.5, Kind: Racket, Who: Far, Confidence: .55, Turned: Bounce, TurnedWho: Near, Alone: .9},
	}
}

func TestTurnTwiceIsAsBefore(t *testing.T) {
	all := played()
	require.Equal(t, Bounce, Turn(all)[0].Kind)
	require.Equal(t, Far, Turn(all)[0].Who)
	require.Equal(t, Other, Turn(all)[2].Kind)
	require.Equal(t, played(), Turn(Turn(all)))
	require.Equal(t, played(), all, "what is given stays")
}

func TestAnchor(t *testing.T) {
	for _, c := range []struct {
		name  string
		known []float64
		first Kind
		sure  float64
	}{
		{"nothing known", nil, Racket, .55},
		{"at a racket", []float64{1.02}, Racket, .98},
		{"at a bounce", []float64{1.18}, Bounce, .98},
		{"at neither", []float64{1.28}, Racket, .55},
		{"two against one", []float64{1, 1.2, 1.21}, Bounce, .98},
		{"one against one", []float64{1, 1.2}, Racket, .55},
		{"too far off", []float64{1.11}, Racket, .55},
	} {
		all := played()
		got := Anchor(all, c.known, .05)
		require.Equal(t, c.first, got[0].Kind, c.name)
		require.InDelta(t, c.sure, got[0].Confidence, 1e-12, c.name)
		require.InDelta(t, .2, got[2].Confidence, 1e-12, c.name)
		require.Equal(t, played(), all, c.name)
	}
}

func TestUnsure(t *testing.T) {
	require.False(t, Unsure(nil))
	require.True(t, Unsure(played()))
	require.False(t, Unsure(Anchor(played(), []float64{1}, .05)))
	require.False(t, Unsure([]Contact{{Kind: Other, Confidence: .1}}))
}

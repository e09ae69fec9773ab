package swing_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/demo"
	"strokeledger/internal/measure"
	"strokeledger/internal/swing"
)

// On a club that nothing was fitted to, contacts are told from the rest of a turn, and as
// often as they say; sides are told or left open. Its players swing fully or hardly at
// all, left-handed or right-handed, before cameras all round.
func TestDrawnPlayers(t *testing.T) {
	var struck, others []float64
	var told, right, strokes int
	for _, turn := range turns(t, 341) {
		arm := swing.Of(turn.bodies, turn.racket)
		at, rest := turn.moments()
		for i, m := range at {
			odds, known := arm.Contact(m)
			if !known {
				continue // near the end of a turn
			}
			struck = append(struck, odds)
			strokes++
			if side, chance, ok := arm.Side(m); ok && chance >= .9 {
				told++
				if side == turn.strokes[i].Side {
					right++
				}
			}
		}
		for _, m := range rest {
			if odds, known := arm.Contact(m); known {
				others = append(others, odds)
			}
		}
	}
	require.Greater(t, len(struck), 100)
	require.GreaterOrEqual(t, above(struck, others), .92, "of a contact and another moment, the contact has the higher odds")
	require.GreaterOrEqual(t, float64(told), .25*float64(strokes), "sides that are told")
	require.GreaterOrEqual(t, float64(right), .97*float64(told), "sides that are right")
}

// above is how often one of a is above one of b.
func above(a, b []float64) float64 {
	b = slices.Clone(b)
	slices.Sort(b)
	n := 0
	for _, v := range a {
		i, _ := slices.BinarySearch(b, v)
		n += i
	}
	return float64(n) / float64(len(a)*len(b))
}

// Nothing is said where too few pictures were looked at, or nobody was found in them.
func TestUnknownWhereNothingWasSeen(t *testing.T) {
	turn := turns(t, 342)[2]
	at := (turn.from + turn.to) / 2
	_, known := swing.Of(turn.bodies, turn.racket).Contact(at)
	require.True(t, known)
	gap := slices.DeleteFunc(slices.Clone(turn.bodies), func(b measure.Body) bool { return b.Seconds > at-.15 && b.Seconds < at+.15 })
	for name, bodies := range map[string][]measure.Body{"none": nil, "one": turn.bodies[:1], "a gap": gap, "nobody": make([]measure.Body, 40)} {
		arm := swing.Of(bodies, turn.racket)
		_, known := arm.Contact(at)
		require.False(t, known, name)
		_, _, known = arm.Side(at)
		require.False(t, known && name != "a gap", name)
	}
	_, known = swing.Of(turn.bodies, turn.racket).Contact(turn.to)
	require.False(t, known, "the end of the turn")
}

// Left and right are those of the player, so a picture in a mirror with the other hand
// says the same of a contact.
func TestMirror(t *testing.T) {
	for _, turn := range turns(t, 343)[:6] {
		mirrored := slices.Clone(turn.bodies)
		for i := range mirrored {
			for _, pair := range mirrored[i].Pairs() {
				pair[0], pair[1] = pair[1], pair[0]
				pair[0].X, pair[1].X = 700-pair[0].X, 700-pair[1].X
			}
		}
		at := (turn.from + turn.to) / 2
		want, _ := swing.Of(turn.bodies, turn.racket).Contact(at)
		got, known := swing.Of(mirrored, 1-turn.racket).Contact(at)
		require.True(t, known)
		require.InDelta(t, want, got, 1e-9)
	}
}

// Networks place the toes of a player who is seen from behind lower than the heels: that
// does not turn the stroke round.
func TestToesThatSeemToPointBack(t *testing.T) {
	for _, turn := range turns(t, 346)[:6] {
		low := slices.Clone(turn.bodies)
		for i := range low {
			for side := range low[i].Toe {
				low[i].Toe[side].Y += 60
			}
		}
		at := (turn.from + turn.to) / 2
		want, known := swing.Of(turn.bodies, turn.racket).Contact(at)
		require.True(t, known)
		got, _ := swing.Of(low, turn.racket).Contact(at)
		require.InDelta(t, want, got, 1e-9)
	}
}

func BenchmarkContact(b *testing.B) {
	turn := turns(b, 344)[3]
	arm := swing.Of(turn.bodies, turn.racket)
	for b.Loop() {
		arm.Contact((turn.from + turn.to) / 2)
	}
}

// No side is told of a player whose left and right may be exchanged: of one whose racket
// shoulder is on the wrong side of the picture, and of one seen from the side.
func TestNoSideWhereLeftAndRightMayBeExchanged(t *testing.T) {
	told := func(bodies []measure.Body, racket measure.Side, at []demo.TruthStroke) (n int) {
		arm := swing.Of(bodies, racket)
		for _, k := range at {
			if _, _, known := arm.Side(k.Seconds); known {
				n++
			}
		}
		return n
	}
	some := 0
	for _, turn := range turns(t, 345) {
		n := told(turn.bodies, turn.racket, turn.strokes)
		some += n
		exchanged, narrow := slices.Clone(turn.bodies), slices.Clone(turn.bodies)
		for i := range exchanged {
			for _, pair := range exchanged[i].Pairs() {
				pair[0], pair[1] = pair[1], pair[0]
			}
			s := &narrow[i].Shoulder
			s[0].X, s[0].Y = s[1].X+.2*(s[0].X-s[1].X), s[1].Y+.2*(s[0].Y-s[1].Y)
		}
		if n > 0 {
			require.Zero(t, told(exchanged, turn.racket, turn.strokes))
			require.Zero(t, told(narrow, turn.racket, turn.strokes))
		}
	}
	require.Positive(t, some)
}

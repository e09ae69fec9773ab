package swing_test

import (
	"math"
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
		arms := swing.Of(turn.bodies, turn.racket)
		at, rest := turn.moments()
		for i, m := range at {
			odds, known := arms.Contact(m)
			if !known {
				continue // near the end of a turn
			}
			struck = append(struck, odds)
			strokes++
			if side, chance, ok := arms.Side(m); ok && chance >= .9 {
				told++
				if side == turn.strokes[i].Side {
					right++
				}
			}
		}
		for _, m := range rest {
			if odds, known := arms.Contact(m); known {
				others = append(others, odds)
			}
		}
	}
	require.Greater(t, len(struck), 100)
	require.GreaterOrEqual(t, above(struck, others), .92, "of a contact and another moment, the contact has the higher odds")
	require.GreaterOrEqual(t, float64(told), .25*float64(strokes), "sides that are told")
	require.GreaterOrEqual(t, float64(right), .97*float64(told), "sides that are right")
}

// Drawn players move the free arm with every stroke. One that rests does not hide a contact.
func TestFreeArmAtRest(t *testing.T) {
	var struck, others []float64
	for _, turn := range turns(t, 347) {
		for i := range turn.bodies {
			b, free := &turn.bodies[i], 1-turn.racket
			b.Wrist[free].X, b.Wrist[free].Y = b.Hip[free].X, b.Hip[free].Y
			b.Elbow[free].X, b.Elbow[free].Y = (b.Shoulder[free].X+b.Hip[free].X)/2, (b.Shoulder[free].Y+b.Hip[free].Y)/2
		}
		arms := swing.Of(turn.bodies, turn.racket)
		at, rest := turn.moments()
		for _, m := range at {
			if odds, known := arms.Contact(m); known {
				struck = append(struck, odds)
			}
		}
		for _, m := range rest {
			if odds, known := arms.Contact(m); known {
				others = append(others, odds)
			}
		}
	}
	require.Greater(t, len(struck), 100)
	require.GreaterOrEqual(t, above(struck, others), .92)
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
		arms := swing.Of(bodies, turn.racket)
		_, known := arms.Contact(at)
		require.False(t, known, name)
		_, _, known = arms.Side(at)
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

// Networks place the toes of a player who is seen from behind lower than the heels: only
// how far they point to the left or right counts.
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
	arms := swing.Of(turn.bodies, turn.racket)
	for b.Loop() {
		arms.Contact((turn.from + turn.to) / 2)
	}
}

// No side is told of a player whose racket's shoulder is on the wrong side of the picture:
// left and right are exchanged there, or it is the other player.
func TestNoSideOfSomebodyElse(t *testing.T) {
	told := func(bodies []measure.Body, racket measure.Side, at []demo.TruthStroke) (n int) {
		arms := swing.Of(bodies, racket)
		for _, k := range at {
			if _, _, known := arms.Side(k.Seconds); known {
				n++
			}
		}
		return n
	}
	some := 0
	for _, turn := range turns(t, 345) {
		exchanged, wide := slices.Clone(turn.bodies), 0.
		for i := range exchanged {
			s := exchanged[i].Shoulder
			wide += math.Abs(s[0].X-s[1].X) / math.Abs(s[0].Y-exchanged[i].Hip[0].Y) / float64(len(exchanged))
			for _, pair := range exchanged[i].Pairs() {
				pair[0], pair[1] = pair[1], pair[0]
			}
		}
		if wide < .5 {
			continue
		}
		some += told(turn.bodies, turn.racket, turn.strokes)
		require.Zero(t, told(exchanged, turn.racket, turn.strokes))
	}
	require.Positive(t, some)
}

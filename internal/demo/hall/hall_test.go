package hall

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/contact"
)

const seeds = 40

// tone is where the energy of a body's sounds lies on average, in hertz, from their
// spectrum at every 100 Hz.
func tone(h *hall, b body) float64 {
	moment, all := 0.0, 0.0
	for range 4 {
		s := h.sound(b, 1)
		for hertz := 100.0; hertz < 14000; hertz += 100 {
			step := cmplx.Exp(complex(0, -2*math.Pi*hertz/h.rate))
			sum, turn := 0i, 1+0i
			for _, v := range s {
				sum += complex(v, 0) * turn
				turn *= step
			}
			power := real(sum)*real(sum) + imag(sum)*imag(sum)
			all += power
			moment += power * hertz
		}
	}
	return moment / all
}

// lasting is the effective length of a body's sound.
func lasting(h *hall, b body) float64 {
	moment, large := 0.0, 0.0
	for range 12 {
		for i, v := range h.sound(b, 1) {
			moment += float64(i) / h.rate * v * v
			large += v * v
		}
	}
	return moment / large
}

// The ranges hold both orders: of brightness as the condition says, and in each
// condition of level and of decay.
func TestTimbresHoldBothOrders(t *testing.T) {
	for _, c := range Timbres() {
		brighter, louder, longer := 0, 0, 0
		octaves := 0.0
		for seed := range int64(seeds) {
			h, own := begin(c, seed, 48000)
			racket, half := tone(h, own.rackets[0]), tone(h, own.halves[0])
			octaves += math.Log2(racket/half) / seeds
			if racket > half {
				brighter++
			}
			if own.rackets[0].loud > own.halves[0].loud {
				louder++
			}
			if lasting(h, own.rackets[0]) > lasting(h, own.halves[0]) {
				longer++
			}
			if c == Alike { // to within how two specimens differ
				require.InDelta(t, own.halves[0].brightness(), own.rackets[0].brightness(), .1, "seed %d", seed)
			}
		}
		t.Logf("%s: %.2f octaves brighter, brighter in %d of %d, louder in %d, longer in %d", c, octaves, brighter, seeds, louder, longer)
		switch c {
		case MuchDuller:
			require.LessOrEqual(t, brighter, 2, c)
		case Duller:
			require.LessOrEqual(t, brighter, seeds/10, c)
		case Alike:
			require.InDelta(t, 0, octaves, .2, c)
		case Brighter:
			require.GreaterOrEqual(t, brighter, seeds*9/10, c)
		case MuchBrighter:
			require.GreaterOrEqual(t, brighter, seeds-2, c)
		}
		for _, n := range []int{louder, longer} {
			require.GreaterOrEqual(t, n, seeds/5, c)
			require.LessOrEqual(t, n, seeds*4/5, c)
		}
	}
}

// peaks is the mean level, in decibels, of what arrives straight of a table.
func peaks(h *hall, table table) float64 {
	h.silence(8)
	played, _ := h.train(training{pauses: [2]float64{1.2, 3.5}}, 8)
	for i := range played {
		played[i].force = 1
	}
	h.strike(table, played, false)
	sum, n := 0.0, 0
	for _, p := range played {
		if p.what != racket && p.what != bounce {
			continue
		}
		first := int(p.at * h.rate)
		top := 0.0
		for _, v := range h.direct[first:min(len(h.direct), first+int(.02*h.rate))] {
			top = max(top, math.Abs(v))
		}
		sum += 20 * math.Log10(top)
		n++
	}
	return sum / float64(n)
}

func TestOtherTablesAreAsWeakAsTheyAreCalled(t *testing.T) {
	for _, below := range []float64{6, 12} {
		mean := 0.0
		for seed := range int64(seeds) {
			h, own := begin(OneOther6, seed, 48000)
			other := h.otherTable(own, below)
			require.InDelta(t, below, 20*math.Log10(own.arrives()/other.arrives()), 1e-9)
			mean += (peaks(h, own) - peaks(h, other)) / seeds
		}
		require.InDelta(t, below, mean, 1.5)
	}
}

func TestPaceHoldsBothOrders(t *testing.T) {
	const clips = 400
	slower, way := 0, 0.0
	for seed := range int64(clips) {
		h, _ := begin(Alike, seed, 48000)
		v := h.pace()
		for i := range v.rise {
			require.Greater(t, v.rise[i], .08)
			require.Less(t, v.flight[i]+v.rise[i], 2.5)
			way += (v.flight[1-i] + v.rise[i]) / (2 * clips)
			if v.rise[i] > v.flight[1-i] {
				slower++
			}
		}
	}
	t.Logf("bounce to racket takes longer than racket to bounce on %d of %d sides; %.2f s between rackets", slower, 2*clips, way)
	require.Greater(t, slower, clips/10)
	require.Less(t, slower, clips/4)
	require.InDelta(t, .6, way, .15) // 0.64 s, see tempo
}

func TestWideHalls(t *testing.T) {
	names := append(Conditions(), Wide()...)
	require.Len(t, slices.Compact(slices.Sorted(slices.Values(names))), len(names), "a name is a seed: no two are the same")
	for _, c := range Wide() {
		r := Make(c, 3, 10, 24000)
		require.Equal(t, r, Make(c, 3, 10, 24000), c)
		require.NotEqual(t, r.Samples, Make(c, 4, 10, 24000).Samples, c)
		require.Len(t, r.Samples, 10*24000, c)
		require.NotEmpty(t, r.Beside, c)
		if slices.Contains(Nobody(), c) {
			require.Empty(t, r.Truth, c)
			require.Greater(t, len(r.Beside), 8, c)
			continue
		}
		rackets := 0
		for _, contact := range r.Truth {
			if contact.Kind == "racket" {
				rackets++
			}
		}
		require.Greater(t, rackets, 4, c)
		require.Greater(t, len(r.Truth)-rackets, 4, c)
		require.NotEmpty(t, r.Begun, c)
	}
}

func TestChannels(t *testing.T) {
	r := Make(Inverted, 3, 10, 24000)
	require.Less(t, loudest(r.Samples, r.Right, 1), .1*loudest(r.Samples, nil, 0), "the sum of an inverted recording")
	r = Make(Apart, 3, 10, 24000)
	require.Greater(t, loudest(r.Samples, r.Right, 1), .1*loudest(r.Samples, nil, 0))
	require.Greater(t, loudest(r.Samples, r.Right, -1), .1*loudest(r.Samples, nil, 0))
	require.InDelta(t, -70, 20*math.Log10(loudest(Make(VeryQuiet, 3, 10, 24000).Samples, nil, 0)), 4)
}

// loudest is the peak of left plus times right.
func loudest(left, right []float32, times float32) float64 {
	top := 0.0
	for i, v := range left {
		if right != nil {
			v += times * right[i]
		}
		top = max(top, math.Abs(float64(v)))
	}
	return top
}

// A ball that bounces on is told, and is none of the truth.
func TestMissedBallsBounceOn(t *testing.T) {
	n := 0
	for seed := range int64(10) {
		r := Make(Brighter, seed, 20, 24000)
		for _, b := range r.Beside {
			if b.What != "again" {
				continue
			}
			n++
			require.False(t, slices.ContainsFunc(r.Truth, func(c contact.Contact) bool { return c.Seconds == b.Seconds }))
		}
	}
	require.Positive(t, n)
}

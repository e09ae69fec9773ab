package contact

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Where sounds beside the play may keep no rhythm of their own, twenty minutes that such a
// rhythm would explain far better than play are still decoded as chances.
func TestRhythmThatIsRuledOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 13))
	class := contactClass().at(0)
	m := common()
	for s := range m.sounds {
		m.sounds[s] = class
	}
	for _, c := range clutterClasses() {
		m.clutter = append(m.clutter, part{c.share, c.class, c.at(0)})
	}
	m.spoil()
	m.besides(false)
	var cs []candidate
	for at := 0.; at < 1200; at += .4 + .02*rng.NormFloat64() {
		cs = append(cs, candidate{at: at, x: class.mean, strength: 5})
	}
	var l lattice
	var counted tallies
	for i, b := range l.decode(&m, cs, &counted) {
		require.True(t, b.contact() >= 0 && b.pat == 0 && b.hands == 0, "candidate %d: %+v", i, b)
		sum := 0.
		for _, v := range b.sound {
			sum += v
		}
		require.LessOrEqual(t, sum, 1+1e-6, "candidate %d", i)
	}
	m.learn(&counted)
}

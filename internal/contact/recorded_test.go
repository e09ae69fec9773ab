package contact_test

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/contact"
)

// recorded decodes a sound of the Debian package freetennis-common (GPL-2+; not
// ours to ship, so it is read where the package puts it).
func recorded(t *testing.T, name string, rate string) []float32 {
	t.Helper()
	var complaint bytes.Buffer
	cmd := exec.Command("ffmpeg", "-v", "error", "-nostdin", "-i", "/usr/share/sounds/freetennis-common/sfx/"+name,
		"-ac", "1", "-ar", rate, "-f", "f32le", "-c:a", "pcm_f32le", "-")
	cmd.Stderr = &complaint
	raw, err := cmd.Output()
	require.NoError(t, err, "ffmpeg on %s of the package freetennis-common: %s", name, complaint.String())
	out := make([]float32, len(raw)/4)
	_, err = binary.Decode(raw, binary.LittleEndian, out)
	require.NoError(t, err)
	return out
}

// Impacts that somebody recorded, a strike of a racket and a bounce of a ball
// (of tennis, at 11 kHz: nothing nearer is packaged), played in the order and at
// the tempo of a rally. They sound like nothing that the detector expects, so it
// has to learn them; each is found to 10 ms and told apart, after one word of the coach
// where it says that it is not sure which is the racket. The recorded strike is
// itself three sounds in 70 ms, all of which come out: precision is not asked for.
func TestRecordedImpacts(t *testing.T) {
	const rate = 48000
	strike, bounce := recorded(t, "colpo.wav", "48000"), recorded(t, "palla.wav", "48000")
	rng := rand.New(rand.NewPCG(3, 3))
	sound := noise(40, rate, -60)
	put := func(at float64, what []float32, gain float64) {
		first := int(at * rate)
		for i, v := range what {
			if first+i < len(sound) {
				sound[first+i] += float32(gain) * v
			}
		}
	}
	// Where a recording begins is not where its impact does.
	begin := func(what []float32) float64 {
		top := float32(0)
		for _, v := range what {
			top = max(top, v, -v)
		}
		for i, v := range what {
			if max(v, -v) > top/4 {
				return float64(i) / rate
			}
		}
		return 0
	}
	var truth []float64
	var kinds []contact.Kind
	at := .6
	for n := range 90 {
		what, kind, wait := strike, contact.Racket, .31
		if n%2 == 1 {
			what, kind, wait = bounce, contact.Bounce, .22
		}
		gain := .5 + .2*rng.Float64()
		if n%4 == 2 {
			gain *= .6 // the far player
		}
		put(at, what, gain)
		truth, kinds = append(truth, at+begin(what)), append(kinds, kind)
		at += wait * (.9 + .2*rng.Float64())
		if n%18 == 17 {
			at += 2
		}
	}
	require.Less(t, at, 40.)
	all, err := contact.Find(sound, rate)
	require.NoError(t, err)
	if contact.Unsure(all) { // then the program asks the coach to press ! at one stroke
		all = contact.Anchor(all, truth[:1], oneStroke)
	}
	found := inPlay(all)
	_, _, recall := contact.Score(truth, times(found), .010)
	require.GreaterOrEqual(t, recall, .95)
	right := 0
	pairs := contact.Match(truth, times(found), .010)
	for _, p := range pairs {
		if found[p[1]].Kind == kinds[p[0]] {
			right++
		}
	}
	require.GreaterOrEqual(t, float64(right), .95*float64(len(pairs)))
}

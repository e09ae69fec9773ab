package listening

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/cache/cachetest"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
)

// Every field of what was heard is kept, also those that are new.
func TestHeardIsKeptWhole(t *testing.T) {
	var parts struct {
		By       footage.Choice
		Contacts []contact.Contact
		Sounds   []struct{ Seconds float64 }
		Peaks    wave
	}
	cachetest.Fill(t, &parts)
	want := heardFile{by: parts.By, contacts: parts.Contacts, peaks: parts.Peaks}
	for i, s := range parts.Sounds {
		one := contact.Sound{Seconds: s.Seconds}
		for k := range one.Trait {
			one.Trait[k] = float32(k-9*i) / 16
		}
		want.sounds = append(want.sounds, one)
	}
	require.NotEmpty(t, want.sounds)
	got, ok := readHeard(want.bytes())
	require.True(t, ok)
	require.Equal(t, want, got)
	_, ok = readHeard(nil)
	require.False(t, ok)
}

func BenchmarkReadHeard(b *testing.B) {
	h := heardFile{peaks: make([]byte, 2*3600*100)}
	for i := range 10_000 {
		h.contacts = append(h.contacts, contact.Contact{Seconds: float64(i) * .7123, Kind: contact.Bounce, Who: contact.Near, Strength: float64(i%97) / 97, Confidence: .9})
	}
	for i := range 90_000 {
		s := contact.Sound{Seconds: float64(i) * .0791}
		for k := range s.Trait {
			s.Trait[k] = -float32((i+k*37)%160) / 16
		}
		h.sounds = append(h.sounds, s)
	}
	data := h.bytes()
	for b.Loop() {
		if k, ok := readHeard(data); !ok || len(k.contacts) != 10_000 {
			b.Fatal()
		}
	}
	b.ReportMetric(float64(len(data)), "B")
}

package summary

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/cache/cachetest"
	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/rate"
)

// Every field of what a player showed is kept, also those that are new.
func TestStandingIsKeptWhole(t *testing.T) {
	var want tally.Total
	cachetest.Fill(t, &want)
	got, ok := readStanding(standing(want))
	require.True(t, ok)
	require.Equal(t, want, got)
	_, ok = readStanding([]byte(`{"Version":3}`))
	require.False(t, ok, "of an older program")
}

func BenchmarkReadStanding(b *testing.B) {
	t := tally.Total{PlayerID: club.NewID()}
	for i := range 12 {
		a := rate.Alike{Apart: 1.0 / float64(i+3), Room: 17.0 / 7, Free: 21, Less: 1.0 / 9}
		t.Faults = append(t.Faults, tally.FaultTotal{FaultID: club.NewID(), X: i, N: 900, Marks: 3, Minutes: 7.0 / 3, Turns: a, Days: a, TurnSquares: 1e4 / 3.0, DaySquares: 1e5 / 3.0})
	}
	data := standing(t)
	for b.Loop() {
		if k, ok := readStanding(data); !ok || len(k.Faults) != 12 {
			b.Fatal()
		}
	}
	b.ReportMetric(float64(len(data)), "B")
}

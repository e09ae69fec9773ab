package report_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/report"
	"strokeledger/internal/tally"
)

func TestRatesAsPeopleSayThem(t *testing.T) {
	for words, of := range map[string][2]int{
		"every stroke":              {50, 50},
		"nearly every stroke":       {49, 50},
		"about 9 strokes in 10":     {47, 50},
		"about 6 strokes in 10":     {30, 50},
		"about every second stroke": {25, 50},
		"about every third stroke":  {17, 50},
		"about 4 strokes in 10":     {22, 50},
		"about 1 stroke in 4":       {13, 50},
		"about 1 stroke in 50":      {1, 50},
	} {
		g := tally.Group{Turns: 1, Faults: []tally.FaultLine{{Code: "LATE", Marks: of[0], PerStroke: tally.ShareOf(of[0], of[1])}}}
		var page bytes.Buffer
		require.NoError(t, report.HTML(&page, report.Document{Summary: tally.Summary{Team: tally.Sheet{All: g}, Players: []tally.Sheet{{PlayerID: "p", All: g}}}}))
		require.Contains(t, page.String(), `<p class="inwords">`+words+`</p>`, of)
	}
}

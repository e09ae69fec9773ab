package report_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/report"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

func TestRatesAsPeopleSayThem(t *testing.T) {
	for words, of := range map[string][2]int{
		"every stroke":              {500, 500},
		"nearly every stroke":       {490, 500},
		"about 9 strokes in 10":     {470, 500},
		"about 6 strokes in 10":     {300, 500},
		"about every second stroke": {250, 500},
		"about every third stroke":  {170, 500},
		"about 4 strokes in 10":     {220, 500},
		"about 1 stroke in 4":       {130, 500},
		"about 1 stroke in 50":      {10, 500},
	} {
		require.Contains(t, cards(t, of), `<p class="inwords">`+words+`</p>`, of)
	}
	for _, few := range [][2]int{{1, 3}, {0, 500}, {19, 19}, {28, 80}} {
		require.NotContains(t, cards(t, few), `class="inwords"`, few)
	}
}

// cards is the page of a player with one fault.
func cards(t *testing.T, of [2]int) string {
	g := group.Group{Turns: 1, Faults: []group.FaultLine{{Code: "LATE", Marks: of[0], PerStroke: rate.ShareOf(of[0], of[1])}}}
	var page bytes.Buffer
	require.NoError(t, report.HTML(&page, report.Document{Summary: tally.Summary{Team: tally.Sheet{All: g}, Players: []tally.Sheet{{PlayerID: "p", All: g}}}}))
	return page.String()
}

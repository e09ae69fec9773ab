package store

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// What may be missing from a row comes back as it was put: there with all its
// parts, or not there.
func TestPartsOfRowsThatMayBeMissing(t *testing.T) {
	ctx := context.Background()
	l := fresh(t)
	fill(t, l)
	anchor, answer := int64(0), 0.25
	full := struct {
		turn   club.Turn
		stroke club.Stroke
		mark   club.Mark
	}{turn(0, 0, 0, 0, 0, 10), stroke(0, 0, 5), mark(0, 0, 0, 5)}
	full.turn.Settled, full.turn.Anchor, full.turn.HeardFrom = true, &anchor, 0.7
	full.stroke.Ready, full.stroke.Answer = &club.Moment{Frame: 7, Ticks: 1792}, &answer
	full.mark.StrokeID, full.mark.Sign = full.stroke.ID, &club.Sign{Kind: club.Circle, X1: 0, Y1: 1, X2: 0.5, Y2: 0}
	for range 2 { // with the parts, then without
		must(t, l, Put(full.turn), Put(full.stroke), Put(full.mark))
		led, err := l.OfClip(ctx, full.turn.ClipID)
		require.NoError(t, err)
		require.Equal(t, Ledger{Turns: []club.Turn{full.turn}, Strokes: []club.Stroke{full.stroke}, Marks: []club.Mark{full.mark}}, led)
		full.turn.Settled, full.turn.Anchor, full.stroke.Ready, full.stroke.Answer, full.mark.Sign = false, nil, nil, nil, nil
	}
	r := club.Ruling{ID: "r", PlayerID: full.turn.PlayerID, DrillID: full.turn.DrillID, CoachID: id("coach", 0), Date: "2026-03-14", Passed: true, Reason: "Seen in a match."}
	must(t, l, Put(r))
	rulings, err := All[club.Ruling](ctx, l)
	require.NoError(t, err)
	require.Equal(t, []club.Ruling{r}, rulings)
}

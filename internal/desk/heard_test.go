package desk_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/demo"
	"strokeledger/internal/desk/listening"
)

// requireHeardAsInTruth holds what is heard in the drawn clips, end to end (drawn,
// encoded, decoded, detected), against the truth: every contact within 10 ms of
// when its sound reaches the camera, and in every turn the near player's strokes,
// where nothing was logged before.
func requireHeardAsInTruth(t *testing.T, b *bench, truth demo.Truth) {
	t.Helper()
	ctx := t.Context()
	var contacts, found, strokes, proposed, right, sides, rallies, ralliesRight int
	for _, c := range truth.Clips {
		require.Equal(t, listening.Finished, b.listenToEnd(t, c.ClipID).State, c.File)
		led, err := b.Library.OfClip(ctx, c.ClipID)
		require.NoError(t, err)
		for _, s := range led.Strokes {
			require.NoError(t, b.Strokes.Remove(ctx, s.ID))
		}
		if c.Empty {
			for _, turn := range c.Turns {
				_, err := b.Turns.Save(ctx, club.Turn{ClipID: c.ClipID, PlayerID: turn.PlayerID, DrillID: turn.DrillID, First: turn.First, Last: turn.Last})
				require.NoError(t, err)
			}
		}
		var moments []float64
		for _, k := range c.Contacts {
			if k.Kind != demo.OnOther {
				moments = append(moments, k.SoundArrives)
			}
		}
		all, err := b.Heard.Contacts(ctx, c.ClipID)
		require.NoError(t, err)
		var at []float64
		for _, k := range all {
			if k.Kind != contact.Other {
				at = append(at, k.Seconds)
			}
		}
		contacts, found = contacts+len(moments), found+len(contact.Match(moments, at, .010))

		turns, err := b.Heard.Proposals(ctx, c.ClipID)
		require.NoError(t, err)
		require.Len(t, turns, len(c.Turns), c.File)
		for i, heard := range turns {
			require.True(t, heard.Known)
			require.Equal(t, "near", heard.Player)
			var want []demo.TruthStroke
			for _, s := range c.Strokes {
				if s.Turn == i {
					want = append(want, s)
				}
			}
			fed := drillOf(b.cat, c.Turns[i].DrillID).Ball == club.Multiball
			require.Len(t, heard.Strokes, len(want), "%s, turn %d", c.File, i)
			for n, q := range heard.Strokes {
				strokes++
				require.InDelta(t, want[n].Frame, q.Frame, 1)
				if math.Abs(want[n].Seconds-q.Seconds) < .02 { // the sound needs 7 to 10 ms to the camera
					proposed++
				}
				if q.Side == "" || q.Side == want[n].Side {
					sides++
				}
				if q.Outcome == want[n].Outcome {
					right++
				}
				if !fed {
					rallies++
					if q.Outcome == want[n].Outcome {
						ralliesRight++
					}
				}
			}
		}
	}
	t.Logf("%d of %d contacts found; of %d strokes proposed %d on time, %d with the right side, %d with the right outcome (%d of %d in rallies)",
		found, contacts, strokes, proposed, sides, right, ralliesRight, rallies)
	require.GreaterOrEqual(t, float64(found), .90*float64(contacts), "bounces in the net's shadow are soft")
	require.Equal(t, strokes, proposed)
	require.Equal(t, strokes, sides)
	require.Equal(t, rallies, ralliesRight, "in a rally the next event says it")
	require.GreaterOrEqual(t, float64(right), .90*float64(strokes), "balls that are fed sound through each other")
}

func drillOf(cat club.Catalogue, id club.ID) club.Drill {
	for _, d := range cat.Drills {
		if d.ID == id {
			return d
		}
	}
	return club.Drill{}
}

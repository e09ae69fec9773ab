package desk_test

import (
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
	var asked, contacts, found, strokes, proposed, onTime, right, sides, rallies, ralliesRight int
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
		if turns[0].Unsure { // the club's rackets are all alike: a coach presses ! at one stroke
			asked++
			_, err := b.Proposed.SetAnchor(ctx, c.ClipID, c.Strokes[0].Frame)
			require.NoError(t, err)
			turns, err = b.Heard.Proposals(ctx, c.ClipID)
			require.NoError(t, err)
		}
		for i, heard := range turns {
			require.True(t, heard.Known)
			require.False(t, heard.Unsure)
			if !turns[0].Sure {
				require.Equal(t, "near", heard.Player, c.File)
			}
			var want []demo.TruthStroke
			for _, s := range c.Strokes {
				if s.Turn == i {
					want = append(want, s)
				}
			}
			fed := drillOf(b.cat, c.Turns[i].DrillID).Ball == club.Multiball
			var played, said []float64
			for _, w := range want {
				played = append(played, w.Seconds)
			}
			for _, q := range heard.Strokes {
				said = append(said, q.Seconds)
			}
			strokes, proposed = strokes+len(want), proposed+len(said)
			for _, pair := range contact.Match(played, said, .02) { // the sound needs 7 to 10 ms to the camera
				w, q := want[pair[0]], heard.Strokes[pair[1]]
				onTime++
				require.InDelta(t, w.Frame, q.Frame, 1)
				if q.Side == "" || q.Side == w.Side {
					sides++
				}
				if q.Outcome == w.Outcome {
					right++
				}
				if !fed {
					rallies++
					if q.Outcome == w.Outcome {
						ralliesRight++
					}
				}
			}
		}
	}
	require.LessOrEqual(t, asked, 2*len(truth.Clips)/3, "clips in which it cannot tell rackets from bounces")
	t.Logf("%d clips had to be asked about; %d of %d contacts found; of %d strokes %d proposed, %d on time, %d with the right side, %d with the right outcome (%d of %d in rallies)",
		asked, found, contacts, strokes, proposed, onTime, sides, right, ralliesRight, rallies)
	require.GreaterOrEqual(t, float64(found), .90*float64(contacts), "bounces in the net's shadow are soft")
	require.GreaterOrEqual(t, float64(onTime), .98*float64(max(strokes, proposed)), "a ball that hops beside the net is taken for a stroke now and then")
	require.GreaterOrEqual(t, sides, onTime-2, "a stroke too many moves the drill's pattern")
	require.GreaterOrEqual(t, float64(ralliesRight), .95*float64(rallies), "a ball on the floor sounds like one on the table, and where few were answered its time tells nothing")
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

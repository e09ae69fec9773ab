package store

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

// What is drawn is read back as it was put, obeys its rules, goes with its clip and comes
// back with it, and is forgotten with the player on whose turn it was drawn.
func TestDrawings(t *testing.T) {
	ctx := context.Background()
	words := drawing(1, 1, 9)
	words.Kind, words.Places, words.Text, words.CoachID, words.MarkID = picture.Text, words.Places[:1], "feet wider", "", ""
	for name, keep := range map[string]bool{"with the numbers": false, "keeping the numbers": true} {
		t.Run(name, func(t *testing.T) {
			l := filled(t)
			must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(turn(1, 1, 1, 0, 0, 100)), Put(turn(2, 1, 0, 0, 101, 200)))
			must(t, l, Put(drawing(0, 0, 5)), Put(words), Put(drawing(2, 1, 150)), Put(drawing(3, 2, 5)))
			led, err := l.OfClip(ctx, id("clip", 1))
			require.NoError(t, err)
			require.Equal(t, []picture.Drawing{words, drawing(2, 1, 150)}, led.Drawings)
			s, err := l.Snapshot(ctx, &Filter{Players: []club.ID{player(1).ID}})
			require.NoError(t, err)
			require.Equal(t, []picture.Drawing{words}, s.Drawings, "those on this player's turns")

			before := contents(t, l)
			must(t, l, Remove[club.Clip](id("clip", 1)))
			require.Len(t, contents(t, l)["drawing"], 2)
			_, err = l.Undo(ctx, "a")
			require.NoError(t, err)
			require.True(t, before.same(contents(t, l)))

			require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(0).ID, Clips: []club.ID{id("clip", 0)}, KeepCounts: keep}))
			require.Equal(t, map[club.ID]any{words.ID: words, id("drawing", 3): drawing(3, 2, 5)}, contents(t, l)["drawing"])
			rows := 0
			require.NoError(t, l.read.QueryRow("SELECT count(*) FROM drawing").Scan(&rows))
			require.Equal(t, 2, rows, "no tombstone either")
		})
	}
}

func TestDrawingsThatBreakARule(t *testing.T) {
	l := filled(t)
	for say, change := range map[string]func(*picture.Drawing){
		"Frame 1002 is past the end of the clip: its frames are 0 to 999.":        func(d *picture.Drawing) { *d = drawing(0, 0, 999) },
		"The drawing has 2 places, which makes no angle: draw it again.":          func(d *picture.Drawing) { d.Places = d.Places[:2] },
		"The clip of this drawing is not in the library any more: pick another.":  func(d *picture.Drawing) { d.ClipID = "nowhere" },
		"The coach of this drawing is not in the library any more: pick another.": func(d *picture.Drawing) { d.CoachID = "nobody" },
		"A number of this entry is not a number: look at the entry again.":        func(d *picture.Drawing) { d.Places[0].X = math.NaN() },
		"A drawing has to begin and end inside the picture: draw it again.":       func(d *picture.Drawing) { d.Places[0].X = 1.01 },
		"A text on the picture needs some words, and no other drawing has any.":   func(d *picture.Drawing) { d.Text = "words" },
		"A drawing is a line, an arrow, a circle, an angle, free or a text.":      func(d *picture.Drawing) { d.Kind = "star" },
		"A text on the picture is one line of at most 120 characters: say it more briefly.": func(d *picture.Drawing) {
			d.Kind, d.Places, d.Text = picture.Text, d.Places[:1], "two\nlines"
		},
	} {
		d := drawing(0, 0, 5)
		change(&d)
		before := contents(t, l)
		_, err := l.Do(context.Background(), "a", "", Put(d))
		var p *club.Problem
		require.ErrorAs(t, err, &p, say)
		require.Equal(t, say, p.Say)
		require.True(t, before.same(contents(t, l)))
	}
}

// What is drawn on a turn would tell what its coach has seen: in a second look at the turn
// it is hidden, and nothing is drawn there.
func TestDrawingsInABlindLook(t *testing.T) {
	ctx := context.Background()
	l := twoCoaches(t)
	require.NoError(t, by(t, l, 0, Put(drawing(0, 0, 50)), Put(drawing(1, 0, 250))))
	drawn := func() []picture.Drawing {
		led, err := l.OfClip(ctx, id("clip", 0))
		require.NoError(t, err)
		all, err := All[picture.Drawing](ctx, l)
		require.NoError(t, err)
		require.Equal(t, led.Drawings, all)
		return all
	}
	require.Equal(t, []picture.Drawing{drawing(1, 0, 250)}, drawn())
	for _, e := range []Edit{Put(drawing(2, 0, 60)), Put(drawing(0, 0, 400)), Remove[picture.Drawing](id("drawing", 0))} {
		var p *club.Problem
		require.ErrorAs(t, by(t, l, 1, e), &p)
		require.Equal(t, "In a second look nothing is drawn on the pictures of its turns: draw after it is finished.", p.Say)
	}
	require.NoError(t, by(t, l, 1, Put(drawing(2, 0, 260))))
	l.marking(t, 0)
	require.Len(t, drawn(), 3)
}

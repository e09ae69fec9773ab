package desk_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo/hall"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/desk/todo"
	"strokeledger/internal/store"
)

// two are two cameras' clips of the same minute, of 25 and 30 pictures a second, and how
// they lie to each other.
type two struct {
	*bench
	a, b club.ID
	pair hall.Pair
}

// filmedTwice makes the clips: small pictures, and the sound of two microphones.
func filmedTwice(t *testing.T, seed int64, seconds float64) (paths [2]string, pair hall.Pair) {
	t.Helper()
	pair = hall.MakePair(hall.PairOptions{Hall: seed, Play: seed, Seconds: seconds, Rate: 48000})
	for i, samples := range [][]float32{pair.First(), pair.Second()} {
		var raw bytes.Buffer
		require.NoError(t, binary.Write(&raw, binary.LittleEndian, samples))
		codec := [][]string{{"-c:a", "pcm_s16le"}, {"-c:a", "aac", "-b:a", "64k"}}[i]
		paths[i] = filepath.Join(t.TempDir(), []string{"left.mov", "right.mp4"}[i])
		cmd := exec.Command("ffmpeg", append(append([]string{"-v", "error", "-f", "f32le", "-ar", "48000", "-ac", "1", "-i", "-",
			"-f", "lavfi", "-i", fmt.Sprintf("color=c=gray:s=64x36:r=%d:d=%g", 25+5*i, seconds)}, codec...),
			"-c:v", "libx264", "-preset", "ultrafast", "-shortest", "-y", paths[i])...)
		cmd.Stdin, cmd.Stderr = &raw, os.Stderr
		require.NoError(t, cmd.Run())
	}
	return paths, pair
}

func newTwo(t *testing.T, paths [2]string, pair hall.Pair) *two {
	t.Helper()
	b := newBench(t)
	added, err := b.Sessions.Add(t.Context(), "2026-03-20", paths[:], nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say+added[1].Say)
	return &two{bench: b, a: added[0].ClipID, b: added[1].ClipID, pair: pair}
}

// at is the second clip's frame at a frame of the first one.
func (b *two) at(frame int) int {
	seconds := (float64(frame)/25 - b.pair.Offset - b.pair.Middle) / (1 + b.pair.Drift)
	return int(seconds*30 + .5)
}

func (b *two) session(t *testing.T) club.ID {
	row, err := b.Library.Clip(t.Context(), b.a)
	require.NoError(t, err)
	return row.SessionID
}

func (b *two) lineUp(t *testing.T) {
	t.Helper()
	found, err := b.Pairings.Find(t.Context(), b.a, b.b, func(float64, float64) {})
	require.NoError(t, err)
	_, err = b.Pairings.Keep(t.Context(), found)
	require.NoError(t, err)
}

func (b *two) on(t *testing.T, clip club.ID) store.Ledger {
	t.Helper()
	led, err := b.Library.OfClip(t.Context(), clip)
	require.NoError(t, err)
	return led
}

// rate is x of n strokes of a fault in all that the library holds.
func (b *two) rate(t *testing.T, fault club.ID) [2]int {
	t.Helper()
	s, err := b.Summary.Sum(t.Context(), summary.Query{})
	require.NoError(t, err)
	for _, l := range s.Players[0].All.Faults {
		if l.FaultID == fault && l.PerStroke != nil {
			return [2]int{l.PerStroke.X, l.PerStroke.N}
		}
	}
	return [2]int{}
}

func TestTwoCameras(t *testing.T) {
	paths, pair := filmedTwice(t, 71, 60)
	t.Run("are recognised", func(t *testing.T) { recognised(t, newTwo(t, paths, pair)) })
	for _, before := range []bool{true, false} {
		for _, second := range []bool{false, true} {
			t.Run(fmt.Sprintf("count once: lined up before %v, the turn on the second %v", before, second), func(t *testing.T) {
				countsOnce(t, newTwo(t, paths, pair), before, second)
			})
		}
	}
	t.Run("two players", func(t *testing.T) { twoPlayers(t, newTwo(t, paths, pair)) })
}

func recognised(t *testing.T, b *two) {
	ctx := t.Context()
	proposed := func() []pairing.Found {
		list, err := b.Pairings.Proposed(ctx, b.session(t))
		require.NoError(t, err)
		return list
	}
	require.Empty(t, proposed(), "nobody has listened yet")
	found, err := b.Pairings.Recognise(ctx, b.session(t), func(int, int) {})
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.Equal(t, found, proposed(), "both were listened to")
	require.Empty(t, b.on(t, b.a).Pairings, "nothing is lined up before a coach says so")
	f := found[0].Fit
	if found[0].OnID == b.b {
		f = f.Turned()
	}
	require.InDelta(t, 30+b.pair.Offset+b.pair.Middle+30*b.pair.Drift, f.At(30), .017, "half a picture")

	g, err := b.Pairings.Keep(ctx, found[0])
	require.NoError(t, err)
	require.Equal(t, found[0].OnID, g.MainID)
	require.Len(t, g.Views, 1)
	list, err := b.ToDo.List(ctx, todo.Query{})
	require.NoError(t, err)
	for _, r := range list.Rows {
		require.NotEqual(t, g.Views[0].ClipID, r.ClipID, "its turns lie on the other clip")
	}
	again, err := b.Pairings.Recognise(ctx, b.session(t), func(int, int) {})
	require.NoError(t, err)
	require.Empty(t, again, "they are lined up already")
	require.Empty(t, proposed())

	_, err = b.Pairings.Find(ctx, b.a, b.clip, func(float64, float64) {})
	require.ErrorContains(t, err, "are not two clips of one session")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Empty(t, b.on(t, g.Views[0].ClipID).Pairings)
}

// A fault that is seen on one stroke from both sides counts once, whichever camera it is
// marked on first, and whether the clips were lined up before or after.
func countsOnce(t *testing.T, b *two, before, second bool) {
	ctx := t.Context()
	fault, drill := b.cat.Faults[0], b.cat.Drills[0]
	first := [2]int{b.at(250), b.at(1000)}
	turns := []club.Turn{{ClipID: b.a, First: 250, Last: 1000}}
	if second {
		turns[0] = club.Turn{ClipID: b.b, First: first[0], Last: first[1]}
	}
	if !before { // both have coached the same turn, and not to the same picture
		turns = []club.Turn{{ClipID: b.a, First: 250, Last: 1000}, {ClipID: b.b, First: first[0] + 20, Last: first[1] + 15}}
	} else {
		b.lineUp(t)
	}
	main, err := b.Pairings.Of(ctx, b.a)
	require.NoError(t, err)
	for _, turn := range turns {
		turn.PlayerID, turn.DrillID = b.player.ID, drill.ID
		if before {
			// The window enters turns on the clip that keeps the entries.
			c, f, _, err := b.Pairings.Kept(ctx, turn.ClipID, turn.First)
			require.NoError(t, err)
			_, l, _, err := b.Pairings.Kept(ctx, turn.ClipID, turn.Last)
			require.NoError(t, err)
			require.Equal(t, main.MainID, c)
			turn.ClipID, turn.First, turn.Last = c, f, l
		}
		kept, err := b.Turns.Save(ctx, turn)
		require.NoError(t, err)
		_, err = b.Looks.Through(ctx, kept.ID, nil)
		require.NoError(t, err)
	}
	for _, frame := range []int{300, 400, 500, 600, 700} {
		if !second || !before {
			_, err := b.Strokes.Add(ctx, b.a, frame, club.Good)
			require.NoError(t, err)
		}
		if (second || !before) && frame != 700 {
			_, err := b.Strokes.Add(ctx, b.b, b.at(frame)+1, club.Good)
			require.NoError(t, err)
		}
	}
	_, err = b.Marks.Add(ctx, b.a, 401, fault.ID)
	require.NoError(t, err)
	_, err = b.Marks.Add(ctx, b.b, b.at(400)+4, fault.ID)
	require.NoError(t, err)
	_, err = b.Marks.AddNoted(ctx, b.b, b.at(600), fault.ID, "from the side")
	require.NoError(t, err)
	if !before {
		require.Equal(t, [2]int{3, 9}, b.rate(t, fault.ID), "two clips that are not lined up are two")
		b.lineUp(t)
	}
	strokes := 5
	if before && second {
		strokes = 4
	}
	require.Equal(t, [2]int{2, strokes}, b.rate(t, fault.ID))

	g, err := b.Pairings.Of(ctx, b.b)
	require.NoError(t, err)
	side := g.Views[0].ClipID
	led := b.on(t, side)
	require.Empty(t, led.Turns)
	require.Empty(t, led.Strokes)
	require.Empty(t, led.Marks)
	seen := map[club.ID]int{}
	for _, m := range b.on(t, g.MainID).Marks {
		seen[m.SeenID]++
	}
	want := 1
	if side == b.b {
		want = 2
	}
	require.Equal(t, map[club.ID]int{"": 3 - want, side: want}, seen, "each is shown as it was seen")

	if !before { // one step of undo parts them again
		_, err := b.Library.Undo(ctx)
		require.NoError(t, err)
		require.Equal(t, [2]int{3, 9}, b.rate(t, fault.ID))
	}
}

// Where each camera films its own player, the turns of both stay.
func twoPlayers(t *testing.T, b *two) {
	ctx := t.Context()
	other, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: "Lio Brandt", Hand: club.LeftHand})
	require.NoError(t, err)
	drill := b.cat.Drills[0].ID
	_, err = b.Turns.Save(ctx, club.Turn{ClipID: b.a, PlayerID: b.player.ID, DrillID: drill, First: 250, Last: 1000})
	require.NoError(t, err)
	_, err = b.Turns.Save(ctx, club.Turn{ClipID: b.a, PlayerID: b.player.ID, DrillID: drill, First: 1100, Last: 1150})
	require.NoError(t, err)
	_, err = b.Turns.Save(ctx, club.Turn{ClipID: b.b, PlayerID: other.ID, DrillID: drill, First: b.at(300), Last: b.at(900)})
	require.NoError(t, err)
	s, err := b.Strokes.Add(ctx, b.b, b.at(500), club.Missed)
	require.NoError(t, err)
	b.lineUp(t)
	require.Equal(t, other.ID, b.on(t, b.b).Turns[0].PlayerID)
	require.Len(t, b.on(t, b.a).Turns, 2)
	require.Equal(t, []club.Stroke{s}, b.on(t, b.b).Strokes)
	m, err := b.Marks.Add(ctx, b.b, b.at(500), b.cat.Faults[0].ID)
	require.NoError(t, err)
	require.Equal(t, b.b, m.ClipID, "it is about this clip's own player")
	require.NoError(t, b.Pairings.Apart(ctx, b.b))
	require.ErrorContains(t, b.Pairings.Apart(ctx, b.b), "is lined up with no other clip")
}

package desk_test

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/hall"
	"strokeledger/internal/desk/burst"
	"strokeledger/internal/desk/entry"
	"strokeledger/internal/desk/erase"
	"strokeledger/internal/desk/listening"
)

// While a clip is listened to, what more of it may change is open, and what a coach's
// own pause has ended is not.
func TestBurstsWhileListening(t *testing.T) {
	b, ctx := &bench{dir: filepath.Join(t.TempDir(), "library")}, t.Context()
	b.reopen(t)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{filmed(t, hall.MakeSession(hall.Clean, 2, 24000).Recording)}, nil) // seven minutes
	require.NoError(t, err)
	b.clip = added[0].ClipID
	_, err = b.Listening.Listen(ctx, b.clip, func(listening.Progress) {})
	require.NoError(t, err)
	var part burst.Found
	require.Eventually(t, func() bool {
		part, err = b.Bursts.Find(ctx, b.clip)
		return err == nil && len(part.All) > 0
	}, time.Minute, time.Microsecond)
	_, err = b.Listening.Stop(ctx, b.clip)
	require.NoError(t, err)
	part, err = b.Bursts.Find(ctx, b.clip)
	require.NoError(t, err)
	require.False(t, part.Known)
	for _, o := range part.All {
		require.True(t, o.Open)
	}
	require.NoError(t, b.Bursts.SetPause(ctx, b.clip, 9))
	part, err = b.Bursts.Find(ctx, b.clip)
	require.NoError(t, err)
	require.Equal(t, listening.Finished, b.listenToEnd(t, b.clip).State)
	whole, err := b.Bursts.Find(ctx, b.clip)
	require.NoError(t, err)
	require.True(t, whole.Known)
	for _, o := range part.All {
		require.Equal(t, !o.Open, slices.Contains(whole.All, o), "%v", o)
	}
	require.False(t, slices.ContainsFunc(whole.All, func(o burst.Burst) bool { return o.Open }))
}

// requireBurstsAsInTruth holds the bursts of play in the drawn clips, end to end,
// against the turns of the truth.
func requireBurstsAsInTruth(t *testing.T, b *bench, truth demo.Truth) {
	t.Helper()
	borders, near, proposed := 0, 0, 0
	for _, c := range truth.Clips {
		found, err := b.Bursts.FindInClip(t.Context(), c.ClipID, 0, func(_, _ float64) {})
		require.NoError(t, err)
		var begun, ended, from, to []float64
		for _, turn := range c.Turns {
			begun, ended = append(begun, c.Picture.Seconds(int64(turn.First))), append(ended, c.Picture.Seconds(int64(turn.Last+1)))
		}
		for _, o := range found.All {
			from, to = append(from, o.From), append(to, o.To)
		}
		borders, proposed = borders+2*len(c.Turns), proposed+2*len(found.All)
		near += len(contact.Match(begun, from, 1)) + len(contact.Match(ended, to, 1))
	}
	t.Logf("of %d borders of turns %d are proposed within 1 s; %d are proposed", borders, near, proposed)
	require.GreaterOrEqual(t, float64(near), .95*float64(borders))
	require.GreaterOrEqual(t, float64(near), .95*float64(proposed))
}

// sessionBench is a library with a heard clip of a session of three turns.
type sessionBench struct {
	*bench
	bo    club.Player
	turns []hall.Turn
}

func newSessionBench(t *testing.T) *sessionBench {
	t.Helper()
	b, ctx := &sessionBench{bench: &bench{dir: filepath.Join(t.TempDir(), "library")}}, t.Context()
	b.reopen(t)
	sound := hall.MakeSession(hall.Clean, 68, 24000)
	b.turns = sound.Turns
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{filmed(t, sound.Recording)}, nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say)
	b.clip = added[0].ClipID
	b.player, err = b.Catalogue.SavePlayer(ctx, club.Player{Name: "Ines Varga", Hand: club.RightHand})
	require.NoError(t, err)
	b.bo, err = b.Catalogue.SavePlayer(ctx, club.Player{Name: "Bo Arvidsen", Hand: club.LeftHand})
	require.NoError(t, err)
	b.cat, err = b.Library.Catalogue(ctx)
	require.NoError(t, err)
	before, err := b.Bursts.Find(ctx, b.clip)
	require.NoError(t, err)
	require.False(t, before.Known, "nobody has listened yet")
	require.Empty(t, before.All)
	require.Equal(t, listening.Finished, b.listenToEnd(t, b.clip).State)
	return b
}

func (b *sessionBench) bursts(t *testing.T) burst.Found {
	t.Helper()
	all, err := b.Bursts.Find(t.Context(), b.clip)
	require.NoError(t, err)
	return all
}

// wanted makes new turns of bursts.
func wanted(drill club.ID, all []burst.Burst, players ...club.ID) (out []entry.NewTurn) {
	for i, o := range all {
		out = append(out, entry.NewTurn{First: o.First, Last: o.Last, PlayerID: players[i%len(players)], DrillID: drill})
	}
	return out
}

func TestBurstsBecomeTurns(t *testing.T) {
	b, ctx := newSessionBench(t), t.Context()
	drill := b.cat.Drills[0].ID
	all := b.bursts(t)
	require.True(t, all.Known && all.Sure && !all.Set && !all.Short)
	require.Equal(t, all.Learned, all.Pause)
	require.Len(t, all.All, len(b.turns))
	for i, o := range all.All {
		require.InDelta(t, b.turns[i].From, float64(o.First)/50, 1)
		require.InDelta(t, b.turns[i].To, float64(o.Last)/50, 1)
		require.Equal(t, []any{-1, club.ID(""), club.ID("")}, []any{o.After, o.PlayerID, o.DrillID}, "nobody can say")
		require.False(t, o.Open)
		require.Greater(t, o.Strokes, 5)
		require.Less(t, o.Strokes, o.Contacts)
	}

	// One, then who comes next.
	require.NoError(t, b.Bursts.SetOrder(ctx, []club.ID{b.player.ID, b.bo.ID}))
	require.Equal(t, b.player.ID, b.bursts(t).All[0].PlayerID, "the order's first begins")
	one, err := b.Turns.Make(ctx, b.clip, wanted(drill, all.All[:1], b.player.ID))
	require.NoError(t, err)
	require.Equal(t, []int{all.All[0].First, all.All[0].Last}, []int{one[0].First, one[0].Last})
	rest := b.bursts(t)
	require.Equal(t, all.Learned, rest.Learned)
	require.Len(t, rest.All, 2, "what a turn covers is proposed no more")
	require.Equal(t, []any{one[0].Last, b.bo.ID, drill}, []any{rest.All[0].After, rest.All[0].PlayerID, rest.All[0].DrillID})
	require.NoError(t, b.Bursts.SetOrder(ctx, nil))
	require.Equal(t, b.player.ID, b.bursts(t).All[0].PlayerID, "without an order the same player again")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, all.All, b.bursts(t).All)

	// All in one step.
	made, err := b.Turns.Make(ctx, b.clip, wanted(drill, all.All, b.player.ID, b.bo.ID))
	require.NoError(t, err)
	require.Equal(t, made, b.ledger(t).Turns)
	require.Equal(t, []club.ID{b.player.ID, b.bo.ID, b.player.ID}, []club.ID{made[0].PlayerID, made[1].PlayerID, made[2].PlayerID})
	require.Empty(t, b.bursts(t).All)
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Contains(t, st.Undo, "add 3 turns")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Empty(t, b.ledger(t).Turns)

	// None at all where one of them cannot be.
	bad := wanted(drill, all.All, b.player.ID)
	bad[2].DrillID = ""
	_, err = b.Turns.Make(ctx, b.clip, bad)
	requireProblem(t, err, "drill")
	require.Empty(t, b.ledger(t).Turns)
	_, err = b.Turns.Make(ctx, b.clip, nil)
	requireProblem(t, err, "")
}

// A turn that is made never overlaps another: what others cover is left out of it.
func TestNewTurnsAreTrimmed(t *testing.T) {
	b, ctx := newSessionBench(t), t.Context()
	drill := b.cat.Drills[0].ID
	turn := func(first, last int) entry.NewTurn {
		return entry.NewTurn{First: first, Last: last, PlayerID: b.player.ID, DrillID: drill}
	}
	_, err := b.Turns.Make(ctx, b.clip, []entry.NewTurn{turn(100, 200), turn(300, 400)})
	require.NoError(t, err)
	for _, c := range [][2]entry.NewTurn{
		{turn(150, 250), turn(201, 250)}, {turn(50, 150), turn(50, 99)}, {turn(150, 350), turn(201, 299)}, {turn(210, 500), turn(210, 299)},
	} {
		made, err := b.Turns.Make(ctx, b.clip, []entry.NewTurn{c[0]})
		require.NoError(t, err)
		require.Equal(t, []int{c[1].First, c[1].Last}, []int{made[0].First, made[0].Last})
		_, err = b.Library.Undo(ctx)
		require.NoError(t, err)
	}
	_, err = b.Turns.Make(ctx, b.clip, []entry.NewTurn{turn(120, 180)})
	requireProblem(t, err, "first")
	made, err := b.Turns.Make(ctx, b.clip, []entry.NewTurn{turn(500, 600), turn(550, 700)})
	require.NoError(t, err)
	require.Equal(t, 601, made[1].First, "nor one another")
}

// A pause, joins and splits are kept with the clip.
func TestBurstsAreCorrected(t *testing.T) {
	b, ctx := newSessionBench(t), t.Context()
	all := b.bursts(t).All

	require.NoError(t, b.Bursts.SetPause(ctx, b.clip, 60))
	set := b.bursts(t)
	require.True(t, set.Set)
	require.Equal(t, 60., set.Pause)
	require.Len(t, set.All, 1)
	b.reopen(t)
	require.Equal(t, set, b.bursts(t))
	for _, wrong := range []float64{-1, .5, 1000} {
		requireProblem(t, b.Bursts.SetPause(ctx, b.clip, wrong), "pause")
	}
	require.NoError(t, b.Bursts.SetPause(ctx, b.clip, 0))
	require.Equal(t, all, b.bursts(t).All)

	require.NoError(t, b.Bursts.Join(ctx, b.clip, all[0].First))
	joined := b.bursts(t).All
	require.Len(t, joined, 2)
	require.Equal(t, []int{all[0].First, all[1].Last, all[0].Contacts + all[1].Contacts}, []int{joined[0].First, joined[0].Last, joined[0].Contacts})
	b.reopen(t)
	require.Equal(t, joined, b.bursts(t).All)
	requireProblem(t, b.Bursts.Join(ctx, b.clip, all[2].First), "frame")
	requireProblem(t, b.Bursts.Join(ctx, b.clip, (all[1].Last+all[2].First)/2), "frame")

	require.NoError(t, b.Bursts.Split(ctx, b.clip, (all[0].Last+all[1].First)/2))
	require.Equal(t, all, b.bursts(t).All, "a split takes the join back")
	require.NoError(t, b.Bursts.SetPause(ctx, b.clip, 60))
	require.Len(t, b.bursts(t).All, 1, "nothing is left of either")
	require.NoError(t, b.Bursts.SetPause(ctx, b.clip, 0))
	requireProblem(t, b.Bursts.Split(ctx, b.clip, all[0].First), "frame")

	at := (all[0].First + all[0].Last) / 2
	require.NoError(t, b.Bursts.Split(ctx, b.clip, at))
	split := b.bursts(t).All
	require.Len(t, split, 4)
	require.LessOrEqual(t, split[0].Last, at)
	require.Greater(t, split[1].First, split[0].Last)
	require.NoError(t, b.Bursts.Join(ctx, b.clip, split[0].First))
	require.Equal(t, all, b.bursts(t).All, "a join takes the split back")

	// A turn between two parts them for good.
	_, err := b.Turns.Make(ctx, b.clip, wanted(b.cat.Drills[0].ID, all[1:2], b.player.ID))
	require.NoError(t, err)
	requireProblem(t, b.Bursts.Join(ctx, b.clip, all[0].First), "frame")
}

// The order of the players outlives the window; who is forgotten is in it no more,
// and nothing is kept of a clip that goes.
func TestOrderOfPlayers(t *testing.T) {
	b, ctx := newSessionBench(t), t.Context()
	requireProblem(t, b.Bursts.SetOrder(ctx, []club.ID{b.bo.ID, b.bo.ID}), "order")
	require.Error(t, b.Bursts.SetOrder(ctx, []club.ID{"nobody"}))
	require.NoError(t, b.Bursts.SetOrder(ctx, []club.ID{b.bo.ID, b.player.ID}))
	require.NoError(t, b.Bursts.SetPause(ctx, b.clip, 60))
	b.reopen(t)
	order, err := b.Bursts.Order(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.ID{b.bo.ID, b.player.ID}, order)

	_, err = b.Turns.Make(ctx, b.clip, wanted(b.cat.Drills[0].ID, b.bursts(t).All, b.bo.ID))
	require.NoError(t, err)
	_, err = b.Erase.Forget(ctx, erase.Request{PlayerID: b.bo.ID, Clips: []club.ID{b.clip}})
	require.NoError(t, err)
	order, err = b.Bursts.Order(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.ID{b.player.ID}, order)
	require.NoError(t, b.Close())
	require.Empty(t, bytesOf(t, b.dir, string(b.bo.ID), string(b.clip)))
}

// The player of a clip's first turn follows the last one of the clip before it.
func TestNextPlayerAcrossClips(t *testing.T) {
	b, ctx := newSessionBench(t), t.Context()
	other, _ := hallClip(t, hall.Clean, 11, 14)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{other}, nil)
	require.NoError(t, err)
	require.NoError(t, b.Bursts.SetOrder(ctx, []club.ID{b.player.ID, b.bo.ID}))
	drill := b.cat.Drills[3].ID
	_, err = b.Turns.Make(ctx, b.clip, wanted(drill, b.bursts(t).All, b.player.ID, b.bo.ID))
	require.NoError(t, err)
	require.Equal(t, listening.Finished, b.listenToEnd(t, added[0].ClipID).State)
	all, err := b.Bursts.Find(ctx, added[0].ClipID)
	require.NoError(t, err)
	require.NotEmpty(t, all.All)
	require.False(t, slices.ContainsFunc(all.All, func(o burst.Burst) bool { return o.PlayerID != b.bo.ID || o.DrillID != drill || o.After != -1 }), "%v", all.All)
}

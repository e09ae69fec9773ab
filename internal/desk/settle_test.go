package desk_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/proposed"
	"strokeledger/internal/proposal"
)

// nearStrokes are the near player's contacts in the truth.
func (b *heardBench) nearStrokes() (at []float64) {
	for _, c := range b.truth {
		if c.Kind == contact.Racket && c.Who == contact.Near {
			at = append(at, c.Seconds)
		}
	}
	return at
}

func moments(h heard.Turn) (at []float64) {
	for _, q := range h.Strokes {
		at = append(at, q.Seconds)
	}
	return at
}

// A whole turn is taken over in one step, which one step of undo takes back.
func TestTakeOverATurn(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	require.True(t, h.Known)
	f, _, _ := contact.Score(b.nearStrokes(), moments(h), .010)
	require.GreaterOrEqual(t, f, .95, "the player's strokes are proposed")
	for i, q := range h.Strokes {
		require.Equal(t, club.Pattern("FFB").Side(i), q.Side)
		require.InDelta(t, q.Seconds, float64(q.Frame)/50, .0101, "the nearest picture")
	}
	before := b.ledger(t)
	turn, err := b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{})
	require.NoError(t, err)
	require.True(t, turn.Settled)
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	led := b.ledger(t)
	require.Len(t, led.Strokes, len(h.Strokes))
	for i, s := range led.Strokes {
		q := h.Strokes[i]
		require.Equal(t, club.ByMachine, s.Source)
		require.Equal(t, st.CoachID, s.CoachID, "who took it over")
		require.Equal(t, []any{q.Frame, q.Outcome, q.Confidence, club.Side("")}, []any{s.Frame, s.Outcome, s.Confidence, s.Side})
		require.Equal(t, q.Answer, s.Answer)
	}
	require.Empty(t, b.proposed(t).Strokes, "nothing more is proposed")
	_, err = b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{})
	requireProblem(t, err, "")
	require.Contains(t, st.Undo, "take over")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, before, b.ledger(t))
	require.Equal(t, h, b.proposed(t))
}

// A correction of one proposal takes the rest over with it, in the same step; what
// a coach corrects is the coach's own.
func TestCorrectionsTakeTheTurnOver(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	n := len(h.Strokes)
	second := h.Strokes[1]
	other := club.Missed
	if second.Outcome == club.Missed {
		other = club.Good
	}
	at := func(frame int) *club.Stroke {
		for _, s := range b.ledger(t).Strokes {
			if s.Frame == frame {
				return &s
			}
		}
		return nil
	}
	between := (h.Strokes[0].Frame + second.Frame) / 2
	for name, c := range map[string]struct {
		fix   proposed.Fix
		count int
		check func()
	}{
		"side": {proposed.Fix{Do: proposed.FixSide, Frame: second.Frame, Side: club.Backhand}, n, func() {
			require.Equal(t, []any{club.Backhand, club.ByHand, 1.}, []any{at(second.Frame).Side, at(second.Frame).Source, at(second.Frame).Confidence})
		}},
		"outcome": {proposed.Fix{Do: proposed.FixOutcome, Frame: second.Frame, Outcome: other}, n, func() {
			require.Equal(t, []any{other, club.ByHand}, []any{at(second.Frame).Outcome, at(second.Frame).Source})
		}},
		"remove":     {proposed.Fix{Do: proposed.FixRemove, Frame: second.Frame}, n - 1, func() { require.Nil(t, at(second.Frame)) }},
		"add":        {proposed.Fix{Do: proposed.FixAdd, Frame: between, Outcome: club.Missed}, n + 1, func() { require.Equal(t, club.ByHand, at(between).Source) }},
		"add beside": {proposed.Fix{Do: proposed.FixAdd, Frame: second.Frame + 3, Outcome: club.Good}, n, func() { require.Nil(t, at(second.Frame), "it is the same stroke") }},
	} {
		_, err := b.Proposed.TakeOver(ctx, b.turn.ID, c.fix)
		require.NoError(t, err, name)
		require.Len(t, b.ledger(t).Strokes, c.count, name)
		c.check()
		_, err = b.Library.Undo(ctx)
		require.NoError(t, err)
		require.Empty(t, b.ledger(t).Strokes, "%s: one step", name)
		require.Equal(t, h, b.proposed(t), name)
	}
	_, err := b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{Do: proposed.FixRemove, Frame: second.Frame + 1})
	requireProblem(t, err, "frame")
	_, err = b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{Do: proposed.FixAdd, Frame: 1e6, Outcome: club.Good})
	requireProblem(t, err, "frame")
	_, err = b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{Do: "dance", Frame: second.Frame})
	require.Error(t, err)
	require.Empty(t, b.ledger(t).Strokes)
}

// What is logged by hand is not proposed, and moves the pattern on.
func TestLoggedStrokesAreNotProposed(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	_, err := b.Strokes.Add(ctx, b.clip, h.Strokes[2].Frame+2, club.Good)
	require.NoError(t, err)
	now := b.proposed(t)
	require.Equal(t, slices.Delete(moments(h), 2, 3), moments(now))
	require.Equal(t, h.Strokes[3].Side, now.Strokes[2].Side, "the logged one has its place in the pattern")
	_, err = b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{})
	require.NoError(t, err)
	require.Len(t, b.ledger(t).Strokes, len(h.Strokes))
}

func TestRefuseAndListenAgain(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	_, err := b.Proposed.Refuse(ctx, b.turn.ID)
	require.NoError(t, err)
	require.Empty(t, b.proposed(t).Strokes)
	require.Empty(t, b.ledger(t).Strokes)
	_, err = b.Proposed.ListenAgain(ctx, b.turn.ID)
	require.NoError(t, err)
	require.Equal(t, h, b.proposed(t))

	_, err = b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{Do: proposed.FixSide, Frame: h.Strokes[1].Frame, Side: club.Backhand})
	require.NoError(t, err)
	ready := h.Strokes[3].Frame + 10
	_, err = b.Ready.SetReady(ctx, b.clip, ready)
	require.NoError(t, err)
	// The turn keeps what it knows of the sound when its player changes.
	turn := b.turn
	turn.DrillID = b.cat.Drills[0].ID
	turn, err = b.Turns.Save(ctx, turn)
	require.NoError(t, err)
	require.True(t, turn.Settled)
	_, err = b.Proposed.ListenAgain(ctx, b.turn.ID)
	require.NoError(t, err)
	led := b.ledger(t)
	require.Len(t, led.Strokes, 2, "the corrected one and the timed one stay")
	require.Len(t, b.proposed(t).Strokes, len(h.Strokes)-2)
}

// A stroke whose partner's contact was set by hand is the coach's own.
func TestListeningAgainKeepsAnAnswer(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	s, err := b.Ready.SetAnswer(ctx, b.clip, h.Strokes[1].Frame+5) // takes the turn over
	require.NoError(t, err)
	other, err := b.Ready.SetAnswer(ctx, b.clip, h.Strokes[3].Frame+5)
	require.NoError(t, err)
	_, err = b.Proposed.ListenAgain(ctx, b.turn.ID)
	require.NoError(t, err)
	require.Equal(t, []club.Stroke{s, other}, b.ledger(t).Strokes)
}

// One confirmed stroke says who is who in the turn, and for want of better in the
// clip's other turns.
func TestAnchor(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	require.False(t, h.Sure)
	var far []float64
	for _, c := range b.truth {
		if c.Kind == contact.Racket && c.Who == contact.Far {
			far = append(far, c.Seconds)
		}
	}
	_, err := b.Proposed.TakeOver(ctx, b.turn.ID, proposed.Fix{})
	require.NoError(t, err)
	turn, err := b.Proposed.SetAnchor(ctx, b.clip, int(far[2]*50+.5))
	require.NoError(t, err)
	require.False(t, turn.Settled, "the strokes taken over were the partner's")
	require.Empty(t, b.ledger(t).Strokes)
	now := b.proposed(t)
	require.Equal(t, []any{"far", true}, []any{now.Player, now.Sure})
	f, _, _ := contact.Score(far, moments(now), .010)
	require.GreaterOrEqual(t, f, .95)
	_, err = b.Proposed.SetAnchor(ctx, b.clip, int(b.nearStrokes()[1]*50+.5))
	require.NoError(t, err)
	require.Equal(t, moments(h), moments(b.proposed(t)))
	_, err = b.Proposed.SetAnchor(ctx, b.clip, 0)
	requireProblem(t, err, "frame")
	_, err = b.Proposed.SetAnchor(ctx, b.clip, 1e6)
	requireProblem(t, err, "frame")
	// The other turns of the clip follow.
	_, err = b.Proposed.SetAnchor(ctx, b.clip, int(far[2]*50+.5))
	require.NoError(t, err)
	turn, err = b.Turns.Save(ctx, club.Turn{ID: b.turn.ID, ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.turn.DrillID, Last: b.turn.Last / 2})
	require.NoError(t, err)
	require.NotNil(t, turn.Anchor, "it lies in the turn still")
	_, err = b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.turn.DrillID, First: b.turn.Last/2 + 1, Last: b.turn.Last})
	require.NoError(t, err)
	all, err := b.Heard.Proposals(ctx, b.clip)
	require.NoError(t, err)
	require.Equal(t, []any{"far", true, "far", false}, []any{all[0].Player, all[0].Sure, all[1].Player, all[1].Sure})
}

func TestSensitivity(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	require.Equal(t, .5, h.Least)
	try, err := b.Heard.TryLeast(ctx, b.turn.ID, 1)
	require.NoError(t, err)
	require.LessOrEqual(t, len(try.Strokes), len(h.Strokes))
	require.Equal(t, h, b.proposed(t), "only tried")
	weak, err := b.Heard.TryLeast(ctx, b.turn.ID, .001)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(weak.Strokes), len(h.Strokes))
	_, err = b.Proposed.SetLeast(ctx, b.turn.ID, .001)
	require.NoError(t, err)
	require.Equal(t, weak, b.proposed(t))
	_, err = b.Proposed.SetLeast(ctx, b.turn.ID, 1.5)
	requireProblem(t, err, "heard_from")
}

// A turn that is not heard to its end proposes nothing.
func TestNothingIsProposedBeforeItIsHeard(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 5, Last: 70})
	require.NoError(t, err)
	all, err := b.Heard.Proposals(ctx, b.clip)
	require.NoError(t, err)
	require.Equal(t, []heard.Turn{{TurnID: turn.ID, Player: "near", Least: .5, Strokes: []proposal.Stroke{}}}, all)
	_, err = b.Proposed.TakeOver(ctx, turn.ID, proposed.Fix{})
	requireProblem(t, err, "")
}

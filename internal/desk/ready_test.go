package desk_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

// The moment of readiness belongs to the last stroke before it; the partner's next
// contact is taken from the sound.
func TestReadiness(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	h := b.proposed(t)
	var i int
	for h.Strokes[i].Answer == nil {
		i++
	}
	q := h.Strokes[i]
	answer := int(*q.Answer*50 + .5)
	_, err := b.Ready.SetReady(ctx, b.clip, 0)
	requireProblem(t, err, "frame")

	// On a proposal: the turn is taken over with it, in one step.
	s, err := b.Ready.SetReady(ctx, b.clip, answer+4)
	require.NoError(t, err)
	require.Equal(t, []any{q.Frame, answer + 4, q.Answer}, []any{s.Frame, s.Ready.Frame, s.Answer})
	require.Equal(t, club.ByMachine, s.Source, "its contact is still the machine's")
	require.Len(t, b.ledger(t).Strokes, len(h.Strokes))
	late, err := b.Ready.LateFault(ctx)
	require.NoError(t, err)
	require.Equal(t, "LATE", late.Code)
	m, err := b.Ready.MarkLate(ctx, s.ID, "")
	require.NoError(t, err)
	require.Equal(t, []any{late.ID, s.ID, club.ByMachine}, []any{m.FaultID, m.StrokeID, m.Source})
	require.InDelta(t, answer, m.Frame, 1, "where the player should have been ready")
	_, err = b.Ready.MarkLate(ctx, s.ID, "")
	requireProblem(t, err, "frame")
	for range 2 {
		_, err = b.Library.Undo(ctx)
		require.NoError(t, err)
	}
	require.Empty(t, b.ledger(t).Strokes)

	// On a stroke logged by hand, a picture off its contact.
	_, err = b.Strokes.Add(ctx, b.clip, q.Frame+1, club.Good)
	require.NoError(t, err)
	s, err = b.Ready.SetReady(ctx, b.clip, q.Frame+8)
	require.NoError(t, err)
	require.InDelta(t, *q.Answer, *s.Answer, 1e-9)
	require.Len(t, b.ledger(t).Strokes, 1)
	s, err = b.Ready.SetAnswer(ctx, b.clip, q.Frame+20)
	require.NoError(t, err)
	require.InDelta(t, float64(q.Frame+20)/50, *s.Answer, 1e-9, "the coach's word stands")
	s, err = b.Ready.SetReady(ctx, b.clip, q.Frame+9)
	require.NoError(t, err)
	require.InDelta(t, float64(q.Frame+20)/50, *s.Answer, 1e-9)
	moved, err := b.Strokes.Save(ctx, s.ID, q.Frame+10, "", club.Good)
	require.NoError(t, err)
	require.Nil(t, moved.Ready, "it was about another moment")
	require.NotNil(t, moved.Answer)
	moved, err = b.Strokes.Save(ctx, s.ID, q.Frame+20, "", club.Good)
	require.NoError(t, err)
	require.Nil(t, moved.Answer, "and so was this")
}

// Without sound the partner's contact is set by hand; the fault is asked for once
// where the team has none that is plainly meant.
func TestReadinessWithoutSound(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Ready.SetReady(ctx, b.clip, 10)
	requireProblem(t, err, "frame")
	_, err = b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 70})
	require.NoError(t, err)
	made, err := b.Strokes.Add(ctx, b.clip, 10, club.Good)
	require.NoError(t, err)
	s, err := b.Ready.SetReady(ctx, b.clip, 30)
	require.NoError(t, err)
	require.Nil(t, s.Answer)
	_, err = b.Ready.MarkLate(ctx, made.ID, "")
	requireProblem(t, err, "")
	s, err = b.Ready.SetAnswer(ctx, b.clip, 25)
	require.NoError(t, err)
	require.InDelta(t, 1, *s.Answer, 1e-9, "a01 has 25 frames a second (manifest)")

	late, err := b.Ready.LateFault(ctx)
	require.NoError(t, err)
	late.Retired = true
	_, err = b.Catalogue.SaveFault(ctx, late)
	require.NoError(t, err)
	none, err := b.Ready.LateFault(ctx)
	require.NoError(t, err)
	require.Empty(t, none.ID)
	slow, err := b.Catalogue.SaveFault(ctx, club.Fault{Code: "SLOW", Label: "Slow to the ready position", Phase: club.Recovery, Sides: club.BothSides, Weight: 2})
	require.NoError(t, err)
	m, err := b.Ready.MarkLate(ctx, s.ID, slow.ID)
	require.NoError(t, err)
	require.Equal(t, []any{slow.ID, 25}, []any{m.FaultID, m.Frame})
	picked, err := b.Ready.LateFault(ctx)
	require.NoError(t, err)
	require.Equal(t, slow.ID, picked.ID, "asked once")
}

// A mark is hung on another stroke of its turn, and has a sign drawn.
func TestMarksAreHungAndDrawn(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 50})
	require.NoError(t, err)
	var strokes []club.Stroke
	for _, frame := range []int{10, 30, 60} {
		s, err := b.Strokes.Add(ctx, b.clip, frame, club.Good)
		require.NoError(t, err)
		strokes = append(strokes, s)
	}
	m, err := b.Marks.Add(ctx, b.clip, 12, b.cat.Faults[0].ID)
	require.NoError(t, err)
	m, err = b.Marks.Hang(ctx, m.ID, strokes[1].ID)
	require.NoError(t, err)
	require.Equal(t, strokes[1].ID, b.ledger(t).Marks[0].StrokeID)
	_, err = b.Marks.Hang(ctx, m.ID, strokes[2].ID)
	requireProblem(t, err, "stroke")
	m, err = b.Marks.Hang(ctx, m.ID, "")
	require.NoError(t, err)
	require.Empty(t, m.StrokeID)

	sign := club.Sign{Kind: club.Arrow, X1: .1, Y1: .2, X2: .3, Y2: .4}
	_, err = b.Marks.DrawSign(ctx, m.ID, &sign)
	require.NoError(t, err)
	require.Equal(t, &sign, b.ledger(t).Marks[0].Sign)
	rows, err := b.Summary.MarkRows(ctx, []club.ID{m.ID})
	require.NoError(t, err)
	require.Equal(t, []picture.Point{{X: .1, Y: .2}, {X: .3, Y: .4}}, rows[0].Drawn[0].Places, "the list behind a number shows it too")
	_, err = b.Marks.DrawSign(ctx, m.ID, &club.Sign{Kind: club.Circle, X1: 2})
	requireProblem(t, err, "sign")
	_, err = b.Marks.Save(ctx, m.ID, m.FaultID, 13, "seen well here")
	require.NoError(t, err)
	require.Equal(t, &sign, b.ledger(t).Marks[0].Sign, "moving the mark keeps it")
	_, err = b.Marks.DrawSign(ctx, m.ID, nil)
	require.NoError(t, err)
	require.Nil(t, b.ledger(t).Marks[0].Sign)
}

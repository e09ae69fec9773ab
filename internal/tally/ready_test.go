package tally_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
)

// ready gives the i-th stroke of a turn a ready moment that long after the clip's
// start, and the partner's next contact.
func ready(r *club.TurnRecord, i int, back int64, answer float64) {
	r.Strokes[i].Ready = &club.Moment{Frame: int(back / 4), Ticks: back}
	r.Strokes[i].Answer = &answer
}

// By hand: margins of 0.2, -0.1, 0, -0.3 and 0.4 s. Quartiles as R's
// quantile(c(.2,-.1,0,-.3,.4)) gives them: -0.1, 0, 0.2.
func TestReadiness(t *testing.T) {
	c := catalogue()
	c.Faults[0].Phase = club.Recovery // LATE
	c.Faults[2].Phase = club.Footwork // NEAR
	one := turn("t1", "p1", "d1", "2026-03-02", 0, "gggg", at(195, "late"), at(300, "near"))
	ready(&one, 0, 150, 1.7)
	ready(&one, 1, 250, 2.4) // late, and marked
	ready(&one, 2, 350, 3.5) // on time is not late
	one.Strokes[3].Answer = new(float64)
	two := turn("t2", "p1", "d3", "2026-03-03", 100, "gg")
	two.Zero = 10 // the first picture of this clip is not at nought
	ready(&two, 0, 550, 5.1)
	ready(&two, 1, 650, 6.8)
	s := tally.Summarise(c, []club.TurnRecord{two, one}, "", "")
	p := s.Players[0]
	r := p.All.Readiness
	require.NotNil(t, r)
	assert.Equal(t, 5, r.Strokes)
	assert.InDelta(t, -.1, r.Lower, 1e-9)
	assert.InDelta(t, 0, r.Median, 1e-9)
	assert.InDelta(t, .2, r.Upper, 1e-9)
	assert.Equal(t, *share(2, 5, 2), r.Late)
	require.Len(t, r.LateStrokes, 2)
	assert.True(t, r.LateStrokes[0].Marked)
	late := r.LateStrokes[1]
	assert.InDelta(t, -.3, late.Margin, 1e-9)
	late.Margin = 0
	assert.Equal(t, group.Late{ClipID: "c1", TurnID: "t2", StrokeID: "t2-sa", Frame: 125, ReadyFrame: 137, ReadyTicks: 550}, late)

	// By method and drill.
	assert.Equal(t, *share(1, 3, 1), p.Methods[0].Readiness.Late)
	assert.Equal(t, *share(1, 2, 1), p.Drills[0].Readiness.Late)
	assert.InDelta(t, .05, p.Drills[0].Readiness.Median, 1e-9)
	assert.NotNil(t, s.Team.All.Readiness)

	// A mark of another phase does not speak of getting ready.
	one.Marks = []club.Mark{{ID: "m", FaultID: "near", Ticks: 195}}
	lates := tally.Summarise(c, []club.TurnRecord{one}, "", "").Players[0].All.Readiness.LateStrokes
	require.Len(t, lates, 1)
	assert.False(t, lates[0].Marked)
	none := tally.Summarise(c, []club.TurnRecord{turn("t1", "p1", "d1", "2026-03-02", 0, "gg")}, "", "")
	assert.Nil(t, none.Players[0].All.Readiness)
}

// By hand: a stroke a second is 60 a minute; four in 4.5 s are 40. Gaps of 1, 1
// and 2.5 s lie 1/3, 1/3 and 2/3 of their mean apart from it.
func TestTempo(t *testing.T) {
	even := turn("t1", "p1", "d1", "2026-03-02", 0, "ggg")
	uneven := turn("t2", "p1", "d1", "2026-03-02", 300, "gggg")
	uneven.Strokes[3].Ticks += 150
	s := tally.Summarise(catalogue(), []club.TurnRecord{even, uneven, turn("t3", "p1", "d1", "2026-03-02", 600, "g")}, "", "")
	tempo := s.Players[0].All.Tempo
	require.NotNil(t, tempo)
	assert.Equal(t, 2, tempo.Turns)
	assert.InDelta(t, 50, tempo.Median, 1e-9)
	assert.InDelta(t, 45, tempo.Lower, 1e-9)
	assert.InDelta(t, 55, tempo.Upper, 1e-9)
	assert.InDelta(t, .4714045, tempo.Spread, 1e-7) // sqrt((1/9+1/9+4/9) / (1+2))
}

package desk_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/pass"
	"strokeledger/internal/sentence"
)

// turnOf gives the bench a turn with strokes at those frames.
func (b *bench) turnOf(t *testing.T, first, last int, strokes ...int) (club.Turn, []club.Stroke) {
	t.Helper()
	turn, err := b.Turns.Save(t.Context(), club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: first, Last: last})
	require.NoError(t, err)
	var all []club.Stroke
	for _, frame := range strokes {
		s, err := b.Strokes.Add(t.Context(), b.clip, frame, club.Good)
		require.NoError(t, err)
		all = append(all, s)
	}
	return turn, all
}

func (b *bench) fault(t *testing.T, code string) club.Fault {
	t.Helper()
	for _, f := range b.cat.Faults {
		if f.Code == code {
			return f
		}
	}
	t.Fatalf("no fault %s", code)
	return club.Fault{}
}

// What a coach says of having looked is written once, undone in one step, and taken
// back by its own use case; what was only assumed of that coach gives way to it.
func TestLookThrough(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, _ := b.turnOf(t, 5, 40, 10)
	late, elbow := b.fault(t, "LATE"), b.fault(t, "ELBOW")
	some, err := b.Looks.Through(ctx, turn.ID, []club.ID{late.ID, elbow.ID})
	require.NoError(t, err)
	require.ElementsMatch(t, []club.ID{late.ID, elbow.ID}, some.Faults)
	require.Equal(t, []int{5, 40}, []int{some.First, some.Last})
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, "look through frames 5 to 40 for ELBOW, LATE", st.Undo)

	again, err := b.Looks.Through(ctx, turn.ID, []club.ID{late.ID})
	require.NoError(t, err)
	require.Equal(t, some, again, "said already")
	require.Len(t, b.ledger(t).Looks, 1)
	full, err := b.Looks.Through(ctx, turn.ID, nil)
	require.NoError(t, err)
	require.Len(t, full.Faults, len(b.cat.Faults))
	require.Len(t, b.ledger(t).Looks, 2)
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.Look{some}, b.ledger(t).Looks)

	n, err := b.Looks.TakeBack(ctx, turn.ID)
	require.NoError(t, err)
	require.Equal(t, 1, n)
	require.Empty(t, b.ledger(t).Looks)
	_, err = b.Looks.TakeBack(ctx, turn.ID)
	requireProblem(t, err, "")
	_, err = b.Looks.Through(ctx, "nothing", nil)
	require.Error(t, err)
}

// What was assumed of a coach from old marks gives way to what the coach says, fault by
// fault and only there: others' looks, other stretches and faults that are looked for no
// more stay as they are.
func TestLookThroughWhatWasAssumed(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, _ := b.turnOf(t, 5, 40, 10)
	late, elbow, close := b.fault(t, "LATE"), b.fault(t, "ELBOW"), b.fault(t, "CLOSE")
	close.Retired = true
	_, err := b.Catalogue.SaveFault(ctx, close)
	require.NoError(t, err)
	other, err := b.Catalogue.SaveCoach(ctx, club.Coach{Name: "Other"})
	require.NoError(t, err)
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	assumed := func(first, last int, coach club.ID) {
		require.NoError(t, b.PutLook(ctx, club.Look{ClipID: b.clip, CoachID: coach, First: first, Last: last, Faults: []club.ID{late.ID, elbow.ID, close.ID}, Assumed: true}))
	}
	assumed(5, 40, st.CoachID)
	assumed(0, 40, st.CoachID) // of a turn that was longer
	assumed(5, 40, other.ID)
	b.look(t, 5, 40, other.ID, late.ID)

	// by stretch, coach and whether it is assumed: the faults
	type look struct {
		first   int
		coach   club.ID
		assumed bool
	}
	looks := func() map[look][]club.ID {
		by := map[look][]club.ID{}
		for _, l := range b.ledger(t).Looks {
			by[look{l.First, l.CoachID, l.Assumed}] = l.Faults
		}
		return by
	}
	want := looks()
	_, err = b.Looks.Through(ctx, turn.ID, []club.ID{late.ID})
	require.NoError(t, err)
	want[look{5, st.CoachID, false}] = []club.ID{late.ID}
	want[look{5, st.CoachID, true}] = []club.ID{elbow.ID, close.ID}
	require.Equal(t, want, looks())
	full, err := b.Looks.Through(ctx, turn.ID, nil)
	require.NoError(t, err)
	require.NotContains(t, full.Faults, close.ID)
	require.Equal(t, []club.ID{close.ID}, looks()[look{5, st.CoachID, true}], "its marks still count")
	_, err = b.Looks.Through(ctx, turn.ID, []club.ID{close.ID})
	require.NoError(t, err)
	require.NotContains(t, looks(), look{5, st.CoachID, true})
}

// A look that reaches out of the turn, since turns were parted, is taken back in the turn
// alone.
func TestTakeBackLooksOfPartOfALook(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, _ := b.turnOf(t, 20, 40)
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	late := b.fault(t, "LATE").ID
	for _, look := range [][2]int{{0, 74}, {0, 30}, {30, 74}, {20, 40}, {25, 30}, {0, 19}, {41, 74}} {
		b.look(t, look[0], look[1], st.CoachID, late)
	}
	other, err := b.Catalogue.SaveCoach(ctx, club.Coach{Name: "Other"})
	require.NoError(t, err)
	b.look(t, 0, 74, other.ID, late)
	was := b.ledger(t).Looks
	n, err := b.Looks.TakeBack(ctx, turn.ID)
	require.NoError(t, err)
	require.Equal(t, 5, n)
	var left [][4]int64
	for _, l := range b.ledger(t).Looks {
		if l.CoachID == st.CoachID {
			left = append(left, [4]int64{int64(l.First), int64(l.Last), l.FirstTicks / 512, l.LastTicks / 512})
		}
	}
	require.ElementsMatch(t, [][4]int64{{0, 19, 0, 19}, {41, 74, 41, 74}, {0, 19, 0, 19}, {41, 74, 41, 74}, {0, 19, 0, 19}, {41, 74, 41, 74}}, left)
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, was, b.ledger(t).Looks)
}

// What a look is called in the list of what can be undone stays short.
func TestLabelOfALook(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, _ := b.turnOf(t, 5, 40)
	all := make([]club.ID, len(b.cat.Faults))
	for i, f := range b.cat.Faults {
		all[i] = f.ID
	}
	last := b.cat.Faults[len(all)-1].Code
	for label, faults := range map[string][]club.ID{
		" for every fault but " + last: all[:len(all)-1], " for 6 faults": all[:6], "": all,
		" for " + b.cat.Faults[0].Code + ", " + b.cat.Faults[1].Code: all[:2],
	} {
		_, err := b.Looks.Through(ctx, turn.ID, faults)
		require.NoError(t, err)
		st, err := b.Library.State(ctx)
		require.NoError(t, err)
		require.Equal(t, "look through frames 5 to 40"+label, st.Undo)
		_, err = b.Looks.TakeBack(ctx, turn.ID)
		require.NoError(t, err)
	}
}

// Whatever the page sends is answered with a plain sentence or does no harm.
func TestPassWithHostileInput(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, strokes := b.turnOf(t, 0, 40, 15)
	elbow := b.fault(t, "ELBOW")
	crowd := make([]club.ID, 200_000)
	for i := range crowd {
		crowd[i] = club.NewID()
	}
	before := b.ledger(t)
	for name, do := range map[string]func() error{
		"no turn":            func() error { _, err := b.Pass.Turn(ctx, "'; DROP TABLE turn", nil); return err },
		"no turn looked at":  func() error { _, err := b.Looks.Through(ctx, "", nil); return err },
		"no turn taken back": func() error { _, err := b.Looks.TakeBack(ctx, "x"); return err },
		"nothing looked for": func() error { _, err := b.Looks.Through(ctx, turn.ID, crowd); return err },
		"no stroke":          func() error { _, err := b.Pass.MarkStroke(ctx, "x", elbow.ID, -1); return err },
		"no fault":           func() error { _, err := b.Pass.MarkStroke(ctx, strokes[0].ID, "x", -1); return err },
		"a frame far away":   func() error { _, err := b.Pass.MarkStroke(ctx, strokes[0].ID, elbow.ID, math.MaxInt); return err },
		"no clip":            func() error { _, err := b.Pass.MarkPlayed(ctx, "x", 3, elbow.ID, 1, 0); return err },
		"played before it":   func() error { _, err := b.Pass.MarkPlayed(ctx, b.clip, -1, elbow.ID, 1, 0); return err },
		"played after it":    func() error { _, err := b.Pass.MarkPlayed(ctx, b.clip, math.MaxInt, elbow.ID, 1, 0); return err },
		"no rate":            func() error { _, err := b.Pass.MarkPlayed(ctx, b.clip, 3, elbow.ID, math.NaN(), 0); return err },
		"stood backwards":    func() error { _, err := b.Pass.MarkPlayed(ctx, b.clip, 3, elbow.ID, 1, -1); return err },
		"backwards":          func() error { _, err := b.Pass.MarkPlayed(ctx, b.clip, 3, elbow.ID, -1, 0); return err },
		"no fault played":    func() error { _, err := b.Pass.MarkPlayed(ctx, b.clip, 3, "x", 1, 0); return err },
		"wish of no length":  func() error { return b.Pass.SetSettings(ctx, pass.Settings{Rate: 1, Loops: 1}) },
		"wish that is none": func() error {
			return b.Pass.SetSettings(ctx, pass.Settings{Before: math.NaN(), After: 1, Rate: 1, Loops: 1})
		},
		"wish of no speed": func() error {
			return b.Pass.SetSettings(ctx, pass.Settings{Before: 1, After: 1, Rate: math.Inf(1), Loops: 1})
		},
		"wish of endless loops": func() error {
			return b.Pass.SetSettings(ctx, pass.Settings{Before: 1, After: 1, Rate: 1, Loops: 1 << 40})
		},
	} {
		err := do()
		require.Error(t, err, name)
		requireSentence(t, sentence.Of(err))
	}
	require.Equal(t, before, b.ledger(t))
	p, err := b.Pass.Turn(ctx, turn.ID, crowd)
	require.NoError(t, err)
	require.False(t, p.Looked)
	require.NoError(t, b.Pass.SetSettings(ctx, pass.Settings{Before: 1, After: 1, Rate: 1, Loops: 1, Focus: append(crowd, elbow.ID)}))
	w, err := b.Pass.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.ID{elbow.ID}, w.Focus)
	turns, err := b.Pass.TurnIDs(ctx, pass.TurnsAsked{Marks: crowd})
	require.NoError(t, err)
	require.Empty(t, turns)
}

// A pass shows each stroke with a stretch round its contact, in order and in the
// turn, and marks the stroke that it is told, wherever the fault's phase lies.
func TestPassOverATurn(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, strokes := b.turnOf(t, 0, 74, 15, 40, 65) // 25 pictures a second: a second apart
	p, err := b.Pass.Turn(ctx, turn.ID, nil)
	require.NoError(t, err)
	require.Len(t, p.Strokes, 3)
	require.False(t, p.Looked)
	require.InDelta(t, club.UsualReaction, p.Reaction, 1e-9)
	for i, s := range p.Strokes {
		require.Equal(t, strokes[i].ID, s.ID)
		require.Equal(t, []int{max(0, s.Frame-10), min(74, s.Frame+15)}, []int{s.From, s.To}, "0.4 s before and 0.6 s after")
		require.Len(t, s.Earliest, len(club.Phases()))
		for k := range s.Earliest {
			require.LessOrEqual(t, s.Earliest[k], s.Latest[k])
		}
		require.Equal(t, club.Forehand, s.Side, "as the drill's pattern says")
		require.Empty(t, s.Suggestions)
	}

	for code, frame := range map[string]int{"ELBOW": 40, "LATE": 51, "UPRIGHT": 30, "CLOSE": 34, "BIGBACK": 35, "STOP": 43} {
		m, err := b.Pass.MarkStroke(ctx, strokes[1].ID, b.fault(t, code).ID, -1)
		require.NoError(t, err)
		require.Equal(t, frame, m.Frame, code)
		require.Equal(t, strokes[1].ID, m.StrokeID)
	}
	held, err := b.Pass.MarkStroke(ctx, strokes[1].ID, b.fault(t, "ELBOW").ID, 20)
	require.NoError(t, err)
	require.Equal(t, 20, held.Frame)
	led, err := b.Marks.Ledger(ctx, b.clip)
	require.NoError(t, err)
	require.Len(t, led.HangsOn, 7)
	for _, on := range led.HangsOn {
		require.Equal(t, strokes[1].ID, on)
	}
	_, err = b.Pass.MarkStroke(ctx, strokes[1].ID, b.fault(t, "WRIST").ID, -1)
	requireProblem(t, err, "fault") // of backhands only
	_, err = b.Pass.MarkStroke(ctx, strokes[1].ID, b.fault(t, "ELBOW").ID, 75)
	require.Error(t, err)

	_, err = b.Looks.Through(ctx, turn.ID, nil)
	require.NoError(t, err)
	p, err = b.Pass.Turn(ctx, turn.ID, []club.ID{b.fault(t, "LATE").ID})
	require.NoError(t, err)
	require.True(t, p.Looked)
}

// A late return to ready is offered where it was looked for, and counts only when
// it is taken over.
func TestPassSuggestsWhatIsLate(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, _ := b.turnOf(t, 0, 74, 15, 55)
	_, err := b.Ready.SetReady(ctx, b.clip, 60) // in time
	require.NoError(t, err)
	_, err = b.Ready.SetAnswer(ctx, b.clip, 65)
	require.NoError(t, err)
	_, err = b.Ready.SetReady(ctx, b.clip, 40)
	require.NoError(t, err)
	_, err = b.Ready.SetAnswer(ctx, b.clip, 35)
	require.NoError(t, err)
	late := b.fault(t, "LATE")
	p, err := b.Pass.Turn(ctx, turn.ID, nil)
	require.NoError(t, err)
	require.Equal(t, []pass.Suggestion{{FaultID: late.ID, Say: "0.20 s late"}}, p.Strokes[0].Suggestions)
	require.Empty(t, p.Strokes[1].Suggestions, "ready before the partner's contact")
	require.Equal(t, 37, p.Strokes[0].To, "a tenth of a second after the partner's contact")
	p, err = b.Pass.Turn(ctx, turn.ID, []club.ID{b.fault(t, "ELBOW").ID})
	require.NoError(t, err)
	require.Empty(t, p.Strokes[0].Suggestions)
	m, err := b.Pass.MarkStroke(ctx, p.Strokes[0].ID, late.ID, -1)
	require.NoError(t, err)
	require.Equal(t, 35, m.Frame, "where the partner strikes")
}

// A key that is pressed while the clip plays is late: its mark goes to the stroke
// that was seen, at about the moment at which it was, and says which other may have
// been meant.
func TestMarkPlayed(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, strokes := b.turnOf(t, 0, 74, 15, 40, 65)
	elbow := b.fault(t, "ELBOW")
	for name, c := range map[string]struct {
		at    int
		rate  float64
		frame int
		other int
	}{
		"half a second late":         {52, 1, 40, -1},
		"at once":                    {41, 1, 40, 0},
		"slow motion, as late again": {43, 0.25, 40, -1},
	} {
		p, err := b.Pass.MarkPlayed(ctx, b.clip, c.at, elbow.ID, c.rate, 0)
		require.NoError(t, err, name)
		require.Equal(t, c.frame, p.Mark.Frame, name)
		led, err := b.Marks.Ledger(ctx, b.clip)
		require.NoError(t, err)
		require.Equal(t, strokes[1].ID, led.HangsOn[p.Mark.ID], name)
		if c.other < 0 {
			require.Empty(t, p.Other, name)
		} else {
			require.Equal(t, strokes[c.other].ID, p.Other, name)
		}
		require.NoError(t, b.Marks.Remove(ctx, p.Mark.ID))
	}
	// As long a reaction is fewer pictures in slow motion.
	for rate, frame := range map[float64]int{1: 28, 0.25: 33} {
		p, err := b.Pass.MarkPlayed(ctx, b.clip, 35, b.fault(t, "CLOSE").ID, rate, 0)
		require.NoError(t, err)
		require.InDelta(t, frame, p.Mark.Frame, 1, "%v", rate)
		require.NoError(t, b.Marks.Remove(ctx, p.Mark.ID))
	}
	// A picture that had stood for that long is the one that was seen.
	for still, frame := range map[float64]int{.3: 32, 10: 35} {
		p, err := b.Pass.MarkPlayed(ctx, b.clip, 35, b.fault(t, "CLOSE").ID, 1, still)
		require.NoError(t, err)
		require.InDelta(t, frame, p.Mark.Frame, 1, "%v", still)
		require.NoError(t, b.Marks.Remove(ctx, p.Mark.ID))
	}
	// The coach's own reaction counts.
	coach := b.cat.Coaches[0]
	coach.Reaction = 1
	_, err := b.Catalogue.SaveCoach(ctx, coach)
	require.NoError(t, err)
	p, err := b.Pass.MarkPlayed(ctx, b.clip, 20, b.fault(t, "CLOSE").ID, 1, 0)
	require.NoError(t, err)
	require.Zero(t, p.Mark.Frame, "a second before")
	_, err = b.Pass.MarkPlayed(ctx, b.clip, 75, elbow.ID, 1, 0)
	requireProblem(t, err, "frame")
}

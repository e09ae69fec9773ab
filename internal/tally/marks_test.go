package tally

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/timecode"
)

// The marks behind a number are picked by fault and by the side of the stroke on
// which they hang, whether that is said or follows from the drill's pattern, and
// a mark that repeats another is one of them.
func TestMarksByFaultAndSide(t *testing.T) {
	c := club.Catalogue{
		Players: []club.Player{{ID: "p", Name: "Ada"}},
		Drills:  []club.Drill{{ID: "plain", Method: club.Free, Streak: 10}, {ID: "fb", Method: club.Regular, Pattern: "FB", Streak: 10}},
		Faults:  []club.Fault{{ID: "late", Phase: club.Recovery, Sides: club.BothSides}, {ID: "wrist", Phase: club.ContactPhase, Sides: club.BothSides}},
	}
	k := NewCounter(c, Options{})
	mark := func(id, fault club.ID, at int) club.Mark {
		return club.Mark{ID: id, FaultID: fault, Frame: at, Ticks: int64(at)}
	}
	stroke := func(at int, side club.Side) club.Stroke {
		return club.Stroke{Frame: at, Ticks: int64(at), Side: side, Outcome: club.Good}
	}
	looks := []club.Look{{Last: 99, LastTicks: 99, Faults: []club.ID{"late", "wrist"}}}
	k.Add(&club.TurnRecord{Looks: looks, Date: "2026-01-01", Base: timecode.Base{Num: 1, Den: 25}, Turn: club.Turn{ID: "a", PlayerID: "p", DrillID: "plain", Last: 99},
		Strokes: []club.Stroke{stroke(10, club.Forehand), stroke(30, club.Backhand), stroke(50, "")},
		Marks:   []club.Mark{mark("1", "late", 11), mark("2", "wrist", 12), mark("3", "late", 31), mark("4", "late", 32), mark("5", "late", 51)}})
	k.Add(&club.TurnRecord{Looks: looks, Date: "2026-01-02", Base: timecode.Base{Num: 1, Den: 25}, Turn: club.Turn{ID: "b", PlayerID: "p", DrillID: "fb", Last: 99},
		Strokes: []club.Stroke{stroke(10, ""), stroke(30, "")}, Marks: []club.Mark{mark("6", "late", 31)}})
	k.Add(&club.TurnRecord{Looks: looks, Date: "2026-01-03", Base: timecode.Base{Num: 1, Den: 25}, Turn: club.Turn{ID: "c", PlayerID: "p", DrillID: "plain", Last: 99}, Marks: []club.Mark{mark("7", "late", 31)}})
	for side, want := range map[club.Side][]club.ID{club.Forehand: {"1"}, club.Backhand: {"3", "4", "6"}, "": {"5", "7"}} {
		require.Equal(t, want, k.Marks(func(f club.Fault, on club.Side) bool { return f.ID == "late" && on == side }), side)
	}
	all := k.Marks(func(f club.Fault, _ club.Side) bool { return f.ID == "late" })
	require.Equal(t, k.Summary().Team.All.Faults[0].MarkIDs, all, "as the summary lists them")
	require.Len(t, all, 6)
}

package club

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/timecode"
)

func TestLookRules(t *testing.T) {
	good := Look{First: 3, Last: 9, Faults: []ID{"a", "b"}}
	for name, c := range map[string]struct {
		change func(*Look)
		field  string
	}{
		"good":            {func(*Look) {}, "-"},
		"one frame":       {func(l *Look) { l.Last = 3 }, "-"},
		"backwards":       {func(l *Look) { l.Last = 2 }, "first"},
		"before the clip": {func(l *Look) { l.First = -1 }, "first"},
		"for nothing":     {func(l *Look) { l.Faults = nil }, "faults"},
		"twice the same":  {func(l *Look) { l.Faults = []ID{"a", "b", "a"} }, "faults"},
		"no fault":        {func(l *Look) { l.Faults = []ID{""} }, "faults"},
	} {
		l := good
		c.change(&l)
		requireProblem(t, c.field, l.Check(), name)
	}
}

// What was looked at, against asking picture by picture.
func TestLookedAtAgainstEveryPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := TurnRecord{Base: timecode.Base{Num: 1, Den: 1000}, Picture: 0.02}
		r.First = rapid.IntRange(0, 20).Draw(t, "first")
		r.Last = r.First + rapid.IntRange(0, 40).Draw(t, "length")
		r.FirstTicks, r.LastTicks = int64(r.First)*20, int64(r.Last)*20
		for range rapid.IntRange(0, 4).Draw(t, "looks") {
			first := rapid.IntRange(0, 60).Draw(t, "from")
			last := first + rapid.IntRange(0, 40).Draw(t, "for")
			l := Look{First: first, Last: last, FirstTicks: int64(first) * 20, LastTicks: int64(last) * 20}
			for _, f := range []ID{"a", "b"} {
				if rapid.Bool().Draw(t, string(f)) {
					l.Faults = append(l.Faults, f)
				}
			}
			r.Looks = append(r.Looks, l)
		}
		for _, f := range []ID{"a", "b"} {
			pictures := 0
			seen := func(n int) bool {
				for _, l := range r.Looks {
					for _, own := range l.Faults {
						if own == f && l.First <= n && n <= l.Last {
							return true
						}
					}
				}
				return false
			}
			for n := r.First; n <= r.Last; n++ {
				require.Equal(t, seen(n), r.LookedAt(f, n))
				if seen(n) {
					pictures++
				}
			}
			require.InDelta(t, float64(pictures)*0.02, r.LookedSeconds(f), 1e-9)
		}
	})
}

func TestAssumedLooks(t *testing.T) {
	at := func(n int) time.Time { return time.Unix(int64(n), 0) }
	turns := []Turn{{ID: "t", ClipID: "c", First: 0, Last: 9, LastTicks: 90}, {ID: "u", ClipID: "c", First: 20, Last: 29, FirstTicks: 200, LastTicks: 290}, {ID: "v", ClipID: "d", First: 0, Last: 9}}
	marks := []Mark{
		{ClipID: "c", Frame: 3, CoachID: "k", Made: at(5)}, {ClipID: "c", Frame: 4, CoachID: "l", Made: at(2)}, {ClipID: "c", Frame: 9, CoachID: "k", Made: at(3)},
		{ClipID: "c", Frame: 15, CoachID: "k", Made: at(9)}, {ClipID: "d", Frame: 20, CoachID: "k", Made: at(9)},
	}
	n := 0
	looks := AssumedLooks(turns, marks, []ID{"a", "b"}, func() ID { n++; return ID(fmt.Sprint(n)) })
	require.Equal(t, []Look{
		{ID: "1", ClipID: "c", CoachID: "k", Last: 9, LastTicks: 90, Faults: []ID{"a", "b"}, Made: at(5), Assumed: true},
		{ID: "2", ClipID: "c", CoachID: "l", Last: 9, LastTicks: 90, Faults: []ID{"a", "b"}, Made: at(2), Assumed: true},
	}, looks, "turns without marks, and marks outside of turns, say nothing")
	require.Empty(t, AssumedLooks(turns, marks, nil, nil))
}

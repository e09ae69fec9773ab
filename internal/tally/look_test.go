package tally_test

import (
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// unseen is the turn without any look.
func unseen(r club.TurnRecord) club.TurnRecord {
	r.Looks = nil
	return r
}

// Only what somebody has looked at for a fault counts in its rate; what is left out
// is told, for the sheet and for each fault.
func TestOnlyWhatWasLookedAtCounts(t *testing.T) {
	nobody := unseen(turn("t1", "p1", "d1", "2026-03-02", 0, "gggg", at(100, "near")))
	one := looked(unseen(turn("t2", "p1", "d1", "2026-03-02", 300, "ggggg", at(100, "near"), at(200, "late"))), "kim", "near")
	both := looked(turn("t3", "p1", "d1", "2026-03-02", 600, "ggg", at(100, "late"), at(101, "late")), "lee", "late")
	unlogged := looked(unseen(turn("t4", "p1", "d1", "2026-03-02", 900, "", at(100, "near"), at(200, "late"))), "kim", "late")
	half := unseen(turn("t5", "p1", "d1", "2026-03-02", 1200, "ggggg", at(100, "near"), at(500, "near")))
	half.Looks = []club.Look{{CoachID: "kim", First: 1200, Last: 1200 + 60, Faults: []club.ID{"near"}, Assumed: true}} // two strokes of five, at frames 25 and 50
	s := tally.Summarise(catalogue(), []club.TurnRecord{nobody, one, both, unlogged, half}, "", "")

	g := s.Players[0].All
	assert.Equal(t, group.Looked{Turns: 1, Strokes: 3, SomeTurns: 3, SomeStrokes: 10, NoTurns: 1, NoStrokes: 4, TwiceTurns: 1, AssumedTurns: 1}, counts(g.Looked))
	assert.Equal(t, 17, g.Strokes, "streaks and strokes need no look")

	near := line(t, g, "NEAR")
	assert.Equal(t, share(2, 5+3+2, 3), near.PerStroke)
	assert.Nil(t, near.PerMinute, "nobody has looked for it in the turn without strokes")
	assert.Equal(t, []int{5, 3, 3, 7}, []int{near.Marks, near.Unlooked, near.UnlookedTurns, near.UnlookedStrokes})

	late := line(t, g, "LATE")
	assert.Equal(t, share(1, 3, 1), late.PerStroke, "twice on one stroke counts once")
	assert.Equal(t, pace(1, 10.0/60, 1), late.PerMinute)
	assert.Equal(t, []int{4, 1, 3, 14}, []int{late.Marks, late.Unlooked, late.UnlookedTurns, late.UnlookedStrokes})

	day := s.Players[0].Sessions[0]
	i := slices.IndexFunc(day.Faults, func(f tally.SessionFault) bool { return f.FaultID == "late" })
	assert.Equal(t, share(1, 3, 1), day.Faults[i].PerStroke)
	assert.Equal(t, 17, day.Strokes)

	all := unseen(turn("t6", "p1", "d1", "2026-03-02", 0, "gggg"))
	s = tally.Summarise(catalogue(), []club.TurnRecord{all}, "", "")
	assert.Equal(t, group.Looked{NoTurns: 1, NoStrokes: 4}, counts(s.Team.All.Looked))
	assert.Nil(t, line(t, s.Team.All, "LATE").PerStroke, "without a mark and without a look nobody knows anything")
}

// A turn is told as taken from old marks only as long as that holds for a fault in use;
// lists that share their memory are different lists; and a look for nothing, which a
// damaged ledger may hold, counts for nothing.
func TestWhatIsOnlyAssumedIsTold(t *testing.T) {
	old := unseen(turn("t1", "p1", "d1", "2026-03-02", 0, "ggg"))
	look := func(assumed bool, faults ...club.ID) club.Look {
		return club.Look{CoachID: "kim", First: old.First, Last: old.Last, LastTicks: old.LastTicks, Faults: faults, Assumed: assumed}
	}
	all := []club.ID{"late", "elbow", "near", "old"}
	for name, c := range map[string]struct {
		looks []club.Look
		want  group.Looked
	}{
		"old marks":        {[]club.Look{look(true, all...)}, group.Looked{Turns: 1, Strokes: 3, AssumedTurns: 1}},
		"some faults anew": {[]club.Look{look(true, all...), look(false, "late")}, group.Looked{Turns: 1, Strokes: 3, AssumedTurns: 1}},
		"all anew":         {[]club.Look{look(true, all...), look(false, all...)}, group.Looked{Turns: 1, Strokes: 3}},
		"all in use anew":  {[]club.Look{look(true, "old"), look(false, all[:3]...)}, group.Looked{Turns: 1, Strokes: 3}},
		"for nothing":      {[]club.Look{look(false)}, group.Looked{SomeTurns: 1, SomeStrokes: 3}},
	} {
		r := old
		r.Looks = c.looks
		got := tally.Summarise(catalogue(), []club.TurnRecord{r}, "", "").Team.All.Looked
		assert.Equal(t, c.want, counts(got), name)
	}
	some, more := old, turn("t2", "p1", "d1", "2026-03-02", 300, "ggg")
	some.Looks = []club.Look{look(false, all[:2]...)}
	more.Looks = []club.Look{{CoachID: "kim", First: 300, Last: more.Last, Faults: all[:3]}}
	g := tally.Summarise(catalogue(), []club.TurnRecord{some, more}, "", "").Team.All
	assert.Equal(t, []int{3, 6}, []int{line(t, g, "NEAR").PerStroke.N, line(t, g, "LATE").PerStroke.N})
}

// No advice rests on strokes that nobody has looked at.
func TestStrokesThatNobodyLookedAtDoNotHold(t *testing.T) {
	c := ladderClub()
	c.Drills = c.Drills[:6]
	turns := joined(
		several(10, "t1", "p1", "irr1", "2026-03-02", 60, nil), several(10, "t2", "p1", "reg1", "2026-03-02", 60, nil),
		// How far turns differ is known from somebody with faults.
		several(40, "t3", "p2", "reg1", "2026-03-02", 60, map[club.ID]int{"late": 24, "elbow": 24, "near": 24}),
	)
	holds := func() bool {
		for _, p := range tally.Summarise(c, turns, "", "").Players {
			if p.PlayerID == "p1" {
				return p.WorkOn.Holds
			}
		}
		return false
	}
	require.True(t, holds())
	for i := range 10 {
		turns[i] = unseen(turns[i])
	}
	require.False(t, holds())
}

// counts is l without its words.
func counts(l group.Looked) group.Looked {
	l.Say, l.Left = "", ""
	return l
}

// plain leaves out of a summary who looked and how often.
func plain(s tally.Summary) tally.Summary {
	for _, sheet := range append([]*tally.Sheet{&s.Team}, pointers(s.Players)...) {
		sheet.All.Looked = group.Looked{}
		for i := range sheet.Methods {
			sheet.Methods[i].Looked = group.Looked{}
		}
		for i := range sheet.Drills {
			sheet.Drills[i].Looked = group.Looked{}
		}
	}
	return s
}

func pointers(sheets []tally.Sheet) (all []*tally.Sheet) {
	for i := range sheets {
		all = append(all, &sheets[i])
	}
	return all
}

// Looks count in any order; one that is made twice, or parted in two that meet, says
// nothing more; and no look changes what needs none.
func TestLooksInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turns := someTurns().Draw(t, "all")
		want := tally.Summarise(catalogue(), turns, "", "")
		other := slices.Clone(turns)
		for i := range other {
			looks := rapid.Permutation(turns[i].Looks).Draw(t, "order")
			for n, l := range looks {
				if rapid.Bool().Draw(t, "twice") {
					looks = append(looks, l)
				}
				if cut := rapid.IntRange(l.First, l.Last).Draw(t, "cut"); len(turns[i].Strokes) > 0 && cut < l.Last {
					rest := l
					looks[n].Last, rest.First = cut, cut+1
					looks = append(looks, rest)
				}
			}
			other[i].Looks = looks
		}
		if got := tally.Summarise(catalogue(), other, "", ""); !reflect.DeepEqual(plain(want), plain(got)) {
			t.Fatalf("the order of looks changed the summary:\n%+v\n%+v", want, got)
		}
		for i := range other {
			other[i].Looks = nil
		}
		none := tally.Summarise(catalogue(), other, "", "").Team.All
		if none.Streak != want.Team.All.Streak || none.Strokes != want.Team.All.Strokes || none.Looked.NoTurns != len(turns) {
			t.Fatalf("without looks: %+v", none)
		}
		for _, l := range none.Faults {
			if l.PerStroke != nil || l.PerMinute != nil || l.Marks != l.Unplaced+l.Unlooked+repeats(l, want.Team.All) {
				t.Fatalf("without looks: %+v", l)
			}
		}
	})
}

// repeats is how many marks of a fault repeat another on its stroke.
func repeats(l group.FaultLine, all group.Group) int {
	i := slices.IndexFunc(all.Faults, func(o group.FaultLine) bool { return o.FaultID == l.FaultID })
	o, x := all.Faults[i], 0
	if o.PerStroke != nil {
		x += o.PerStroke.X
	}
	if o.PerMinute != nil {
		x += o.PerMinute.X
	}
	return o.Marks - o.Unplaced - o.Unlooked - x
}

// Two turns of one player at one drill that are joined have as many strokes that were
// looked at as before, and as many faults on them.
func TestJoinedTurnsCountAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var parts []club.TurnRecord
		for i, id := range []club.ID{"t1", "t2"} {
			r := turn(id, "p1", "d3", "2026-03-02", 400*i, rapid.StringOfN(rapid.SampledFrom([]rune("gm")), 1, 9, -1).Draw(t, "strokes"))
			r.Looks = nil
			for _, s := range r.Strokes {
				if rapid.Bool().Draw(t, "mark") {
					r.Marks = append(r.Marks, club.Mark{ID: "m" + s.ID, FaultID: rapid.SampledFrom([]club.ID{"late", "near"}).Draw(t, "fault"), Frame: s.Frame, Ticks: s.Ticks})
				}
			}
			for range rapid.IntRange(0, 2).Draw(t, "looks") {
				l := looked(r, "kim", rapid.SampledFrom([][]club.ID{{"late"}, {"near"}, {"late", "near"}}).Draw(t, "for")...).Looks[len(r.Looks)]
				l.Last -= rapid.IntRange(0, 250).Draw(t, "less")
				r.Looks = append(r.Looks, l)
			}
			parts = append(parts, r)
		}
		whole := parts[0]
		whole.Last, whole.LastTicks = parts[1].Last, parts[1].LastTicks
		whole.Strokes = slices.Concat(parts[0].Strokes, parts[1].Strokes)
		whole.Marks = slices.Concat(parts[0].Marks, parts[1].Marks)
		whole.Looks = slices.Concat(parts[0].Looks, parts[1].Looks)
		was, is := tally.Summarise(catalogue(), parts, "", "").Team.All, tally.Summarise(catalogue(), []club.TurnRecord{whole}, "", "").Team.All
		for _, code := range []string{"LATE", "NEAR"} {
			a, b := line(t, was, code), line(t, is, code)
			count := func(s *rate.Share) [2]int {
				if s == nil {
					return [2]int{}
				}
				return [2]int{s.X, s.N}
			}
			if count(a.PerStroke) != count(b.PerStroke) || a.UnlookedStrokes != b.UnlookedStrokes || a.Unlooked != b.Unlooked {
				t.Fatalf("%s: %+v, joined %+v", code, a, b)
			}
		}
	})
}

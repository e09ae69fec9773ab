package meaning_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally/meaning"
)

func on(day int) time.Time { return time.Date(2026, 3, day, 12, 0, 0, 0, time.UTC) }

// A sheet says that it lies over a change exactly where it does.
func TestSaid(t *testing.T) {
	marks := func(days ...int) (all []time.Time) {
		for _, d := range days {
			all = append(all, on(d))
		}
		return all
	}
	other, unknown := meaning.Change{At: on(10), Other: true}, meaning.Change{At: on(20)}
	for _, c := range []struct {
		why     string
		changes []meaning.Change
		marks   []time.Time
		first   string
		say     string
	}{
		{"no change", nil, marks(1, 30), "2026-03-01", ""},
		{"no mark", []meaning.Change{other}, nil, "2026-03-01", ""},
		{"all since", []meaning.Change{other}, marks(11, 12), "2026-03-11", ""},
		{"at the moment of the change", []meaning.Change{other}, marks(10), "2026-03-10", ""},
		{"some before", []meaning.Change{other}, marks(8, 9, 12), "2026-03-01", "E was defined on 10 March 2026: 2 of its 3 marks here are from before and mean something else: only marks since then compare."},
		{"one before", []meaning.Change{other}, marks(9, 12), "2026-03-01", "E was defined on 10 March 2026: 1 of its 2 marks here is from before and means something else: only marks since then compare."},
		{"all before", []meaning.Change{other}, marks(8, 9), "2026-03-01", "E was defined on 10 March 2026: all 2 marks of it here are from before and mean something else: only marks since then compare."},
		{"the only one before", []meaning.Change{unknown}, marks(8), "2026-03-01", "E was defined on 20 March 2026: its one mark here is from before and may mean something else, which nobody can say: only marks since then are sure to compare."},
		{"none before, but days", []meaning.Change{other}, marks(12), "2026-03-01", "E was defined on 10 March 2026, between the first and the last of these days: what was not marked before may be marked since."},
		{"two changes", []meaning.Change{other, unknown}, marks(8, 12, 25), "2026-03-01", "E was defined on 10 March 2026: 1 of its 3 marks here is from before and means something else: only marks since then compare. E was defined on 20 March 2026: 1 of its 3 marks here is from before and may mean something else, which nobody can say: only marks since then are sure to compare."},
		{"what is unsure does not matter before another meaning", []meaning.Change{{At: on(5)}, other}, marks(3, 12), "2026-03-01", "E was defined on 10 March 2026: 1 of its 2 marks here is from before and means something else: only marks since then compare."},
	} {
		said := meaning.Fault{Code: "E", Changes: c.changes, Marks: c.marks, First: c.first, Last: "2026-03-30"}.Said()
		require.Equal(t, c.say, said.Coach, c.why)
		require.Equal(t, c.say == "", said.Family == "", c.why)
		require.NotContains(t, said.Family, "E ", "codes mean nothing to a family")
	}
	require.Equal(t, "The coaches changed what counts as this on 10 March 2026: what was seen before meant something else.",
		meaning.Fault{Code: "E", Changes: []meaning.Change{other, unknown}, Marks: marks(8, 12, 25)}.Said().Family, "what says most, alone")
	require.Equal(t, "The coaches changed what counts as this on 20 March 2026: what was seen before may have meant something else.",
		meaning.Fault{Code: "E", Changes: []meaning.Change{unknown}, Marks: marks(8)}.Said().Family)
}

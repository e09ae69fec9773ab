package club

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// Rules that the page works out as well, since it shows strokes that are not stored yet:
// both are held against the same file (turns.test.ts reads it too).
func TestRulesThatThePageHasToo(t *testing.T) {
	var rules struct {
		Patterns []struct {
			Pattern Pattern
			Place   int
			Side    Side
		}
		Streaks []struct {
			Outcomes         []Outcome
			Longest, Current int
		}
		Faults []struct {
			Sides  Sides
			Side   Side
			Counts bool
		}
	}
	data, err := os.ReadFile("testdata/rules.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &rules))
	require.NotEmpty(t, rules.Patterns)
	require.NotEmpty(t, rules.Streaks)
	require.NotEmpty(t, rules.Faults)
	for _, r := range rules.Patterns {
		require.Equal(t, r.Side, r.Pattern.Side(r.Place), "%+v", r)
	}
	for _, r := range rules.Streaks {
		var turn TurnRecord
		for _, o := range r.Outcomes {
			turn.Strokes = append(turn.Strokes, Stroke{Outcome: o})
		}
		longest, current := turn.Streak()
		require.Equal(t, [2]int{r.Longest, r.Current}, [2]int{longest, current}, "%+v", r)
	}
	for _, r := range rules.Faults {
		require.Equal(t, r.Counts, r.Sides.Could(r.Side), "%+v", r)
	}
}

package store

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// No reading goes through a whole table that grows with the filming, and none
// asks once a row: this is what SQLite means to do for each query.
func TestPlans(t *testing.T) {
	l := filled(t)
	one := []club.ID{"x"}
	filters := map[string]Filter{
		"player":         {Players: one},
		"drill":          {Drills: one},
		"both":           {Players: one, Drills: one},
		"player, period": {Players: one, From: "2026-01-01", To: "2026-12-31"},
		"period":         {From: "2026-01-01"},
	}
	for name, f := range filters {
		for _, e := range []struct{ columns, join string }{
			{"t.id", ""},
			{"e.id", " CROSS JOIN stroke e ON e.clip_id = t.clip_id AND e.gone = 0 AND e.frame BETWEEN t.first AND t.last"},
			{"e.id", " CROSS JOIN mark e ON e.clip_id = t.clip_id AND e.gone = 0 AND e.frame BETWEEN t.first AND t.last"},
		} {
			query, args := f.query(e.columns, e.join)
			plan := planOf(t, l, query, args...)
			for _, step := range plan {
				if name == "period" && strings.HasPrefix(step, "SCAN d") {
					continue // all training dates, a few hundred in a club's life
				}
				if strings.HasPrefix(step, "SCAN") {
					require.Contains(t, step, "json_each", "%s: %v", name, plan)
				}
			}
			if e.join != "" {
				require.Contains(t, strings.Join(plan, "\n"), "_by_clip (clip_id=? AND frame>? AND frame<?)", "%s: %v", name, plan)
			}
		}
	}
	// What is packed: by index alone, and no sorting.
	query, args := Filter{clips: one}.query(concatenated("stroke", strokeText, inTurn)+", "+concatenated("mark", markText, inTurn)+", "+concatenated("look", lookText, lookOver), "")
	packing := strings.Join(planOf(t, l, query, args...), "\n")
	require.Equal(t, 2, strings.Count(packing, "_by_clip (clip_id=? AND frame>? AND frame<?)"), packing)
	require.Contains(t, packing, "look_by_clip (clip_id=? AND first<?)")
	require.NotContains(t, packing, "B-TREE")
	// The whole club: the turns once, and the index of strokes for each.
	query, args = Filter{}.query("e.id", " CROSS JOIN stroke e ON e.clip_id = t.clip_id AND e.gone = 0 AND e.frame BETWEEN t.first AND t.last")
	plan := strings.Join(planOf(t, l, query, args...), "\n")
	require.Equal(t, 1, strings.Count(plan, "SCAN"), plan)
	require.Contains(t, plan, "SCAN t")

	for _, table := range []string{"turn", "stroke", "mark"} {
		order := map[bool]string{true: "first", false: "frame"}[table == "turn"]
		plan := strings.Join(planOf(t, l, "SELECT * FROM "+table+" WHERE clip_id = ? AND gone = 0 ORDER BY "+order+", id", "x"), "\n")
		require.Contains(t, plan, "SEARCH "+table+" USING INDEX "+table+"_by_clip (clip_id=?)")
		plan = strings.Join(planOf(t, l, "SELECT clip_id, count(*) FROM "+table+" WHERE gone = 0 GROUP BY clip_id"), "\n")
		require.Contains(t, plan, "USING COVERING INDEX "+table+"_by_clip")
	}
	plan = strings.Join(planOf(t, l, "SELECT * FROM clip WHERE fingerprint = ? AND gone = 0", "x"), "\n")
	require.Contains(t, plan, "USING INDEX clip_by_fingerprint")
}

func TestPlanOfTheTurnsOfMarks(t *testing.T) {
	plan := planOf(t, filled(t), "SELECT t.id FROM turn t WHERE t.gone = 0 AND t.id IN ("+aroundMarks+")", `["x"]`)
	for _, step := range plan {
		if strings.HasPrefix(step, "SCAN") {
			require.Contains(t, step, "SCAN j ", "%v", plan)
		}
	}
	require.Contains(t, strings.Join(plan, "\n"), "turn_by_clip (clip_id=? AND first<?)")
}

// A page of sessions reads the clips of that page only, and their packed counts.
func TestPlanOfAPageOfSessions(t *testing.T) {
	l := filled(t)
	for name, query := range map[string]string{
		"clips":  "SELECT * FROM clip WHERE " + inPage + " ORDER BY id",
		"counts": countsOf(inPage),
	} {
		plan := planOf(t, l, query, "", 20)
		require.Contains(t, strings.Join(plan, "\n"), "USING INDEX clip_by_session (session_id=?)", name)
		for _, step := range plan {
			if strings.HasPrefix(step, "SCAN") {
				require.Equal(t, "SCAN session", step, "%s: %v", name, plan) // all training dates, a few hundred in a club's life
			}
		}
	}
	require.Contains(t, strings.Join(planOf(t, l, countsOf(inPage), "", 20), "\n"), "USING COVERING INDEX pack_counts (clip_id=?)")
}

// What is still to do is found by index, clip by clip of the days that are asked for.
func TestPlansOfWhatIsToDo(t *testing.T) {
	l := filled(t)
	plan := strings.Join(planOf(t, l, turnlessClips, "2026-01-01", ""), "\n")
	require.Equal(t, 1, strings.Count(plan, "SCAN"), plan)
	require.Contains(t, plan, "SCAN d") // all training dates, a few hundred in a club's life
	require.Contains(t, plan, "USING INDEX clip_by_session (session_id=?)")
	require.Contains(t, plan, "USING COVERING INDEX turn_by_clip (clip_id=?)")
	require.Contains(t, strings.Join(planOf(t, l, filmlessClips), "\n"), "clip_by_fingerprint (fingerprint=?)")
}

func planOf(t *testing.T, l *Library, query string, args ...any) (steps []string) {
	rows, err := l.read.QueryContext(context.Background(), "EXPLAIN QUERY PLAN "+query, args...)
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var id, parent, unused int
		var detail string
		require.NoError(t, rows.Scan(&id, &parent, &unused, &detail))
		steps = append(steps, detail)
	}
	require.NoError(t, rows.Err())
	return steps
}

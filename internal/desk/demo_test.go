package desk_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/tally/group"
)

// seen is what a player did of one fault, by the truth and by the slips of the
// coaches who marked it.
type seen struct{ strokes, exposed, faults, marks, slips int }

// TestDemoAgreesWithTruth makes the invented club with its films, and holds the
// summary of its ledger against the truth: every stroke that was looked at is the same,
// and the marks differ by the planted slips and nothing else.
func TestDemoAgreesWithTruth(t *testing.T) {
	ctx := t.Context()
	dir := filepath.Join(t.TempDir(), "club")
	folder, err := desk.MakeDemo(ctx, dir, 1, nil)
	require.NoError(t, err)
	_, err = desk.MakeDemo(ctx, dir, 1, nil)
	requireProblem(t, err, "dir")

	d, err := desk.Open(ctx, folder, library.Options{})
	require.NoError(t, err)
	defer d.Close()
	ledger, files, err := d.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, append(ledger, files...))
	st, err := d.Library.State(ctx)
	require.NoError(t, err)
	require.True(t, st.Demo)

	raw, err := os.ReadFile(filepath.Join(dir, "truth.json"))
	require.NoError(t, err)
	var truth demo.Truth
	require.NoError(t, json.Unmarshal(raw, &truth))
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	want := expected(truth, cat.Faults)
	s, err := d.Summary.Sum(ctx, summary.Query{Names: true})
	require.NoError(t, err)
	require.Equal(t, len(cat.Players), len(s.Players))
	require.Equal(t, 1, s.Team.All.Looked.NoTurns, "one turn nobody has looked at")
	require.Equal(t, 1, s.Team.All.Looked.SomeTurns, "one was looked through for two faults")
	planted := 0
	for _, p := range s.Players {
		for _, line := range p.All.Faults {
			w := want[pair{p.PlayerID, line.Code}]
			name := fmt.Sprintf("%s %s", p.Name, line.Code)
			require.Equal(t, w.marks, line.Marks, "%s: marks", name)
			require.Equal(t, w.exposed, exposure(line), "%s: strokes on which it could have happened", name)
			x := 0
			if line.PerStroke != nil {
				x = line.PerStroke.X
			}
			require.InDelta(t, w.faults, x, float64(w.slips), "%s: strokes with the fault", name)
			planted += w.faults
		}
	}
	require.Greater(t, planted, 90, "the demo has faults to find")
	require.NotEmpty(t, truth.Slips)
	requireHeardAsInTruth(t, &bench{Desk: d, cat: cat}, truth)
	requireBurstsAsInTruth(t, &bench{Desk: d, cat: cat}, truth)
}

func exposure(l group.FaultLine) int {
	if l.PerStroke == nil {
		return 0
	}
	return l.PerStroke.N
}

type pair struct {
	player club.ID
	code   string
}

func expected(truth demo.Truth, faults []club.Fault) map[pair]seen {
	sides := map[string]club.Sides{}
	for _, f := range faults {
		sides[f.Code] = f.Sides
	}
	out := map[pair]seen{}
	add := func(player club.ID, code string, n seen) {
		o := out[pair{player, code}]
		out[pair{player, code}] = seen{0, o.exposed + n.exposed, o.faults + n.faults, o.marks + n.marks, o.slips + n.slips}
	}
	for _, c := range truth.Clips {
		if c.Empty {
			continue
		}
		playing := func(frame int) (demo.TruthTurn, bool) {
			for _, t := range c.Turns {
				if t.First <= frame && frame <= t.Last {
					return t, true
				}
			}
			return demo.TruthTurn{}, false
		}
		for _, s := range c.Strokes {
			turn := c.Turns[s.Turn]
			for code, f := range sides {
				if turn.Logged && f.Could(s.Side) && slices.Contains(turn.LookedFor, code) {
					add(turn.PlayerID, code, seen{exposed: 1})
				}
			}
		}
		for _, f := range c.Faults {
			turn := c.Turns[c.Strokes[f.Stroke].Turn]
			if !slices.Contains(turn.LookedFor, f.Code) {
				continue // nobody has looked for it, so nobody has marked it
			}
			n := seen{marks: 1}
			if turn.Logged {
				n.faults = 1
			}
			add(turn.PlayerID, f.Code, n)
		}
		for _, slip := range truth.Slips {
			turn, ok := playing(slip.Frame)
			if slip.ClipID != c.ClipID || !ok {
				continue
			}
			if slip.Code != slip.Wrote {
				if slip.Code != "" {
					add(turn.PlayerID, slip.Code, seen{marks: -1, slips: 1})
				}
				if slip.Wrote != "" {
					add(turn.PlayerID, slip.Wrote, seen{marks: 1, slips: 1})
				}
			} else {
				add(turn.PlayerID, slip.Code, seen{slips: 1})
			}
		}
	}
	return out
}

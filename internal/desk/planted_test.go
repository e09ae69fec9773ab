package desk_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/advice"
)

// records are the turns of the invented club as the ledger has them.
func records(c demo.Club) []club.TurnRecord {
	var all []club.TurnRecord
	for _, s := range c.Scenes {
		for _, t := range s.Turns {
			r := club.TurnRecord{Turn: t, Date: s.Date, Base: s.Base, Zero: s.Ticks(0)}
			for _, k := range s.Strokes {
				if t.Covers(k.Frame) {
					r.Strokes = append(r.Strokes, k)
				}
			}
			for _, m := range s.Marks {
				if t.Covers(m.Frame) {
					r.Marks = append(r.Marks, m)
				}
			}
			for _, l := range s.Looks {
				if t.Covers(l.First) {
					r.Looks = append(r.Looks, l)
				}
			}
			all = append(all, r)
		}
	}
	return all
}

// apart is by how much more often a player shows a fault in irregular drills than in
// regular ones. Six turns are too few to call it a difference.
func apart(s tally.Summary, player, code string) float64 {
	for _, p := range s.Players {
		for _, c := range p.Contrasts {
			if p.Name == player && c.Code == code {
				return c.Difference
			}
		}
	}
	return 0
}

// What each invented player tends to (internal/demo, members) is what the summary
// says to work on, and how.
func TestSummaryNamesWhatTheDemoPlanted(t *testing.T) {
	for seed := range int64(4) {
		c := demo.Make(1 + seed)
		s := tally.SummariseWith(c.Catalogue, records(c), tally.Options{Rulings: c.Rulings})
		given := map[string]map[string]advice.Advice{}
		for _, p := range s.Players {
			given[p.Name] = map[string]advice.Advice{}
			for _, a := range p.WorkOn.Faults {
				given[p.Name][a.Code] = a
			}
		}
		for name, codes := range map[string][]string{
			"Ilka Osei": {"CLOSE"}, "Tomas Verhaal": {"ELBOW"}, "Anh Lindqvist": {"LATE"}, "Noor Castellan": {"BIGBACK", "UPRIGHT"},
		} {
			for _, code := range codes {
				require.Contains(t, given[name], code, "seed %d: %s", seed, name)
			}
		}
		require.NotEmpty(t, given["Davor Whitlam"], "a little of everything, more than usual")
		if seed == 0 { // the one that everybody gets; with others chance may blur it
			require.Greater(t, apart(s, "Ilka Osei", "CLOSE"), .3)
			require.Greater(t, apart(s, "Anh Lindqvist", "LATE"), .3)
		}
		i := slices.IndexFunc(s.Players, func(p tally.Sheet) bool { return p.Name == "Tomas Verhaal" })
		for _, l := range s.Players[i].All.Faults {
			if l.Code == "ELBOW" {
				require.Less(t, l.Trend.Slope.PerMonth, 0., "the elbow has become quieter")
			}
		}
	}
}

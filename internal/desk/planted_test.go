package desk_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/tally"
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

// lookedThrough is the summary of the club had all of it been looked through.
func lookedThrough(c demo.Club) tally.Summary {
	turns := records(c)
	var faults []club.ID
	for _, f := range c.Catalogue.Faults {
		faults = append(faults, f.ID)
	}
	for i := range turns {
		t := &turns[i]
		t.Looks = []club.Look{{First: t.First, Last: t.Last, FirstTicks: t.FirstTicks, LastTicks: t.LastTicks, Faults: faults}}
	}
	return tally.SummariseWith(c.Catalogue, turns, tally.Options{Rulings: c.Rulings})
}

func whereOf(s tally.Summary, player, code string) tally.Where {
	for _, p := range s.Players {
		for _, a := range p.WorkOn.Faults {
			if p.Name == player && a.Code == code {
				return a.Where
			}
		}
	}
	return ""
}

// What each invented player tends to (internal/demo, members) is what the summary
// says to work on, and how.
func TestSummaryNamesWhatTheDemoPlanted(t *testing.T) {
	for seed := range int64(4) {
		c := demo.Make(1 + seed)
		s := tally.SummariseWith(c.Catalogue, records(c), tally.Options{Rulings: c.Rulings})
		advice := map[string]map[string]tally.Advice{}
		for _, p := range s.Players {
			advice[p.Name] = map[string]tally.Advice{}
			for _, a := range p.WorkOn.Faults {
				advice[p.Name][a.Code] = a
			}
		}
		for name, codes := range map[string][]string{
			"Ilka Osei": {"CLOSE"}, "Tomas Verhaal": {"ELBOW"}, "Anh Lindqvist": {"LATE"}, "Noor Castellan": {"BIGBACK", "UPRIGHT"},
		} {
			for _, code := range codes {
				require.Contains(t, advice[name], code, "seed %d: %s", seed, name)
			}
		}
		require.NotEmpty(t, advice["Davor Whitlam"], "a little of everything, more than usual")
		if seed == 0 { // the one that everybody gets; with others chance may blur it
			require.Equal(t, tally.InIrregular, advice["Ilka Osei"]["CLOSE"].Where)
			// Of her few regular strokes some were looked at by nobody: with them it shows.
			require.Equal(t, tally.InIrregular, whereOf(lookedThrough(c), "Anh Lindqvist", "LATE"))
		}
		i := slices.IndexFunc(s.Players, func(p tally.Sheet) bool { return p.Name == "Tomas Verhaal" })
		for _, l := range s.Players[i].All.Faults {
			if l.Code == "ELBOW" {
				require.Less(t, l.Trend.Slope.PerMonth, 0., "the elbow has become quieter")
			}
		}
	}
}

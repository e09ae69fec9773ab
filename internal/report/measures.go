package report

import (
	"bufio"
	"fmt"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/report/plain"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/reading"
	"strokeledger/internal/tally/wording"
)

// measures is what is measured of a sheet's strokes, as a page shows it.
type measures struct {
	Say     []string
	Heads   []string // what each column measures
	Rows    []measuresRow
	Caution string
}

type measuresRow struct {
	Name  string
	Cells []measuresCell
}

type measuresCell struct{ Middle, Rest string } // both empty: not measured

// newMeasures is nil where nothing is measured.
func newMeasures(s *reading.Sheet) *measures {
	if s == nil {
		return nil
	}
	m := &measures{Caution: reading.Caution}
	for _, one := range s.Measures {
		m.Say = append(m.Say, plain.Text(one.Say, mostSay))
		m.Heads = append(m.Heads, measureHead(one.Measure))
	}
	m.Say = append(m.Say, s.Say)
	for _, g := range groupsOf(s) {
		if len(s.Measures) == 0 {
			break
		}
		r := measuresRow{Name: plain.Text(groupName(g), 60)}
		for _, one := range s.Measures {
			var c measuresCell
			if i := slices.IndexFunc(g.Lines, func(l reading.Line) bool { return l.Measure == one.Measure }); i >= 0 {
				c.Middle, c.Rest = middleOf(g.Lines[i])
			}
			r.Cells = append(r.Cells, c)
		}
		m.Rows = append(m.Rows, r)
	}
	return m
}

func groupsOf(s *reading.Sheet) []reading.Group {
	return slices.Concat([]reading.Group{s.All}, s.Methods, s.Drills, s.Sessions)
}

func groupName(g reading.Group) string {
	if g.DrillID != "" {
		return fmt.Sprintf("%s (rung %d, %s)", g.Name, g.Rung, g.Method)
	}
	return g.Name
}

func measureHead(m club.Measure) string {
	return map[club.Measure]string{
		club.FeetBehind: "Feet to the end line, cm",
		club.ElbowDrop:  "Elbow below the shoulder, % of the trunk",
		club.HandBack:   "Hand above the hips on the way back, % of the trunk",

		club.ReadyMargin: "About: hand back before the partner's contact, ms",
	}[m]
}

// middleOf is "41 (±5)" and "half of them 35 to 48; 40 strokes in 6 turns".
func middleOf(l reading.Line) (middle, rest string) {
	middle = wording.Round(l.Median, 0)
	if l.Half != nil {
		middle += " " + reading.PlusMinus(*l.Half)
	}
	return middle, fmt.Sprintf("half of them %s to %s; %s in %s", wording.Round(l.Low, 0), wording.Round(l.High, 0), plural(l.Strokes, "stroke"), plural(l.Turns, "turn"))
}

// textMeasures says what is measured of a sheet's strokes.
func textMeasures(b *bufio.Writer, s *reading.Sheet) {
	m := newMeasures(s)
	if m == nil {
		return
	}
	fmt.Fprint(b, "\n  Measured in the pictures\n  ------------------------\n")
	for _, say := range m.Say {
		fmt.Fprintf(b, "    %s\n", say)
	}
	for i, head := range m.Heads {
		fmt.Fprintf(b, "    %s\n", head)
		for _, r := range m.Rows {
			if c := r.Cells[i]; c.Middle != "" {
				fmt.Fprintf(b, "      %s  %s  %s\n", pad(r.Name, labelWidth), pad(c.Middle, 10), c.Rest)
			}
		}
	}
	fmt.Fprintf(b, "    %s\n", m.Caution)
}

// MeasureTable is what is measured as one table: one row for each measure of each group
// of the team and of each player; of the one player alone where there are no others.
func MeasureTable(s tally.Summary, o Origin) Table {
	t := Table{Name: "Measures", Columns: []string{
		"of", "player", "from", "to", "group", "name", "method", "rung", "date", "measure", "unit",
		"strokes", "turns", "median", "lower_quartile", "upper_quartile", "median_low", "median_high", "clips_measured", "clips", "made_from",
	}}
	from := o.short()
	var all [][]any
	rows := func(of string, sheet tally.Sheet) {
		m := sheet.Measured
		if m == nil {
			return
		}
		for _, g := range groupsOf(m) {
			for _, l := range g.Lines {
				r := []any{of, sheet.Name, s.From, s.To, groupKind(g), g.Name, string(g.Method), nil, nil, string(l.Measure), l.Unit,
					l.Strokes, l.Turns, l.Median, l.Low, l.High, nil, nil, m.Clips, m.OfClips, from}
				if g.DrillID != "" {
					r[7] = g.Rung
				}
				if g.Date != "" {
					r[8] = g.Date
				}
				if l.Half != nil {
					r[16], r[17] = l.Median-*l.Half, l.Median+*l.Half
				}
				all = append(all, r)
			}
		}
	}
	if len(s.Players) != 1 {
		rows("team", s.Team)
	}
	for _, p := range s.Players {
		rows("player", p)
	}
	t.Rows = slices.Values(all)
	return t
}

func groupKind(g reading.Group) string {
	switch {
	case g.DrillID != "":
		return "drill"
	case g.Date != "":
		return "session"
	case g.Method != "":
		return "method"
	}
	return "all"
}

// measuredIn are the sentences on a fault's measure, which stand beside its rate.
func measuredIn(s *reading.Sheet, code string) string {
	if s == nil {
		return ""
	}
	var says []string
	for _, m := range s.Measures {
		if slices.Contains(m.Faults, code) {
			says = append(says, plain.Text(m.Brief, mostSay))
		}
	}
	return strings.Join(says, " ")
}

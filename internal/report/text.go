package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/rivo/uniseg"

	"strokeledger/internal/report/plain"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
)

// labelWidth is the width of the fault column on a terminal, in cells.
const labelWidth = 34

// Text writes the summary for a terminal. Names and labels are shortened to the
// column and lose control characters, so that none of them can steer the
// terminal.
func Text(w io.Writer, s tally.Summary, o Origin) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "Fault summary, %s\n", periodText(s.From, s.To, s.Team.All))
	if s.Team.All.Turns == 0 {
		fmt.Fprintln(b, "\nNothing to count: no turn of this choice lies in the period. Give clips their turns, or choose more players, drills or dates.")
		return b.Flush()
	}
	if len(s.Players) != 1 {
		textSheet(b, s.Team)
	}
	for _, p := range s.Players {
		textSheet(b, p)
	}
	fmt.Fprintf(b, "\n%s\n%s\n", howStroke, howInterval)
	if s.Team.All.UnloggedTurns > 0 {
		fmt.Fprintln(b, howMinute)
	}
	fmt.Fprintln(b, howDepend)
	fmt.Fprintf(b, "\n%s\n", strings.Join(o.Lines(), " "))
	return b.Flush()
}

func textSheet(b *bufio.Writer, s tally.Sheet) {
	name := plain.Text(s.Name, 60)
	fmt.Fprintf(b, "\n%s\n%s\n", name, strings.Repeat("=", max(1, uniseg.StringWidth(name))))
	if say := s.All.Looked.Say; say != "" {
		fmt.Fprintf(b, "  %s\n", plain.Text(say, mostSay))
	}
	if s.Redefined != "" {
		fmt.Fprintf(b, "  %s\n", plain.Text(s.Redefined, mostSay))
	}
	textGroup(b, s.All)
	textWorkOn(b, s)
	groups := s.Drills
	if len(s.Methods) > 1 {
		groups = append(append([]group.Group{}, s.Methods...), s.Drills...)
	}
	for _, g := range groups {
		title := plain.Text(g.Name, 60)
		if g.Kind == "drill" {
			title = fmt.Sprintf("%s (rung %d, %s)", title, g.Rung, g.Method)
		}
		fmt.Fprintf(b, "\n  %s\n  %s\n", title, strings.Repeat("-", uniseg.StringWidth(title)))
		textGroup(b, g)
	}
	textContrasts(b, s.Contrasts)
	textMeasures(b, s.Measured)
}

func textGroup(b *bufio.Writer, g group.Group) {
	fmt.Fprintf(b, "  %s\n", seenText(g))
	if note := unloggedText(g); note != "" {
		fmt.Fprintf(b, "  %s\n", note)
	}
	if g.Streak.TurnID != "" {
		fmt.Fprintf(b, "  Longest streak: %s\n", streakText(g.Streak))
	}
	clean := 0
	var unseen []string
	for _, f := range g.Faults {
		switch {
		case f.Marks > 0:
		case nobodyLooked(f):
			unseen = append(unseen, plain.Text(f.Code, 8))
			continue
		default:
			clean++
			continue
		}
		lead := pad(plain.Text(f.Code, 8), 8) + " " + pad(plain.Text(f.Label, labelWidth), labelWidth)
		for _, line := range figures(f) {
			fmt.Fprintf(b, "    %s  %s\n", lead, line)
			lead = strings.Repeat(" ", uniseg.StringWidth(lead))
		}
	}
	if clean > 0 {
		fmt.Fprintf(b, "    Not marked: %s in use.\n", plural(clean, "other fault"))
	}
	if unseen != nil {
		fmt.Fprintf(b, "    Not looked through: %s.\n", someOf(unseen))
	}
}

// textWorkOn says what to work on, for a player.
func textWorkOn(b *bufio.Writer, s tally.Sheet) {
	if s.PlayerID == "" || s.WorkOn == nil {
		return
	}
	fmt.Fprint(b, "\n  Work on next\n  ------------\n")
	if s.WorkOn.Say != "" {
		fmt.Fprintf(b, "    %s\n", plain.Text(s.WorkOn.Say, mostSay))
	}
	for _, d := range s.WorkOn.MoveUp {
		fmt.Fprintf(b, "    Rung %d: %s (%s)%s\n", d.Rung, plain.Text(d.Name, 60), d.Method, enoughText(d))
	}
	for i, a := range s.WorkOn.Faults {
		fmt.Fprintf(b, "    %d. %s %s\n", i+1, plain.Text(a.Code, 8), plain.Text(a.Label, 60))
		fmt.Fprintf(b, "       %s\n       %s\n", plain.Text(a.Why, 400), plain.Text(a.Say, 400))
		for _, d := range a.Drills {
			fmt.Fprintf(b, "       Rung %d: %s%s\n", d.Rung, plain.Text(d.Name, 60), enoughText(d))
		}
		if a.Cue != "" {
			fmt.Fprintf(b, "       %s\n", plain.Text(a.Cue, 400))
		}
	}
	if say := s.WorkOn.Ladder; say != "" {
		fmt.Fprintf(b, "    %s\n", plain.Text(say, mostSay))
	}
	for _, c := range s.WorkOn.Cautions {
		fmt.Fprintf(b, "    %s\n", c)
	}
}

// enoughText goes behind a drill whose tries have come to the club's limit.
func enoughText(d advice.DrillHint) string {
	if d.Enough {
		return ", enough for today"
	}
	return ""
}

// figures are the numbers of a fault, one line each.
func figures(f group.FaultLine) []string {
	var lines []string
	if f.PerStroke != nil {
		lines = append(lines, shareText(*f.PerStroke))
	}
	if f.PerMinute != nil {
		lines = append(lines, paceText(*f.PerMinute))
	}
	if f.Unplaced > 0 {
		lines = append(lines, plural(f.Unplaced, "mark")+" on no stroke that could have it: in no rate")
	}
	switch {
	case nobodyLooked(f):
		lines = append(lines, unseenText(f))
	case f.Say != "":
		lines = append(lines, f.Say)
	case lines == nil:
		lines = []string{plural(f.Marks, "mark")}
	}
	return lines
}

// unseenText is "5 marks, not looked through".
func unseenText(f group.FaultLine) string { return plural(f.Marks-f.Unplaced, "mark") + ", " + f.Say }

// nobodyLooked reports whether the fault could have been seen and nobody has looked
// for it: then no mark says nothing.
func nobodyLooked(f group.FaultLine) bool {
	return f.PerStroke == nil && f.PerMinute == nil && f.Say != ""
}

func textContrasts(b *bufio.Writer, list []contrast.Contrast) {
	shown := false
	for _, c := range list {
		if c.Regular.X+c.Irregular.X == 0 {
			continue
		}
		if !shown {
			fmt.Fprint(b, "\n  Irregular against regular\n  -------------------------\n")
			shown = true
		}
		regular, _, _ := c.Regular.Percents()
		irregular, _, _ := c.Irregular.Percents()
		fmt.Fprintf(b, "    %s %s  %s %% against %s %%, %s\n", pad(plain.Text(c.Code, 8), 8), pad(plain.Text(c.Label, labelWidth), labelWidth), irregular, regular, pointsText(c))
	}
}

// pad fills text with spaces up to a width in terminal cells, or cuts it there.
func pad(s string, width int) string {
	for most := width; uniseg.StringWidth(s) > width; most-- {
		s = plain.Cut(s, most)
	}
	return s + strings.Repeat(" ", width-uniseg.StringWidth(s))
}

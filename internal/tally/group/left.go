package group

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/wording"
)

// Describe puts into words how far the turns of a group were looked through.
func (g *Group) Describe() {
	l := &g.Looked
	left := l.SomeTurns + l.NoTurns
	if left > 0 {
		l.Left = fmt.Sprintf("%d of %s", left, wording.Count(g.Turns, "turn"))
		if left == g.Turns {
			l.Left = wording.Count(left, "turn")
		}
	}
	var says []string
	if left > 0 {
		says = append(says, g.leftText())
	}
	if l.TwiceTurns > 0 {
		says = append(says, fmt.Sprintf("Two coaches or more have looked at %s.", wording.Count(l.TwiceTurns, "turn")))
	}
	switch n := l.AssumedTurns; {
	case n == 1:
		says = append(says, "1 turn is taken as looked through because it holds marks of a time when looks were not kept.")
	case n > 1:
		says = append(says, fmt.Sprintf("%d turns are taken as looked through because they hold marks of a time when looks were not kept.", n))
	}
	l.Say = strings.Join(says, " ")
	for i := range g.Faults {
		g.Faults[i].Say = g.Faults[i].leftText(g)
	}
}

// leftText says which turns were not looked through: by nobody, or not for every
// fault. It holds Looked.Left as it is.
func (g *Group) leftText() string {
	l := g.Looked
	no := "Nobody has looked through " + l.Left
	switch {
	case l.NoTurns == g.Turns && g.Turns > 1:
		no = "Nobody has looked through any of the " + l.Left
	case l.NoTurns == g.Turns:
		no = "Nobody has looked through the " + l.Left
	}
	were, are := "were", "are"
	if l.SomeTurns == 1 {
		were = "was"
	}
	if l.SomeTurns+l.NoTurns == 1 {
		are = "is"
	}
	switch {
	case l.SomeTurns == 0:
		return no + " yet" + g.strokesText(l.NoStrokes) + "."
	case l.NoTurns == 0:
		return l.Left + g.strokesText(l.SomeStrokes) + " " + were + " looked through " + g.someText() + "."
	}
	return fmt.Sprintf("%s%s %s not looked through yet: nobody has looked at %d, and %d %s looked through %s.",
		l.Left, g.strokesText(l.NoStrokes+l.SomeStrokes), are, l.NoTurns, l.SomeTurns, were, g.someText())
}

// strokesText is " (43 of 655 strokes)", empty for none.
func (g *Group) strokesText(n int) string {
	switch {
	case n == 0:
		return ""
	case n == g.Strokes:
		return " (" + wording.Count(n, "stroke") + ")"
	}
	return fmt.Sprintf(" (%d of %s)", n, wording.Count(g.Strokes, "stroke"))
}

// What a sentence names: so many faults, by codes of so many letters, which is the
// longest that club.Fault takes.
const (
	MostNamed   = 5
	LongestCode = 8
)

// someText says for which faults the turns were looked through that were not for
// all: "for LATE and ELBOW only". Where they differ in that, it names none.
func (g *Group) someText() string {
	var looked, left []string
	for i := range g.Faults {
		switch f := &g.Faults[i]; {
		case f.Retired:
		case utf8.RuneCountInString(f.Code) > LongestCode:
			return "for some faults only"
		case f.UnlookedTurns == g.Looked.NoTurns:
			looked = append(looked, club.Isolated(f.Code))
		case f.UnlookedTurns == g.Looked.NoTurns+g.Looked.SomeTurns:
			left = append(left, club.Isolated(f.Code))
		default:
			return "in part or for some faults only"
		}
	}
	switch {
	case len(looked) == 0:
		return "in part only"
	case len(looked) <= MostNamed && len(looked) <= len(left):
		return "for " + wording.List(looked) + " only"
	case len(left) <= MostNamed:
		return "for every fault but " + wording.List(left)
	}
	return "for some faults only"
}

// leftText says what of a group nobody has looked at for the fault, as far as it
// could have been seen there; empty where that is nothing.
func (f *FaultLine) leftText(g *Group) string {
	minutes := g.UnloggedSeconds / 60
	if f.PerMinute != nil {
		minutes -= f.PerMinute.Minutes
	}
	const least = 0.001 / 60 // what sums of the same seconds in another order may differ by
	switch {
	case f.UnlookedStrokes == 0 && minutes < least:
		return ""
	case f.PerStroke == nil && f.PerMinute == nil:
		return "not looked through"
	}
	var parts []string
	if f.UnlookedStrokes > 0 {
		parts = append(parts, wording.Count(f.UnlookedStrokes, "stroke"))
	}
	if minutes >= least {
		parts = append(parts, strconv.FormatFloat(max(minutes, 0.1), 'f', 1, 64)+" minutes without logged strokes")
	}
	text := wording.List(parts) + " not looked at"
	if f.Unlooked > 0 {
		text += ", with " + wording.Count(f.Unlooked, "mark")
	}
	return text
}

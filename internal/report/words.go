package report

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/wording"
)

// shareText is "7 of 52 strokes, 13 % (7–25)".
func shareText(s rate.Share) string {
	rate, low, high := s.Percents()
	text := fmt.Sprintf("%d of %s, %s %%", s.X, plural(s.N, "stroke"), rate)
	if !s.Known() {
		return text + ", " + noInterval
	}
	return fmt.Sprintf("%s (%s–%s)", text, low, high)
}

// noInterval stands in place of an interval.
const noInterval = "no interval: too few turns"

// paceText is "5 in 3.5 minutes, 1.4 a minute (0.5–3.3)", or without an interval.
func paceText(p rate.Pace) string {
	rate, low, high := p.Numbers()
	if !p.Known() {
		return fmt.Sprintf("%d in %s, %s a minute, %s", p.X, minutesText(60*p.Minutes), rate, noInterval)
	}
	return fmt.Sprintf("%d in %s, %s a minute (%s–%s)", p.X, minutesText(60*p.Minutes), rate, low, high)
}

// minutesText is "3.5 minutes", or seconds below one minute.
func minutesText(seconds float64) string {
	if seconds < 59.5 {
		return fmt.Sprintf("%.0f seconds", seconds)
	}
	return fmt.Sprintf("%.1f minutes", seconds/60)
}

// plural is "1 stroke" or "5 strokes".
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// pointsText is a difference of two rates, and what it shows: "+12 points (+3 to +21), a
// difference".
func pointsText(c contrast.Contrast) string {
	if c.TooFewTurns {
		return "too few turns to tell"
	}
	decimals := wording.Decimals(c.Low, c.High)
	f := func(p float64) string {
		n := strconv.FormatFloat(100*p, 'f', decimals, 64)
		switch {
		case strings.Trim(n, "-0.") == "":
			return strings.TrimPrefix(n, "-")
		case p > 0:
			return "+" + n
		default:
			return "−" + n[1:]
		}
	}
	unit := "points"
	if d := f(c.Difference); d == "+1" || d == "−1" {
		unit = "point"
	}
	return fmt.Sprintf("%s %s (%s to %s), %s", f(c.Difference), unit, f(c.Low), f(c.High), c.Say)
}

// periodText says which dates a summary covers; g tells what was seen in it.
func periodText(from, to club.Date, g group.Group) string {
	switch {
	case from != "" && to != "":
		return span(from, to)
	case g.Turns == 0 && from != "":
		return "from " + dateText(from)
	case g.Turns == 0 && to != "":
		return "until " + dateText(to)
	case g.Turns == 0:
		return "all dates"
	case from != "":
		return span(from, g.Last)
	case to != "":
		return span(g.First, to)
	default:
		return span(g.First, g.Last)
	}
}

func span(from, to club.Date) string {
	if from == to {
		return dateText(from)
	}
	return dateText(from) + " to " + dateText(to)
}

// dateText is "14 March 2026".
func dateText(d club.Date) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("2 January 2006")
}

// streakText is "14 good strokes in a row (target 10 reached)".
func streakText(s group.Streak) string {
	if s.TurnID == "" {
		return "no strokes logged"
	}
	text := plural(s.Longest, "good stroke") + " in a row"
	switch {
	case s.Longest >= s.Target:
		return fmt.Sprintf("%s (target %d reached)", text, s.Target)
	case s.Reached:
		return fmt.Sprintf("%s (target %d; the target of another drill was reached)", text, s.Target)
	default:
		return fmt.Sprintf("%s (target %d)", text, s.Target)
	}
}

// seenText is "3 sessions, 18 turns, 412 strokes logged, 371 of them good (90 %)".
func seenText(g group.Group) string {
	parts := []string{plural(g.Sessions, "session"), plural(g.Turns, "turn")}
	if g.Strokes > 0 {
		parts = append(parts, fmt.Sprintf("%s logged, %d of them good (%s %%)", plural(g.Strokes, "stroke"), g.Good, wording.Percent(float64(g.Good)/float64(g.Strokes), 0)))
	}
	return strings.Join(parts, ", ")
}

// unloggedText says why some faults are counted per minute, "" where none are.
func unloggedText(g group.Group) string {
	if g.UnloggedTurns == 0 {
		return ""
	}
	which := plural(g.UnloggedTurns, "turn") + " (" + minutesText(g.UnloggedSeconds) + ")"
	if g.UnloggedTurns == g.Turns {
		which = "all " + which
		if g.Turns == 1 {
			which = "the one turn (" + minutesText(g.UnloggedSeconds) + ")"
		}
	}
	return "In " + which + " no strokes were logged: faults there are counted per minute."
}

// The sentences that every document carries.
const (
	howStroke   = "A rate is the number of strokes with the fault out of the strokes on which it could have happened and at which somebody has looked for it. Two coaches who mark the same fault on the same stroke count once."
	howInterval = "In brackets stands the 95 % interval: few strokes leave it wide, many make it narrow. Where two intervals overlap a lot, do not speak of a difference."
	howMinute   = "Where a turn has no logged strokes there is nothing to divide by, so its faults are counted per minute. The two are never mixed in one number."
	howDepend   = "Strokes of one turn are alike, and so are the minutes of one. The intervals allow for that, as far as all turns of the club show how much turns differ. Where too few turns were seen to know, there is no interval, and nothing is called a difference or a trend."
)

// mostSay is the longest sentence of a summary, in characters.
const mostSay = 1000

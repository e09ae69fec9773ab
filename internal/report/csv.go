package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// columns heads the CSV. Names stay as they are once published.
func columns() []string {
	return []string{
		"of", "player", "from", "to", "group", "name", "method", "rung",
		"sessions", "turns", "minutes", "strokes", "good",
		"streak", "streak_target", "streak_reached",
		"fault", "label", "phase", "weight", "marks", "unplaced_marks",
		"strokes_with_fault", "strokes_exposed", "rate", "rate_low", "rate_high",
		"minutes_without_strokes", "marks_without_strokes", "per_minute", "per_minute_low", "per_minute_high",
	}
}

// CSV writes one row for each fault of each group of the team and of each
// player: RFC 4180 with CRLF, in UTF-8 with a byte order mark so that
// spreadsheets read the names right, numbers with a full stop. A cell that has
// no value is empty. Text that a spreadsheet would run as a formula gets an
// apostrophe in front.
func CSV(w io.Writer, s tally.Summary) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return fmt.Errorf("write summary as CSV: %w", err)
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := func(of string, sheet tally.Sheet) {
		for _, g := range append(append([]tally.Group{sheet.All}, sheet.Methods...), sheet.Drills...) {
			for _, f := range g.Faults {
				out.Write(row(of, s.From, s.To, sheet, g, f)) // its error is kept for out.Error
			}
		}
	}
	out.Write(columns())
	rows("team", s.Team)
	for _, p := range s.Players {
		rows("player", p)
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write summary as CSV: %w", err)
	}
	return nil
}

func row(of string, from, to club.Date, s tally.Sheet, g tally.Group, f tally.FaultLine) []string {
	r := []string{
		of, cell(s.Name), string(from), string(to), g.Kind, cell(g.Name), string(g.Method), "",
		strconv.Itoa(g.Sessions), strconv.Itoa(g.Turns), decimal(g.Seconds / 60), strconv.Itoa(g.Strokes), strconv.Itoa(g.Good),
		"", "", "",
		cell(f.Code), cell(f.Label), string(f.Phase), strconv.Itoa(f.Weight), strconv.Itoa(f.Marks), strconv.Itoa(f.Unplaced),
		"", "", "", "", "",
		"", "", "", "", "",
	}
	if g.Kind == "drill" {
		r[7] = strconv.Itoa(g.Rung)
	}
	if k := g.Streak; k.TurnID != "" {
		copy(r[13:], []string{strconv.Itoa(k.Longest), strconv.Itoa(k.Target), yesNo(k.Reached)})
	}
	if p := f.PerStroke; p != nil {
		copy(r[22:], []string{strconv.Itoa(p.X), strconv.Itoa(p.N), decimal(p.Rate), decimal(p.Low), decimal(p.High)})
	}
	if p := f.PerMinute; p != nil {
		copy(r[27:], []string{decimal(p.Minutes), strconv.Itoa(p.X), decimal(p.Rate), decimal(p.Low), decimal(p.High)})
	}
	return r
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// decimal writes six decimals without the noughts at the end.
func decimal(v float64) string {
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 6, 64), "0"), ".")
}

// cell makes text harmless in a spreadsheet: what begins like a formula, also
// after spaces or in full-width characters, gets an apostrophe in front.
func cell(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	if strings.HasPrefix(s, "\t") || strings.HasPrefix(s, "\r") || strings.HasPrefix(s, "\n") {
		return "'" + s
	}
	lead := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || r == '\ufeff' })
	if lead != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(lead)[0]) {
		return "'" + s
	}
	return s
}

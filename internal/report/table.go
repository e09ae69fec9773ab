package report

import (
	"iter"
	"slices"
	"strconv"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
)

// Table is one table of a document: the same for CSV and for spreadsheets. Names
// of columns stay as they are once published.
type Table struct {
	Name    string
	Columns []string
	// Rows have one value a column: string, int, float64, bool, club.Date, time.Time, or nil
	// for no value. They are made as they are asked for: there may be millions.
	Rows iter.Seq[[]any]
	// aside are columns that a sheet of a workbook opens only when asked, so that the others
	// are large enough in print.
	aside []string
}

// MarkRow is one mark in the long table of marks. Empty texts and nil pointers are
// what is not known.
type MarkRow struct {
	Date          club.Date
	Player, Drill string
	Method        club.Method
	Rung          int
	Clip          string
	Frame         int
	Seconds       float64 // clip time
	Code, Label   string
	Phase         club.Phase
	Weight        int
	Stroke        int // place among the turn's strokes, counted from 1; 0: on none
	Side          club.Side
	Note, Coach   string
	Source        club.Source
	Confidence    float64
	Signed        bool   // with an arrow or a circle
	LookedBy      string // who has looked there for the fault; see LookedBy
	Drawn         string // what is drawn on its picture, in words
}

// StrokeRow is one stroke in the long table of strokes.
type StrokeRow struct {
	Date          club.Date
	Player, Drill string
	Method        club.Method
	Rung          int
	Clip          string
	Turn          int // place among the rows' turns, counted from 1
	Stroke        int // place in the turn, counted from 1
	Frame         int
	Seconds       float64 // clip time
	Side          club.Side
	Outcome       club.Outcome
	Faults        string   // codes of what was marked on it, with spaces between
	Ready         *float64 // clip time at which the player was back in the ready position
	Answer        *float64 // clip time of the partner's next contact
	Coach         string
	Source        club.Source
	Confidence    float64
	LookedBy      string // who has looked at it; see LookedBy
}

// LookRow is what of one turn was looked at by one coach, in the long table of looks.
type LookRow struct {
	Date          club.Date
	Player, Drill string
	Method        club.Method
	Rung          int
	Clip          string
	Turn          int // place among the rows' turns, counted from 1
	Coach         string
	Faults        string // codes of what was looked for, with spaces between
	First, Last   int    // frames, both inside the turn
	Made          time.Time
	Assumed       bool // taken from marks; see club.Look
}

// LookedBy puts coaches who looked into one cell, each once, in the order of the
// looks: "MS; KL (assumed)". A coach who has said so is not assumed. coach says what
// each look's is called.
func LookedBy(looks []club.Look, coach func(club.ID) string) string {
	var names []string
	for i, l := range looks {
		same := func(o club.Look) bool { return o.CoachID == l.CoachID }
		if slices.ContainsFunc(looks[:i], same) {
			continue
		}
		name := coach(l.CoachID)
		if !slices.ContainsFunc(looks, func(o club.Look) bool { return same(o) && !o.Assumed }) {
			name += " (assumed)"
		}
		names = append(names, name)
	}
	return strings.Join(names, "; ")
}

// MarkTable is the long table of marks.
func MarkTable(rows iter.Seq[MarkRow], o Origin) Table {
	t := Table{Name: "Marks", Columns: []string{
		"date", "player", "drill", "method", "rung", "clip", "frame", "seconds", "fault", "label", "phase", "weight",
		"stroke", "side", "sign", "note", "coach", "source", "confidence", "looked_by", "drawn", "made_from",
	}}
	from := o.short()
	t.Rows = each(rows, func(r MarkRow) []any {
		stroke := any(nil)
		if r.Stroke > 0 {
			stroke = r.Stroke
		}
		return []any{
			r.Date, r.Player, r.Drill, string(r.Method), r.Rung, r.Clip, r.Frame, r.Seconds, r.Code, r.Label, string(r.Phase), r.Weight,
			stroke, string(r.Side), r.Signed, r.Note, r.Coach, string(r.Source), r.Confidence, r.LookedBy, r.Drawn, from,
		}
	})
	return t
}

// StrokeTable is the long table of strokes.
func StrokeTable(rows iter.Seq[StrokeRow], o Origin) Table {
	t := Table{Name: "Strokes", Columns: []string{
		"date", "player", "drill", "method", "rung", "clip", "turn", "stroke", "frame", "seconds", "side", "outcome", "faults",
		"ready_seconds", "answer_seconds", "coach", "source", "confidence", "looked_by", "made_from",
	}}
	from := o.short()
	t.Rows = each(rows, func(r StrokeRow) []any {
		return []any{
			r.Date, r.Player, r.Drill, string(r.Method), r.Rung, r.Clip, r.Turn, r.Stroke, r.Frame, r.Seconds, string(r.Side), string(r.Outcome), r.Faults,
			maybe(r.Ready), maybe(r.Answer), r.Coach, string(r.Source), r.Confidence, r.LookedBy, from,
		}
	})
	return t
}

// LookTable is the long table of looks.
func LookTable(rows iter.Seq[LookRow], o Origin) Table {
	t := Table{Name: "Looks", Columns: []string{
		"date", "player", "drill", "method", "rung", "clip", "turn", "coach", "faults", "first_frame", "last_frame", "made", "assumed", "made_from",
	}}
	from := o.short()
	t.Rows = each(rows, func(r LookRow) []any {
		made := any(nil)
		if !r.Made.IsZero() {
			made = r.Made.UTC()
		}
		return []any{
			r.Date, r.Player, r.Drill, string(r.Method), r.Rung, r.Clip, r.Turn, r.Coach, r.Faults, r.First, r.Last, made, r.Assumed, from,
		}
	})
	return t
}

// each makes cells of every row.
func each[R any](rows iter.Seq[R], cells func(R) []any) iter.Seq[[]any] {
	return func(yield func([]any) bool) {
		for r := range rows {
			if !yield(cells(r)) {
				return
			}
		}
	}
}

func maybe(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}

// FaultTable is the summary as one table: one row for each fault of each group of
// the team and of each player; of the one player alone where there are no others.
func FaultTable(s tally.Summary, o Origin) Table {
	t := Table{Name: "Faults", Columns: []string{
		"of", "player", "from", "to", "group", "name", "method", "rung",
		"sessions", "turns", "minutes", "strokes", "good",
		"streak", "streak_target", "streak_reached",
		"fault", "label", "phase", "weight", "marks", "unplaced_marks",
		"strokes_with_fault", "strokes_exposed", "rate", "rate_low", "rate_high",
		"minutes_without_strokes", "marks_without_strokes", "per_minute", "per_minute_low", "per_minute_high",
		"unlooked_turns", "unlooked_strokes", "unlooked", "redefined", "made_from",
	}, aside: []string{
		"of", "from", "to", "rung", "sessions", "turns", "minutes", "streak", "streak_target", "streak_reached", "phase", "weight", "unplaced_marks",
		"minutes_without_strokes", "marks_without_strokes", "per_minute_low", "per_minute_high", "unlooked_turns", "unlooked_strokes",
		"redefined",
	}}
	from := o.short()
	var all [][]any
	rows := func(of string, sheet tally.Sheet) {
		for _, g := range append(append([]group.Group{sheet.All}, sheet.Methods...), sheet.Drills...) {
			for _, f := range g.Faults {
				redefined := "" // it counts the marks of the whole sheet
				if g.Kind == "all" {
					redefined = sheet.Meanings[f.FaultID].Coach
				}
				all = append(all, append(faultRow(of, s.From, s.To, sheet, g, f), redefined, from))
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

func faultRow(of string, from, to club.Date, s tally.Sheet, g group.Group, f group.FaultLine) []any {
	r := []any{
		of, s.Name, from, to, g.Kind, g.Name, string(g.Method), nil,
		g.Sessions, g.Turns, g.Seconds / 60, g.Strokes, g.Good,
		nil, nil, nil,
		f.Code, f.Label, string(f.Phase), f.Weight, f.Marks, f.Unplaced,
		nil, nil, nil, nil, nil,
		nil, nil, nil, nil, nil,
		f.UnlookedTurns, f.UnlookedStrokes, f.Unlooked,
	}
	if g.Kind == "drill" {
		r[7] = g.Rung
	}
	if k := g.Streak; k.TurnID != "" {
		copy(r[13:], []any{k.Longest, k.Target, k.Reached})
	}
	if p := f.PerStroke; p != nil {
		copy(r[22:], []any{p.X, p.N, p.Rate})
		if p.Known() {
			copy(r[25:], []any{p.Low, p.High})
		}
	}
	if p := f.PerMinute; p != nil {
		copy(r[27:], []any{p.Minutes, p.X, p.Rate})
		if p.Known() {
			copy(r[30:], []any{p.Low, p.High})
		}
	}
	return r
}

// short is the origin in one cell.
func (o Origin) short() string {
	text := "Strokeledger"
	if o.Program != "" {
		text += " " + o.Program
	}
	if o.Definitions != "" {
		text += ", definitions " + o.Definitions + ", change " + strconv.FormatInt(o.State, 10)
	}
	return text
}

package publish

import (
	"context"
	"iter"
	"strings"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/picture"
	"strokeledger/internal/redact"
	"strokeledger/internal/report"
	"strokeledger/internal/store"
)

// lookup says what ids stand for in a document. Without names players and coaches
// appear by alias or initials, clips by a number, and notes, in which anybody may
// be named, stay away.
type lookup struct {
	names   bool
	players map[club.ID]string
	coaches map[club.ID]string
	drills  map[club.ID]club.Drill
	faults  map[club.ID]club.Fault
	clips   map[club.ID]club.Clip
	numbers map[club.ID]string // of clips
	drawn   map[club.ID][]picture.Drawing
}

func (d *Documents) lookup(ctx context.Context, cat club.Catalogue, names bool) (lookup, error) {
	l := lookup{
		names: names, players: redact.Players(cat, names), coaches: redact.Coaches(cat, names),
		drills: map[club.ID]club.Drill{}, faults: map[club.ID]club.Fault{}, clips: map[club.ID]club.Clip{}, numbers: map[club.ID]string{},
	}
	clips, err := d.lib.Clips(ctx)
	if err != nil {
		return l, err
	}
	for _, r := range cat.Drills {
		l.drills[r.ID] = r
	}
	for _, f := range cat.Faults {
		l.faults[f.ID] = f
	}
	for i, c := range clips {
		l.clips[c.ID], l.numbers[c.ID] = c, redact.Clip(i)
		if names {
			l.numbers[c.ID] = c.Name
		}
	}
	return l, nil
}

func (l lookup) note(text string) string {
	if !l.names {
		return ""
	}
	return text
}

// drawnAt is what is drawn on a mark's picture, or goes with the mark, in words.
func (l lookup) drawnAt(m club.Mark, film club.Clip) string {
	var all []string
	for _, d := range l.drawn[m.ClipID] {
		if (d.Shows(m.Frame) || d.MarkID == m.ID) && (l.names || d.Kind != picture.Text) {
			all = append(all, d.InWords(float64(film.Width), float64(film.Height)))
		}
	}
	return strings.Join(all, "; ")
}

// long are the long tables of the turns that a query picks.
type long struct{ marks, strokes, looks report.Table }

// tables are the long tables of marks, strokes and looks of the turns that the query
// picks, in order of date, clip and frame. Marks outside every turn are nobody's
// and in none; a record has them.
func (d *Documents) tables(ctx context.Context, q summary.Query) (all long, err error) {
	if err := q.Check(); err != nil {
		return all, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return all, err
	}
	origin, err := d.origin(ctx, cat)
	if err != nil {
		return all, err
	}
	l, err := d.lookup(ctx, cat, q.Names)
	if err != nil {
		return all, err
	}
	var turns []club.TurnRecord
	if drills, some := q.DrillsIn(cat); some {
		turns, err = d.lib.Record(ctx, store.Filter{Players: q.Players, Drills: drills, From: q.From, To: q.To})
		if err != nil {
			return all, err
		}
	}
	filmed := make([]club.ID, len(turns))
	for i, t := range turns {
		filmed[i] = t.ClipID
	}
	if l.drawn, err = d.lib.DrawingsOf(ctx, filmed); err != nil {
		return all, err
	}
	marks := rowsOf(turns, func(_ int, r club.TurnRecord) []report.MarkRow {
		return l.marks(r, aim.Hung(&r, l.faults, l.drills[r.DrillID].Pattern))
	})
	strokes := rowsOf(turns, func(i int, r club.TurnRecord) []report.StrokeRow {
		return l.strokes(r, aim.Hung(&r, l.faults, l.drills[r.DrillID].Pattern), i+1)
	})
	looks := rowsOf(turns, func(i int, r club.TurnRecord) []report.LookRow { return l.looks(r, i+1) })
	return long{report.MarkTable(marks, origin), report.StrokeTable(strokes, origin), report.LookTable(looks, origin)}, nil
}

// rowsOf makes the rows of one turn after the other.
func rowsOf[R any](turns []club.TurnRecord, rows func(i int, r club.TurnRecord) []R) iter.Seq[R] {
	return func(yield func(R) bool) {
		for i, r := range turns {
			for _, row := range rows(i, r) {
				if !yield(row) {
					return
				}
			}
		}
	}
}

func (l lookup) marks(r club.TurnRecord, on []int) (rows []report.MarkRow) {
	drill, film := l.drills[r.DrillID], l.clips[r.ClipID]
	sides := r.Sides(drill.Pattern)
	for i, m := range r.Marks {
		f := l.faults[m.FaultID]
		row := report.MarkRow{
			Date: r.Date, Player: l.players[r.PlayerID], Drill: drill.Name, Method: drill.Method, Rung: drill.Rung,
			Clip: l.numbers[r.ClipID], Frame: m.Frame, Seconds: r.Base.Seconds(m.Ticks - film.FirstTicks),
			Code: f.Code, Label: f.Label, Phase: f.Phase, Weight: f.Weight, Note: l.note(m.Note), Coach: l.coaches[m.CoachID],
			Source: m.Source, Confidence: m.Confidence, Signed: m.Sign != nil, Drawn: l.drawnAt(m, film),
		}
		frame := m.Frame
		if on[i] >= 0 {
			row.Stroke, row.Side = on[i]+1, sides[on[i]]
			frame = r.Strokes[on[i]].Frame // what counts is whether its stroke was looked at
		}
		row.LookedBy = l.lookedBy(r, func(k club.Look) bool { return k.Covers(frame) && k.For(m.FaultID) })
		rows = append(rows, row)
	}
	return rows
}

func (l lookup) strokes(r club.TurnRecord, on []int, turn int) (rows []report.StrokeRow) {
	drill, film := l.drills[r.DrillID], l.clips[r.ClipID]
	sides := r.Sides(drill.Pattern)
	codes := make([][]string, len(r.Strokes))
	for i, m := range r.Marks {
		if on[i] >= 0 {
			codes[on[i]] = append(codes[on[i]], l.faults[m.FaultID].Code)
		}
	}
	for i, s := range r.Strokes {
		row := report.StrokeRow{
			Date: r.Date, Player: l.players[r.PlayerID], Drill: drill.Name, Method: drill.Method, Rung: drill.Rung,
			Clip: l.numbers[r.ClipID], Turn: turn, Stroke: i + 1, Frame: s.Frame, Seconds: r.Base.Seconds(s.Ticks - film.FirstTicks),
			Side: sides[i], Outcome: s.Outcome, Faults: strings.Join(codes[i], " "), Answer: s.Answer, Coach: l.coaches[s.CoachID],
			Source: s.Source, Confidence: s.Confidence, LookedBy: l.lookedBy(r, func(k club.Look) bool { return k.Covers(s.Frame) }),
		}
		if s.Ready != nil {
			at := r.Base.Seconds(s.Ready.Ticks - film.FirstTicks)
			row.Ready = &at
		}
		rows = append(rows, row)
	}
	return rows
}

func (l lookup) looks(r club.TurnRecord, turn int) (rows []report.LookRow) {
	drill := l.drills[r.DrillID]
	for _, k := range r.Looks {
		codes := make([]string, len(k.Faults))
		for i, f := range k.Faults {
			codes[i] = l.faults[f].Code
		}
		rows = append(rows, report.LookRow{
			Date: r.Date, Player: l.players[r.PlayerID], Drill: drill.Name, Method: drill.Method, Rung: drill.Rung,
			Clip: l.numbers[r.ClipID], Turn: turn, Coach: l.coach(k.CoachID), Faults: strings.Join(codes, " "),
			First: max(k.First, r.First), Last: min(k.Last, r.Last), Made: k.Made, Assumed: k.Assumed,
		})
	}
	return rows
}

// lookedBy names the coaches of a turn's looks that are meant.
func (l lookup) lookedBy(r club.TurnRecord, meant func(club.Look) bool) string {
	var looks []club.Look
	for _, k := range r.Looks {
		if meant(k) {
			looks = append(looks, k)
		}
	}
	return report.LookedBy(looks, l.coach)
}

// coach is how a coach is called; of some looks it is not known who looked.
func (l lookup) coach(id club.ID) string {
	if name := l.coaches[id]; name != "" {
		return name
	}
	return "unknown"
}

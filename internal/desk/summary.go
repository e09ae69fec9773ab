package desk

import (
	"context"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
)

// Query says what is summed up. Empty lists and dates take all.
type Query struct {
	Players []club.ID     `json:"players"`
	Drills  []club.ID     `json:"drills"`
	Methods []club.Method `json:"methods"`
	From    club.Date     `json:"from"`
	To      club.Date     `json:"to"`
	Split   club.Date     `json:"split"` // compare before this day with from it on; empty: do not
	Names   bool          `json:"names"` // documents show full names instead of aliases
}

// check returns a *club.Problem where the period is none.
func (q Query) check() error {
	for field, day := range map[string]club.Date{"from": q.From, "to": q.To, "split": q.Split} {
		if day == "" {
			continue
		}
		if _, err := club.ParseDate(string(day)); err != nil {
			return &club.Problem{Field: field, Say: Sentence(err)}
		}
	}
	if q.From != "" && q.To != "" && q.From > q.To {
		return &club.Problem{Field: "to", Say: "The period ends before it starts: swap the two days."}
	}
	return nil
}

// drills are those that the query asks for by name and by method, empty for all;
// some is false where none fits both.
func (q Query) drills(cat club.Catalogue) (drills []club.ID, some bool) {
	if len(q.Methods) == 0 {
		return q.Drills, true
	}
	for _, r := range cat.Drills {
		if slices.Contains(q.Methods, r.Method) && (len(q.Drills) == 0 || slices.Contains(q.Drills, r.ID)) {
			drills = append(drills, r.ID)
		}
	}
	return drills, len(drills) > 0
}

// Summary counts what the query asks for.
func (d *Desk) Summary(ctx context.Context, q Query) (tally.Summary, error) {
	return d.sum(ctx, q, false)
}

// sum counts what the query asks for; lean as in tally.Options.
func (d *Desk) sum(ctx context.Context, q Query, lean bool) (tally.Summary, error) {
	if err := q.check(); err != nil {
		return tally.Summary{}, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return tally.Summary{}, err
	}
	o, err := d.options(ctx, q)
	if err != nil {
		return tally.Summary{}, err
	}
	o.Lean = lean
	// The ladder also counts what was before the period.
	turns, err := d.record(ctx, cat, q, q.Players)
	if err != nil {
		return tally.Summary{}, err
	}
	if len(q.Players) > 0 {
		if o.Club, err = d.totals(ctx, cat, q); err != nil {
			return tally.Summary{}, err
		}
	}
	return tally.SummariseWith(cat, turns, o), nil
}

// options are what the query and the club say.
func (d *Desk) options(ctx context.Context, q Query) (tally.Options, error) {
	o := tally.Options{From: q.From, To: q.To, Split: q.Split}
	wishes, err := d.Wishes(ctx)
	if err != nil {
		return o, err
	}
	o.TriesCap, o.Wish = wishes.TriesCap, wishes.Irregular
	o.Rulings, err = d.lib.Rulings(ctx)
	return o, err
}

// record reads the turns that the query asks for, of those players, from the
// first day on.
func (d *Desk) record(ctx context.Context, cat club.Catalogue, q Query, players []club.ID) ([]club.TurnRecord, error) {
	drills, some := q.drills(cat)
	if !some {
		return nil, nil
	}
	return d.lib.Record(ctx, store.Filter{Players: players, Drills: drills, To: q.To})
}

// totals are what all players of the club showed of each fault, which a single
// player's rates are drawn towards.
func (d *Desk) totals(ctx context.Context, cat club.Catalogue, q Query) ([]tally.Total, error) {
	k, err := d.count(ctx, cat, q, nil)
	if err != nil {
		return nil, err
	}
	return k.Totals(), nil
}

// count counts the turns of some players, or all, in what the query asks for.
func (d *Desk) count(ctx context.Context, cat club.Catalogue, q Query, players []club.ID) (*tally.Counter, error) {
	turns, err := d.record(ctx, cat, q, players)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(turns, func(a, b club.TurnRecord) int { return tally.InOrder(&a, &b) })
	k := tally.NewCounter(cat, tally.Options{From: q.From, To: q.To, Lean: true})
	for i := range turns {
		k.Add(&turns[i])
	}
	return k, nil
}

// MarkRow is one mark with what a list shows of it. Player and Drill are empty
// where no turn covers its frame.
type MarkRow struct {
	ID         club.ID   `json:"id"`
	ClipID     club.ID   `json:"clip_id"`
	ClipName   string    `json:"clip_name"`
	Date       club.Date `json:"date"`
	Frame      int       `json:"frame"`
	Seconds    float64   `json:"seconds"` // clip time
	FaultCode  string    `json:"fault_code"`
	FaultLabel string    `json:"fault_label"`
	Player     string    `json:"player"`
	Drill      string    `json:"drill"`
	Note       string    `json:"note"`
	Coach      string    `json:"coach"`
}

// MarkRows returns the marks with these ids, in order of clip and frame; those that are
// gone are left out.
func (d *Desk) MarkRows(ctx context.Context, ids []club.ID) ([]MarkRow, error) {
	marks, err := d.lib.MarksByID(ctx, ids)
	if err != nil {
		return nil, err
	}
	names, err := d.names(ctx)
	if err != nil {
		return nil, err
	}
	turns := make(map[club.ID][]club.Turn) // by clip
	rows := make([]MarkRow, 0, len(marks))
	for _, m := range marks {
		if _, ok := turns[m.ClipID]; !ok {
			led, err := d.lib.OfClip(ctx, m.ClipID)
			if err != nil {
				return nil, err
			}
			turns[m.ClipID] = led.Turns
		}
		film, fault := names.clips[m.ClipID], names.faults[m.FaultID]
		r := MarkRow{
			ID: m.ID, ClipID: m.ClipID, ClipName: film.Name, Date: names.dates[film.SessionID],
			Frame: m.Frame, Seconds: film.Base.Seconds(m.Ticks - film.FirstTicks),
			FaultCode: fault.Code, FaultLabel: fault.Label, Note: m.Note, Coach: names.coaches[m.CoachID],
		}
		for _, t := range turns[m.ClipID] {
			if t.Covers(m.Frame) {
				r.Player, r.Drill = names.players[t.PlayerID], names.drills[t.DrillID]
			}
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// names looks up what ids stand for.
type names struct {
	coaches, players, drills map[club.ID]string
	faults                   map[club.ID]club.Fault
	clips                    map[club.ID]club.Clip
	dates                    map[club.ID]club.Date // by session
}

func (d *Desk) names(ctx context.Context) (names, error) {
	n := names{
		map[club.ID]string{}, map[club.ID]string{}, map[club.ID]string{},
		map[club.ID]club.Fault{}, map[club.ID]club.Clip{}, map[club.ID]club.Date{},
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return n, err
	}
	clips, err := d.lib.Clips(ctx)
	if err != nil {
		return n, err
	}
	sessions, err := d.lib.Sessions(ctx)
	if err != nil {
		return n, err
	}
	for _, c := range cat.Coaches {
		n.coaches[c.ID] = c.Name
	}
	for _, p := range cat.Players {
		n.players[p.ID] = p.Name
	}
	for _, r := range cat.Drills {
		n.drills[r.ID] = r.Name
	}
	for _, f := range cat.Faults {
		n.faults[f.ID] = f
	}
	for _, c := range clips {
		n.clips[c.ID] = c
	}
	for _, s := range sessions {
		n.dates[s.ID] = s.Date
	}
	return n, nil
}

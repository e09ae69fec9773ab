// Package summary sums a library up: rates by player, drill and fault, the marks and
// turns behind them.
package summary

import (
	"cmp"
	"context"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/picture"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/reading"
)

// Summaries are those of a library. They are safe for concurrent use.
type Summaries struct {
	lib    *library.Library
	ladder *ladder.Ladder
	meter  Meter
}

// Meter tells what is measured of the turns that a filter picks, by what the library keeps.
type Meter interface {
	Readings(context.Context, store.Filter) (reading.Readings, error)
}

// New is for summaries of a library.
func New(lib *library.Library, rungs *ladder.Ladder, meter Meter) *Summaries {
	return &Summaries{lib: lib, ladder: rungs, meter: meter}
}

// Query says what is summed up. Empty lists and dates take all.
type Query struct {
	Players []club.ID     `json:"players"`
	Drills  []club.ID     `json:"drills"`
	Methods []club.Method `json:"methods"`
	From    club.Date     `json:"from"`
	To      club.Date     `json:"to"`
	Split   club.Date     `json:"split"` // compare before this day with from it on; empty: do not
	Names   bool          `json:"names"` // documents show full names instead of aliases
	// Documents show the film of players too without consent to it today; false
	// leaves their pictures out.
	Unconsented bool `json:"unconsented"`
}

// Check returns a *club.Problem where the period is none.
func (q Query) Check() error {
	for field, day := range map[string]club.Date{"from": q.From, "to": q.To, "split": q.Split} {
		if day == "" {
			continue
		}
		if _, err := club.ParseDate(string(day)); err != nil {
			return &club.Problem{Field: field, Say: sentence.Of(err)}
		}
	}
	if q.From != "" && q.To != "" && q.From > q.To {
		return &club.Problem{Field: "to", Say: "The period ends before it starts: swap the two days."}
	}
	return nil
}

// DrillsIn are those that the query asks for by name and by method, empty for all;
// some is false where none fits both.
func (q Query) DrillsIn(cat club.Catalogue) (drills []club.ID, some bool) {
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

// Sum counts what the query asks for.
func (x *Summaries) Sum(ctx context.Context, q Query) (tally.Summary, error) {
	s, err := x.sum(ctx, q, tally.Options{})
	if err != nil {
		return s, err
	}
	return s, x.redefined(ctx, q, &s)
}

// sum counts what the query asks for; o says how much of it is wanted.
func (x *Summaries) sum(ctx context.Context, q Query, o tally.Options) (tally.Summary, error) {
	if err := q.Check(); err != nil {
		return tally.Summary{}, err
	}
	// What is kept is as old as the change it was read after: everything that new
	// totals come from is read later.
	kept, err := x.lib.Standings(ctx)
	if err != nil {
		return tally.Summary{}, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return tally.Summary{}, err
	}
	if err := x.fill(ctx, q, &o); err != nil {
		return tally.Summary{}, err
	}
	if o.Club, err = x.totals(ctx, cat, kept); err != nil {
		return tally.Summary{}, err
	}
	k, err := x.count(ctx, cat, q, q.Players, o)
	if err != nil {
		return tally.Summary{}, err
	}
	return k.Summary(), nil
}

// fill says in the options what the query and the club say.
func (x *Summaries) fill(ctx context.Context, q Query, o *tally.Options) error {
	o.From, o.To, o.Split, o.Today = q.From, q.To, q.Split, x.lib.Today()
	goals, err := x.ladder.Goals(ctx)
	if err != nil {
		return err
	}
	o.TriesCap, o.Irregular = goals.TriesCap, goals.Irregular
	if o.Former, err = x.lib.FormerPlayer(ctx); err != nil {
		return err
	}
	o.Rulings, err = store.All[club.Ruling](ctx, x.lib.Library)
	slices.SortStableFunc(o.Rulings, func(a, b club.Ruling) int { return cmp.Compare(a.Date, b.Date) })
	return err
}

// totals are what all players of the club showed of each fault on all dates, which
// everybody's rates are drawn towards. The library keeps them: only players of
// whom something has changed are counted again. kept was read before cat.
func (x *Summaries) totals(ctx context.Context, cat club.Catalogue, kept store.Standings) ([]tally.Total, error) {
	totals := make([]tally.Total, 0, len(kept.ByPlayer)+len(kept.Missing))
	missing := kept.Missing
	for id, data := range kept.ByPlayer {
		t, ok := readStanding(data)
		if !ok || t.PlayerID != id { // not as this program writes it
			missing = append(missing, id)
			continue
		}
		totals = append(totals, t)
	}
	if len(missing) > 0 {
		k, err := x.count(ctx, cat, Query{}, missing, tally.Options{Lean: true})
		if err != nil {
			return nil, err
		}
		anew := map[club.ID][]byte{}
		for _, t := range k.Totals() {
			anew[t.PlayerID] = standing(t)
			totals = append(totals, t)
		}
		if err := x.lib.PutStandings(ctx, kept, anew); err != nil && ctx.Err() != nil {
			return nil, err // else they are counted again next time
		}
	}
	slices.SortFunc(totals, func(a, b tally.Total) int { return cmp.Compare(a.PlayerID, b.PlayerID) })
	return totals, nil
}

// count counts the turns of some players, or all, in what the query asks for. The
// ladder, which players have, also counts what was before the period and at other
// drills.
func (x *Summaries) count(ctx context.Context, cat club.Catalogue, q Query, players []club.ID, o tally.Options) (*tally.Counter, error) {
	drills, some := q.DrillsIn(cat)
	if !some {
		return tally.NewCounter(cat, o), nil
	}
	f := store.Filter{Players: players, Drills: drills, To: q.To}
	if !o.TeamOnly {
		f.Drills, o.Drills = nil, drills
	}
	k := tally.NewCounter(cat, o)
	err := x.lib.Each(ctx, f, !o.Lean, func(r *club.TurnRecord) error {
		k.Add(r)
		return nil
	})
	return k, err
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
	PlayerID   club.ID   `json:"player_id"`
	Drill      string    `json:"drill"`
	Note       string    `json:"note"`
	Coach      string    `json:"coach"`
	// Drawn is what coaches have drawn on the picture, its places in the picture as the
	// clip is shown.
	Drawn []picture.Drawing `json:"drawn"`
}

// MarkRows returns the marks with these ids, in order of clip and frame; those that are
// gone are left out.
func (x *Summaries) MarkRows(ctx context.Context, ids []club.ID) ([]MarkRow, error) {
	marks, err := x.lib.MarksByID(ctx, ids)
	if err != nil {
		return nil, err
	}
	names, err := x.lib.Names(ctx)
	if err != nil {
		return nil, err
	}
	clips := make([]club.ID, len(marks))
	for i, m := range marks {
		clips[i] = m.ClipID
	}
	turns, err := x.lib.TurnsOf(ctx, clips)
	if err != nil {
		return nil, err
	}
	drawn, err := x.lib.DrawingsOf(ctx, clips)
	if err != nil {
		return nil, err
	}
	shown := map[club.ID]picture.Adjustment{}
	adjusted, err := store.All[picture.Adjustment](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	for _, a := range adjusted {
		shown[a.ClipID] = a
	}
	rows := make([]MarkRow, 0, len(marks))
	for _, m := range marks {
		film, fault := names.Clips[m.ClipID], names.Faults[m.FaultID]
		r := MarkRow{
			ID: m.ID, ClipID: m.ClipID, ClipName: film.Name, Date: names.Dates[film.SessionID],
			Frame: m.Frame, Seconds: film.Base.Seconds(m.Ticks - film.FirstTicks),
			FaultCode: fault.Code, FaultLabel: fault.Label, Note: m.Note, Coach: names.Coaches[m.CoachID],
		}
		for _, d := range append(picture.OfSign(m), drawn[m.ClipID]...) {
			if d.Shows(m.Frame) {
				r.Drawn = append(r.Drawn, d.Moved(shown[m.ClipID].Shown))
			}
		}
		for _, t := range turns[m.ClipID] {
			if t.Covers(m.Frame) {
				r.Player, r.PlayerID, r.Drill = names.Players[t.PlayerID], t.PlayerID, names.Drills[t.DrillID]
			}
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// Package secondlook has turns looked at a second time without what was marked the
// first: choosing them, beginning, and ending.
package secondlook

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/agreement"
)

// Looks are the second looks of a library. They are safe for concurrent use.
type Looks struct {
	lib *library.Library
}

// New are the second looks of a library.
func New(lib *library.Library) *Looks { return &Looks{lib: lib} }

// Query chooses turns for a second look, of those with strokes that the first coach has
// looked through.
type Query struct {
	CoachID club.ID   `json:"coach_id"` // who looks
	FirstID club.ID   `json:"first_id"` // who has looked; may be the same coach
	Players []club.ID `json:"players"`  // empty lists and dates take all
	Drills  []club.ID `json:"drills"`
	From    club.Date `json:"from"` // both days included
	To      club.Date `json:"to"`
	// A sample of them is drawn where Turns, or Half, is above 0: so many turns, or as
	// many as give kappa an interval of half that width, by players and drills as they
	// stand in the whole. The same seed draws the same.
	Turns   int     `json:"turns"`
	Half    float64 `json:"half"`
	FaultID club.ID `json:"fault_id"` // for which fault the interval is meant; empty: the one marked most
	Kappa   float64 `json:"kappa"`    // that is expected
	Seed    int64   `json:"seed"`
}

// Choice is what a query chooses.
type Choice struct {
	Turns   []club.ID `json:"turns"` // in order of date, clip and frame
	Strokes int       `json:"strokes"`
	Of      int       `json:"of"`  // turns that could be chosen
	Say     string    `json:"say"` // how they were chosen, in words
	// Note says what stands against it, "" for nothing.
	Note string `json:"note"`
}

// How recent a coach's own marks may be before the coach remembers them (common practice,
// no source: some weeks).
const weeks = 3

// Choose chooses the turns.
func (x *Looks) Choose(ctx context.Context, q Query) (c Choice, err error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return c, err
	}
	for _, id := range []club.ID{q.CoachID, q.FirstID} {
		if _, err := library.Find(cat.Coaches, id, func(c club.Coach) club.ID { return c.ID }, "coach"); err != nil {
			return c, err
		}
	}
	if q.Turns < 0 || q.Half < 0 || q.Half >= 1 || q.Kappa < 0 || q.Kappa >= 1 {
		return c, &club.Problem{Field: "half", Say: "The width and the kappa are numbers between 0 and 1, and the number of turns is not below 0."}
	}
	for _, day := range []club.Date{q.From, q.To} {
		if _, err := club.ParseDate(string(day)); day != "" && err != nil {
			return c, err
		}
	}
	turns, err := x.lib.Record(ctx, store.Filter{Players: q.Players, Drills: q.Drills, From: q.From, To: q.To, Raw: true})
	if err != nil {
		return c, err
	}
	looks, err := store.All[standard.BlindLook](ctx, x.lib.Library)
	if err != nil {
		return c, err
	}
	taken := map[club.ID]bool{}
	for _, b := range looks {
		for _, t := range b.Turns {
			taken[t] = taken[t] || b.Open() || b.CoachID == q.CoachID && b.FirstID == q.FirstID
		}
	}
	latest := time.Time{}
	turns = slices.DeleteFunc(turns, func(t club.TurnRecord) bool {
		mine := slices.ContainsFunc(t.Looks, func(l club.Look) bool {
			return l.CoachID == q.FirstID && l.BlindID == "" && !l.Assumed && l.First <= t.First && l.Last >= t.Last
		})
		if mine && q.CoachID == q.FirstID {
			for _, l := range t.Looks {
				if l.CoachID == q.FirstID && l.Made.After(latest) {
					latest = l.Made
				}
			}
		}
		return !mine || len(t.Strokes) == 0 || taken[t.ID]
	})
	c.Of, c.Turns = len(turns), []club.ID{}
	if len(turns) == 0 {
		return c, &club.Problem{Field: "turns", Say: "There is no turn here with strokes that the first coach has looked through and that was not looked at a second time: choose more, or look through some first."}
	}
	c.Say = "all of them"
	if n, why := q.size(cat, turns); n > 0 && n < len(turns) {
		strata := make([]string, len(turns))
		for i, t := range turns {
			strata[i] = string(t.PlayerID) + " " + string(t.DrillID)
		}
		var drawn []club.TurnRecord
		for _, i := range agreement.Draw(strata, n, uint64(q.Seed)) {
			drawn = append(drawn, turns[i])
		}
		c.Say = fmt.Sprintf("%d of %d turns, drawn by player and drill with the seed %d%s", n, len(turns), q.Seed, why)
		turns = drawn
	} else if n > len(turns) {
		c.Note = fmt.Sprintf("That width takes about %d turns, and there are %d: the interval will be wider.", n, len(turns))
	}
	for _, t := range turns {
		c.Turns, c.Strokes = append(c.Turns, t.ID), c.Strokes+len(t.Strokes)
	}
	if days := int(x.lib.Now().Sub(latest).Hours() / 24); q.CoachID == q.FirstID && days < 7*weeks {
		c.Note = fmt.Sprintf("You looked through some of these %d days ago: after %d weeks you would remember less of them.", days, weeks)
	}
	return c, nil
}

// size is how many turns are to be drawn, 0 for all, and why.
func (q Query) size(cat club.Catalogue, turns []club.TurnRecord) (n int, why string) {
	if q.Turns > 0 || q.Half == 0 {
		return q.Turns, ""
	}
	said, strokes := map[club.ID]int{}, 0
	drills, faults := map[club.ID]club.Drill{}, map[club.ID]club.Fault{}
	for _, d := range cat.Drills {
		drills[d.ID] = d
	}
	for _, f := range cat.Faults {
		faults[f.ID] = f
	}
	for i := range turns {
		t := &turns[i]
		strokes += len(t.Strokes)
		once := map[string]bool{}
		for k, on := range aim.Hung(t, faults, drills[t.DrillID].Pattern) {
			m := t.Marks[k]
			key := fmt.Sprint(on, m.FaultID)
			if on >= 0 && m.CoachID == q.FirstID && m.BlindID == "" && !once[key] {
				once[key] = true
				said[m.FaultID]++
			}
		}
	}
	fault := q.FaultID
	for id, n := range said {
		if q.FaultID == "" && (n > said[fault] || n == said[fault] && id < fault) {
			fault = id
		}
	}
	rate := min(max(float64(said[fault])/float64(strokes), 0.01), 0.99)
	plan := agreement.Plan{Rate: rate, Kappa: q.Kappa, Half: q.Half, PerTurn: float64(strokes) / float64(len(turns)), Alike: agreement.UsualAlike}
	need, n := plan.Strokes()
	return n, fmt.Sprintf(", for %d strokes or more: what kappa takes to be known to within %.2f for %s on %.0f %% of the strokes, if it is %.2f", need, q.Half, faults[fault].Code, 100*rate, q.Kappa)
}

// Begin begins a second look at what the query chooses, in the name of its coach, who is
// the one who marks from then on. What could be undone before cannot any more.
func (x *Looks) Begin(ctx context.Context, q Query) (b standard.BlindLook, err error) {
	c, err := x.Choose(ctx, q)
	if err != nil {
		return b, err
	}
	looks, err := store.All[standard.BlindLook](ctx, x.lib.Library)
	if err != nil {
		return b, err
	}
	if slices.ContainsFunc(looks, func(b standard.BlindLook) bool { return b.Open() && b.CoachID == q.CoachID }) {
		return b, &club.Problem{Say: "A second look of this coach goes on: finish it, or leave it, before another begins."}
	}
	tests, err := store.All[standard.Trial](ctx, x.lib.Library)
	if err != nil {
		return b, err
	}
	if slices.ContainsFunc(tests, func(t standard.Trial) bool { return t.Open() && t.CoachID == q.CoachID }) {
		return b, &club.Problem{Say: "A test of this coach goes on: finish it, or leave it, before a second look begins."}
	}
	b = standard.BlindLook{ID: x.lib.NewID(), CoachID: q.CoachID, FirstID: q.FirstID, Turns: c.Turns, Drawn: c.Say, Made: x.lib.Now().UTC().Truncate(time.Microsecond)}
	if _, err := x.lib.DoAs(ctx, q.CoachID, fmt.Sprintf("begin a second look at %d turns", len(c.Turns)), store.Put(b)); err != nil {
		return b, err
	}
	if err := x.lib.SetCoach(ctx, q.CoachID); err != nil {
		return b, err
	}
	return b, x.lib.ClearUndo(ctx)
}

// Row is one second look.
type Row struct {
	standard.BlindLook
	Left   []club.ID `json:"left"`    // turns of it that its coach has not looked through; of one that goes on, and that the coach who marks may see
	IsMine bool      `json:"is_mine"` // of the coach who marks
}

// List lists the second looks, the latest first.
func (x *Looks) List(ctx context.Context) ([]Row, error) {
	looks, err := store.All[standard.BlindLook](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return nil, err
	}
	rows := make([]Row, len(looks))
	for i, b := range looks {
		rows[i] = Row{BlindLook: b, Left: []club.ID{}, IsMine: b.CoachID == coach}
		if b.Open() && b.CoachID == coach {
			if rows[i].Left, err = x.left(ctx, b); err != nil {
				return nil, err
			}
		}
	}
	slices.SortFunc(rows, func(a, b Row) int { return cmp.Or(b.Made.Compare(a.Made), cmp.Compare(a.ID, b.ID)) })
	return rows, nil
}

// left are the turns of the coach's own second look that are not looked through.
func (x *Looks) left(ctx context.Context, b standard.BlindLook) ([]club.ID, error) {
	left, ledgers := []club.ID{}, map[club.ID]store.Ledger{}
	for _, id := range b.Turns {
		t, err := store.Get[club.Turn](ctx, x.lib.Library, id)
		if err != nil {
			return nil, err
		}
		led, read := ledgers[t.ClipID]
		if !read {
			if led, err = x.lib.OfClip(ctx, t.ClipID); err != nil {
				return nil, err
			}
			ledgers[t.ClipID] = led
		}
		if !slices.ContainsFunc(led.Looks, func(l club.Look) bool { return l.BlindID == b.ID && l.First <= t.First && l.Last >= t.Last }) {
			left = append(left, id)
		}
	}
	return left, nil
}

// Finish ends a second look: from then on it counts, is seen, and is compared. It cannot
// be undone, and neither can what came before it. Turns that were not looked through are
// in no comparison.
func (x *Looks) Finish(ctx context.Context, id club.ID) error {
	b, err := x.own(ctx, id)
	if err != nil {
		return err
	}
	left, err := x.left(ctx, b)
	if err != nil {
		return err
	}
	if len(left) == len(b.Turns) {
		return &club.Problem{Say: "No turn of this second look is looked through yet: go on with it, or leave it."}
	}
	at := x.lib.Now().UTC().Truncate(time.Microsecond)
	b.Finished = &at
	if _, err := x.lib.DoAs(ctx, b.CoachID, "finish the second look", store.Put(b)); err != nil {
		return err
	}
	return x.lib.ClearUndo(ctx)
}

// Leave gives a second look up and takes out what was entered in it.
func (x *Looks) Leave(ctx context.Context, id club.ID) error {
	b, err := x.own(ctx, id)
	if err != nil {
		return err
	}
	edits := []store.Edit{store.Remove[standard.BlindLook](b.ID)}
	marks, err := store.All[club.Mark](ctx, x.lib.Library)
	if err != nil {
		return err
	}
	for _, m := range marks {
		if m.BlindID == b.ID {
			edits = append(edits, store.Remove[club.Mark](m.ID))
		}
	}
	looks, err := store.All[club.Look](ctx, x.lib.Library)
	if err != nil {
		return err
	}
	for _, l := range looks {
		if l.BlindID == b.ID {
			edits = append(edits, store.Remove[club.Look](l.ID))
		}
	}
	judged, err := store.All[standard.Judgement](ctx, x.lib.Library)
	if err != nil {
		return err
	}
	for _, j := range judged {
		if j.BlindID == b.ID {
			edits = append(edits, store.Remove[standard.Judgement](j.ID))
		}
	}
	if _, err := x.lib.DoAs(ctx, b.CoachID, "leave the second look", edits...); err != nil {
		return err
	}
	return x.lib.ClearUndo(ctx)
}

// own is a second look that goes on, of the coach who marks.
func (x *Looks) own(ctx context.Context, id club.ID) (b standard.BlindLook, err error) {
	if b, err = store.Get[standard.BlindLook](ctx, x.lib.Library, id); err != nil {
		return b, err
	}
	coach, err := x.lib.Coach(ctx)
	switch {
	case err != nil:
		return b, err
	case b.CoachID != coach:
		return b, &club.Problem{Say: "Only the coach who looks a second time can end it: let that coach mark."}
	case !b.Open():
		return b, &club.Problem{Say: "This second look is finished already."}
	}
	return b, nil
}

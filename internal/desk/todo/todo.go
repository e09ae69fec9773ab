// Package todo lists what is still to do: turns that nobody has looked through, turns
// without strokes, clips without turns.
package todo

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Lister lists what is to do in a library. It is safe for concurrent use.
type Lister struct {
	lib *library.Library
}

// New is for what is to do in a library.
func New(lib *library.Library) *Lister {
	return &Lister{lib: lib}
}

// Query chooses what is listed of all that is still to do.
type Query struct {
	PlayerID club.ID   `json:"player_id"` // only turns of this player; empty: of all who have not left
	FaultID  club.ID   `json:"fault_id"`  // only looking for this fault; empty: for every fault in use
	CoachID  club.ID   `json:"coach_id"`  // only looks of this coach count; empty: anybody's
	From     club.Date `json:"from"`      // both days included, an empty one is open
	To       club.Date `json:"to"`
	Most     int       `json:"most"` // rows at most; 0: all
}

// List is what is still to do.
type List struct {
	Rows      []Row `json:"rows"`      // the latest session first, then by clip and frame
	Turns     int   `json:"turns"`     // with something to do, however many rows are given
	Unlooked  int   `json:"unlooked"`  // of them that nobody has looked at
	Partly    int   `json:"partly"`    // of them that were looked through for some faults only, or in part
	Unsettled int   `json:"unsettled"` // of them without strokes
	Clips     int   `json:"clips"`     // without any turn
}

// Row is one turn with all that is still to do on it, or a clip without turns.
type Row struct {
	Date     club.Date `json:"date"`
	ClipID   club.ID   `json:"clip_id"`
	ClipName string    `json:"clip_name"`
	TurnID   club.ID   `json:"turn_id"` // empty: the clip has no turn, and what follows is empty too
	PlayerID club.ID   `json:"player_id"`
	DrillID  club.ID   `json:"drill_id"`
	First    int       `json:"first"`   // frame
	Last     int       `json:"last"`    // frame
	Seconds  float64   `json:"seconds"` // of the first frame, clip time
	Strokes  int       `json:"strokes"`
	Unlooked bool      `json:"unlooked"` // nobody has looked at any of it
	// Missing are the codes of the faults for which it was not looked through, where
	// it was looked at; see lookedThrough.
	Missing   []string `json:"missing"`
	Unsettled bool     `json:"unsettled"` // no stroke is logged, and what was heard is neither taken over nor refused
	Mine      bool     `json:"mine"`      // the coach who marks has looked at some of it, and said so
}

// List lists what is still to do: turns that nobody has looked through, turns
// without strokes, clips without turns. Turns of players who have left are left out
// unless the query names the player, and so is what has no film any more. Clips
// without turns belong to no player.
func (l *Lister) List(ctx context.Context, q Query) (t List, err error) {
	t.Rows = []Row{}
	cat, err := l.lib.Catalogue(ctx)
	if err != nil {
		return t, err
	}
	coach, err := l.lib.Coach(ctx)
	if err != nil {
		return t, err
	}
	filmless, err := l.lib.Filmless(ctx)
	if err != nil {
		return t, err
	}
	if q.FaultID != "" {
		if _, err := library.Find(cat.Faults, q.FaultID, func(f club.Fault) club.ID { return f.ID }, "fault"); err != nil {
			return t, err
		}
	}
	w := work{query: q, coach: coach, left: map[club.ID]bool{}}
	for _, f := range cat.Faults {
		if f.ID == q.FaultID || q.FaultID == "" && !f.Retired {
			w.faults = append(w.faults, f)
		}
	}
	filter := store.Filter{From: q.From, To: q.To}
	if q.PlayerID != "" {
		filter.Players = []club.ID{q.PlayerID}
	} else {
		for _, p := range cat.Players {
			w.left[p.ID] = p.Retired
		}
	}
	err = l.lib.Each(ctx, filter, false, func(r *club.TurnRecord) error {
		if filmless[r.ClipID] || w.left[r.PlayerID] {
			return nil
		}
		row, some := w.row(r)
		if !some {
			return nil
		}
		t.Rows = append(t.Rows, row)
		t.Turns++
		switch {
		case row.Unlooked:
			t.Unlooked++
		case len(row.Missing) > 0:
			t.Partly++
		}
		if row.Unsettled {
			t.Unsettled++
		}
		return nil
	})
	if err != nil {
		return t, err
	}
	if q.PlayerID == "" {
		clips, err := l.lib.Turnless(ctx, q.From, q.To)
		if err != nil {
			return t, err
		}
		t.Clips = len(clips)
		for id, date := range clips {
			t.Rows = append(t.Rows, Row{Date: date, ClipID: id, Missing: []string{}})
		}
	}
	slices.SortFunc(t.Rows, func(a, b Row) int {
		return cmp.Or(strings.Compare(string(b.Date), string(a.Date)), strings.Compare(string(a.ClipID), string(b.ClipID)), cmp.Compare(a.First, b.First))
	})
	if q.Most > 0 && len(t.Rows) > q.Most {
		t.Rows = slices.Clone(t.Rows[:q.Most])
	}
	return t, l.nameClips(ctx, t.Rows)
}

// nameClips writes the names of their clips into rows.
func (l *Lister) nameClips(ctx context.Context, rows []Row) error {
	var ids []club.ID
	for _, r := range rows {
		if len(ids) == 0 || ids[len(ids)-1] != r.ClipID {
			ids = append(ids, r.ClipID)
		}
	}
	clips, err := l.lib.ClipsByID(ctx, ids)
	if err != nil {
		return err
	}
	name := make(map[club.ID]string, len(clips))
	for _, c := range clips {
		name[c.ID] = c.Name
	}
	for i := range rows {
		rows[i].ClipName = name[rows[i].ClipID]
	}
	return nil
}

// work finds what is still to do on turns.
type work struct {
	query  Query
	coach  club.ID          // who marks
	faults []club.Fault     // to be looked for
	left   map[club.ID]bool // players
	looks  []club.Look      // of the turn at hand that count
}

// row is what is still to do on a turn, and whether there is something.
func (w *work) row(r *club.TurnRecord) (row Row, some bool) {
	row = Row{
		Date: r.Date, ClipID: r.ClipID, TurnID: r.ID, PlayerID: r.PlayerID, DrillID: r.DrillID, First: r.First, Last: r.Last,
		Seconds: r.Base.Seconds(r.FirstTicks - r.Zero), Strokes: len(r.Strokes), Missing: []string{},
		Unsettled: len(r.Strokes) == 0 && !r.Settled,
	}
	w.looks = w.looks[:0]
	for _, l := range r.Looks {
		if q := w.query; q.FaultID != "" && !l.For(q.FaultID) || q.CoachID != "" && (l.CoachID != q.CoachID || l.Assumed) {
			continue
		}
		w.looks = append(w.looks, l)
		row.Mine = row.Mine || l.CoachID == w.coach && w.coach != "" && !l.Assumed
	}
	row.Unlooked = len(w.looks) == 0 && len(w.faults) > 0
	if !row.Unlooked {
		for i := range w.faults {
			if !lookedThrough(r, w.looks, w.faults[i].ID) {
				row.Missing = append(row.Missing, w.faults[i].Code)
			}
		}
	}
	return row, row.Unlooked || row.Unsettled || len(row.Missing) > 0
}

// lookedThrough reports whether a turn was looked through for a fault, as a summary
// counts it (see group.Looked): one look shows all of it, or each of its strokes was
// looked at.
func lookedThrough(r *club.TurnRecord, looks []club.Look, fault club.ID) bool {
	if slices.ContainsFunc(looks, func(l club.Look) bool { return l.First <= r.First && l.Last >= r.Last && l.For(fault) }) {
		return true
	}
	return len(r.Strokes) > 0 && !slices.ContainsFunc(r.Strokes, func(s club.Stroke) bool {
		return !slices.ContainsFunc(looks, func(l club.Look) bool { return l.Covers(s.Frame) && l.For(fault) })
	})
}

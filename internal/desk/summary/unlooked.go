package summary

import (
	"cmp"
	"context"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
)

// mostUnlooked is how many turns Unlooked lists: more than anybody looks through.
const mostUnlooked = 500

// Unlooked is the turns that were not looked through.
type Unlooked struct {
	Total int            `json:"total"` // how many there are; Turns lists the latest 500
	Turns []UnlookedTurn `json:"turns"` // latest day first, those of a day by clip and frame; never nil
}

// UnlookedTurn is one turn that was not looked through, with what a list shows of it.
type UnlookedTurn struct {
	TurnID   club.ID   `json:"turn_id"`
	ClipID   club.ID   `json:"clip_id"`
	ClipName string    `json:"clip_name"`
	Date     club.Date `json:"date"`
	Frame    int       `json:"frame"`   // its first
	Seconds  float64   `json:"seconds"` // clip time of that frame
	Length   float64   `json:"length"`  // seconds
	Player   string    `json:"player"`
	PlayerID club.ID   `json:"player_id"`
	Drill    string    `json:"drill"`
	Strokes  int       `json:"strokes"` // logged
	Nobody   bool      `json:"nobody"`  // nobody has looked at any of it for any fault
	// Faults are the codes of those in use, and of the one that was asked for, of which
	// something was left out, in the order of the catalogue.
	Faults []string `json:"faults"`
}

// Unlooked lists the turns of what the query asks for that were not looked through
// for a fault; for "" those that were not for some fault in use: the turns behind
// FaultLine.UnlookedTurns, and behind Looked.Left.
func (x *Summaries) Unlooked(ctx context.Context, q Query, fault club.ID) (Unlooked, error) {
	none := Unlooked{Turns: []UnlookedTurn{}}
	if err := q.Check(); err != nil {
		return none, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return none, err
	}
	drills, some := q.DrillsIn(cat)
	if !some {
		return none, nil
	}
	names, err := x.lib.Names(ctx)
	if err != nil {
		return none, err
	}
	var wanted []club.ID
	for _, f := range cat.Faults {
		if !f.Retired || f.ID == fault {
			wanted = append(wanted, f.ID)
		}
	}
	k := tally.NewCounter(cat, tally.Options{})
	out := none
	err = x.lib.Each(ctx, store.Filter{Players: q.Players, Drills: drills, From: q.From, To: q.To}, false, func(r *club.TurnRecord) error {
		left := k.Unlooked(r, wanted)
		if len(left) == 0 || fault != "" && !slices.Contains(left, fault) {
			return nil
		}
		if out.Total++; len(out.Turns) == 2*mostUnlooked { // they come with the latest last
			out.Turns = append(out.Turns[:0], out.Turns[mostUnlooked:]...)
		}
		film := names.Clips[r.ClipID]
		t := UnlookedTurn{
			TurnID: r.ID, ClipID: r.ClipID, ClipName: film.Name, Date: r.Date,
			Frame: r.First, Seconds: r.Base.Seconds(r.FirstTicks - r.Zero), Length: r.Seconds(),
			Player: names.Players[r.PlayerID], PlayerID: r.PlayerID, Drill: names.Drills[r.DrillID],
			Strokes: len(r.Strokes), Nobody: len(r.Looks) == 0, Faults: make([]string, len(left)),
		}
		for i, id := range left {
			t.Faults[i] = names.Faults[id].Code
		}
		out.Turns = append(out.Turns, t)
		return nil
	})
	if err != nil {
		return none, err
	}
	out.Turns = out.Turns[max(0, len(out.Turns)-mostUnlooked):]
	slices.SortStableFunc(out.Turns, func(a, b UnlookedTurn) int { return cmp.Compare(b.Date, a.Date) })
	return out, nil
}

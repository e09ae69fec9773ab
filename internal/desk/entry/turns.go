package entry

import (
	"context"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Turns are those of a library. They are safe for concurrent use.
type Turns struct {
	lib     *library.Library
	footage *footage.Clips
}

// NewTurns are the turns of a library.
func NewTurns(lib *library.Library, clips *footage.Clips) *Turns {
	return &Turns{lib: lib, footage: clips}
}

// NewTurn is a stretch of a clip that is to be a turn.
type NewTurn struct {
	First    int     `json:"first"` // frame
	Last     int     `json:"last"`  // frame
	PlayerID club.ID `json:"player_id"`
	DrillID  club.ID `json:"drill_id"`
}

// Make makes turns of a clip, all of them in one step or none. What another turn
// covers is left out of them; one of which nothing is left is a club.Problem.
func (x *Turns) Make(ctx context.Context, clipID club.ID, wanted []NewTurn) ([]club.Turn, error) {
	if len(wanted) == 0 {
		return nil, &club.Problem{Say: "No turn is chosen: tick one at least."}
	}
	row, err := x.lib.Clip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	led, err := x.lib.OfClip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	there := led.Turns
	var made []club.Turn
	var edits []store.Edit
	var drill club.Drill
	for _, w := range wanted {
		t := club.Turn{ID: x.lib.NewID(), ClipID: clipID, PlayerID: w.PlayerID, DrillID: w.DrillID, First: w.First, Last: w.Last}
		if t, err = trimmed(t, there); err != nil {
			return nil, err
		}
		if t, drill, err = x.placed(ctx, row, cat, t, there); err != nil {
			return nil, err
		}
		there = append(there[:len(there):len(there)], t)
		made, edits = append(made, t), append(edits, store.Put(t))
	}
	label := fmt.Sprintf("add turn %s, frames %d to %d", club.Isolated(drill.Name), made[0].First, made[0].Last)
	if len(made) > 1 {
		label = fmt.Sprintf("add %d turns, frames %d to %d", len(made), made[0].First, made[len(made)-1].Last)
	}
	if _, err := x.lib.Do(ctx, label, edits...); err != nil {
		return nil, err
	}
	return made, nil
}

// trimmed is a turn without the frames at its ends that others cover; it ends before
// one that lies in its midst.
func trimmed(t club.Turn, others []club.Turn) (club.Turn, error) {
	for again := true; again && t.First <= t.Last; {
		again = false
		for _, o := range others {
			switch {
			case o.Covers(t.First):
				t.First, again = o.Last+1, true
			case t.Covers(o.First):
				t.Last, again = o.First-1, true
			}
		}
	}
	if t.First > t.Last {
		return t, &club.Problem{Field: "first", Say: "Another turn covers these frames already: look at the clip again."}
	}
	return t, nil
}

// placed is a turn with its ticks, and its drill, where it keeps the rules among the
// others of its clip.
func (x *Turns) placed(ctx context.Context, row club.Clip, cat club.Catalogue, t club.Turn, others []club.Turn) (club.Turn, club.Drill, error) {
	if err := club.CheckTurn(t, row.Frames, others); err != nil {
		return t, club.Drill{}, err
	}
	if _, err := library.Find(cat.Players, t.PlayerID, func(p club.Player) club.ID { return p.ID }, "player"); err != nil {
		return t, club.Drill{}, err
	}
	drill, err := library.Find(cat.Drills, t.DrillID, func(r club.Drill) club.ID { return r.ID }, "drill")
	if err != nil {
		return t, drill, err
	}
	if t.FirstTicks, err = x.footage.Ticks(ctx, row, t.First); err != nil {
		return t, drill, err
	}
	t.LastTicks, err = x.footage.Ticks(ctx, row, t.Last)
	return t, drill, err
}

// Save adds (empty ID) or changes a turn; its ticks are filled in from its
// frames.
func (x *Turns) Save(ctx context.Context, t club.Turn) (club.Turn, error) {
	row, err := x.lib.Clip(ctx, t.ClipID)
	if err != nil {
		return t, err
	}
	led, err := x.lib.OfClip(ctx, t.ClipID)
	if err != nil {
		return t, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return t, err
	}
	t, drill, err := x.placed(ctx, row, cat, t, led.Turns)
	if err != nil {
		return t, err
	}
	verb := "change"
	t.Settled, t.Anchor, t.HeardFrom = false, nil, 0 // have their own ways: see package proposed
	if t.ID == "" {
		t.ID, verb = x.lib.NewID(), "add"
	} else {
		old, err := library.Find(led.Turns, t.ID, func(t club.Turn) club.ID { return t.ID }, "turn")
		if err != nil {
			return t, err
		}
		t.Settled, t.HeardFrom = old.Settled, old.HeardFrom
		if a := old.Anchor; a != nil && t.FirstTicks <= *a && *a <= t.LastTicks {
			t.Anchor = a
		}
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("%s turn %s, frames %d to %d", verb, club.Isolated(drill.Name), t.First, t.Last), store.Put(t))
	return t, err
}

// Remove takes a turn away; the strokes and marks in it stay, uncounted until
// another turn covers them.
func (x *Turns) Remove(ctx context.Context, id club.ID) error {
	t, err := store.Get[club.Turn](ctx, x.lib.Library, id)
	if err != nil {
		return err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("remove turn, frames %d to %d", t.First, t.Last), store.Remove[club.Turn](id))
	return err
}

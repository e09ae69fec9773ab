package desk

import (
	"context"
	"errors"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/second"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// AddSecondCoach has a third coach of the invented club of a seed, with known habits, look
// at the turns of the others a second time, in the library of that club in a folder. The
// second looks are finished.
func AddSecondCoach(ctx context.Context, folder string, seed int64, h second.Habits) (err error) {
	d, err := Open(ctx, folder, library.Options{})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.Close()) }()
	c := demo.Make(seed)
	coach, looks := second.Read(&c, h, uint64(seed))
	return d.addSecond(ctx, coach, looks)
}

func (d *Desk) addSecond(ctx context.Context, coach club.Coach, looks []second.Reading) error {
	edits := []store.Edit{store.Put(coach)}
	for _, s := range looks {
		made := s.Looks[0].Made
		over := made.Add(time.Hour)
		b := standard.BlindLook{ID: d.Library.NewID(), CoachID: coach.ID, FirstID: s.First, Turns: s.Turns, Drawn: "all of them", Made: made, Finished: &over}
		edits = append(edits, store.Put(b))
		for _, m := range s.Marks {
			m.BlindID = b.ID
			edits = append(edits, store.Put(m))
		}
		for _, l := range s.Looks {
			l.BlindID = b.ID
			edits = append(edits, store.Put(l))
		}
		for stroke, outcome := range s.Judged {
			k, err := store.Get[club.Stroke](ctx, d.Library.Library, stroke)
			if err != nil {
				return err
			}
			edits = append(edits, store.Put(standard.Judgement{ID: d.Library.NewID(), BlindID: b.ID, ClipID: k.ClipID, StrokeID: stroke, Side: k.Side, Outcome: outcome}))
		}
	}
	if _, err := d.Library.DoAs(ctx, coach.ID, "look a second time", edits...); err != nil {
		return err
	}
	return d.Library.ClearUndo(ctx)
}

package desk

import (
	"context"
	"slices"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// ForgetIndex spoils a clip's cached index, so that it is scanned anew.
func (d *Desk) ForgetIndex(ctx context.Context, id club.ID) error {
	row, err := d.Library.Clip(ctx, id)
	if err != nil {
		return err
	}
	return d.Library.PutIndex(ctx, row.Fingerprint, []byte("spoilt"))
}

// PutLook keeps what a coach has looked through of a clip, as it is given but for its
// ID and ticks.
func (d *Desk) PutLook(ctx context.Context, l club.Look) error {
	row, err := d.Library.Clip(ctx, l.ClipID)
	if err != nil {
		return err
	}
	l.ID, l.Made = d.Library.NewID(), time.Date(2026, 3, 15, 20, 0, 0, 0, time.UTC)
	if l.FirstTicks, err = d.Footage.Ticks(ctx, row, l.First); err != nil {
		return err
	}
	if l.LastTicks, err = d.Footage.Ticks(ctx, row, l.Last); err != nil {
		return err
	}
	_, err = d.Library.Do(ctx, "look through a turn", store.Put(l))
	return err
}

// RemoveLook takes a look away.
func (d *Desk) RemoveLook(ctx context.Context, id club.ID) error {
	_, err := d.Library.Do(ctx, "remove a look", store.Remove[club.Look](id))
	return err
}

// PutTurns makes n turns of a player at a drill, 25 of three frames each in copies of a
// clip, one a day from the first of January 2026 on.
func (d *Desk) PutTurns(ctx context.Context, clipID, player, drill club.ID, n int) error {
	film, err := d.Library.Clip(ctx, clipID)
	if err != nil {
		return err
	}
	var edits []store.Edit
	for i := range n {
		if i%25 == 0 {
			day := club.Session{ID: d.Library.NewID(), Date: club.Date(time.Date(2026, 1, 1+i/25, 0, 0, 0, 0, time.UTC).Format(time.DateOnly))}
			film.ID, film.SessionID = d.Library.NewID(), day.ID
			film.Fingerprint, film.Path = string(film.ID), string(film.ID)
			edits = append(edits, store.Put(day), store.Put(film))
		}
		first := 3 * (i % 25)
		edits = append(edits, store.Put(club.Turn{ID: d.Library.NewID(), ClipID: film.ID, PlayerID: player, DrillID: drill,
			First: first, Last: first + 2, FirstTicks: 512 * int64(first), LastTicks: 512 * int64(first+2)}))
	}
	_, err = d.Library.Do(ctx, "add turns", edits...)
	return err
}

// Hang makes the drives of some folders hang: looking for a file there is given up
// at once, as if it had been waited for.
func (d *Desk) Hang(folders ...string) { d.Place.Files = hanging{d.Place.Files, folders} }

type sizer interface {
	Files(ctx context.Context, folder string) ([]clip.File, error)
	Sizes(ctx context.Context, folder string, paths []string) ([]int64, error)
}

type hanging struct {
	sizer
	folders []string
}

func (h hanging) Sizes(ctx context.Context, folder string, paths []string) ([]int64, error) {
	if slices.Contains(h.folders, folder) {
		return nil, clip.ErrSlow
	}
	return h.sizer.Sizes(ctx, folder, paths)
}

// AddSecond puts the second looks of an invented club into a library that has it.
var AddSecond = (*Desk).addSecond

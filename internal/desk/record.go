package desk

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// RecordAdded counts what AddRecord took.
type RecordAdded struct{ Players, Sessions, Clips, Strokes, Marks int }

// AddRecord reads a record into the library in dir, which is made where it is
// absent and must hold no player, session or clip yet; definitions that it holds,
// such as the starter ones, give way to those of the record. It is one step of the
// change log; where it fails, a library that was made for it goes again. Clips lie
// where the record says, or are found later.
func AddRecord(ctx context.Context, dir, file string, o library.Options) (n RecordAdded, err error) {
	r, err := exchange.Read(file)
	if err != nil {
		return n, err
	}
	o.Create, o.Empty = true, true
	unmake, refused := store.Unmade(dir), false
	d, err := Open(ctx, dir, o)
	if err != nil {
		return n, err
	}
	defer func() {
		if err = errors.Join(err, d.Close()); refused {
			unmake()
		}
	}()
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return n, err
	}
	sessions, err := d.Library.Sessions(ctx)
	if err != nil {
		return n, err
	}
	if len(cat.Players)+len(sessions) > 0 {
		return n, &club.Problem{Say: fmt.Sprintf("The library in %q holds %d players and %d sessions already: take the record in with merge, or choose a new folder for it with --library.", d.Library.Dir, len(cat.Players), len(sessions))}
	}
	// The settings first: with the rows the library is in use, and takes no second try.
	refused = true
	if err := d.Ladder.SetGoals(ctx, ladder.Goals(r.Goals)); err != nil {
		return n, err
	}
	if r.Former != "" {
		if err := d.Library.SetFormerPlayer(ctx, r.Former); err != nil {
			return n, err
		}
	}
	if err := d.Exchange.Begin(ctx, r); err != nil {
		return n, err
	}
	refused = false
	return RecordAdded{len(r.Catalogue.Players), len(r.Sessions), len(r.Clips), len(r.Strokes), len(r.Marks)}, nil
}

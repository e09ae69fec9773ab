package footage

import (
	"context"
	"errors"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/place"
)

// Grown reports whether a clip's file has more in it than the bench knows: a
// recording, or a copy, that still runs.
func (x *Clips) Grown(ctx context.Context, id club.ID) (bool, error) {
	c, release, err := x.Open(ctx, id)
	if err != nil {
		return false, err
	}
	defer release()
	if !c.Index().Complete {
		return false, nil // it is being listed now
	}
	return c.Grown(ctx)
}

// ReadOn takes over what a clip's file has got since it was listed. Pictures keep
// their numbers, so marks stay where they are.
func (x *Clips) ReadOn(ctx context.Context, id club.ID) (*clip.Index, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	c, release, err := x.Open(ctx, id)
	if err != nil {
		return nil, err
	}
	defer release()
	before, _, err := x.place.Drives.Fingerprint(row.Path)
	if err != nil {
		return nil, err
	}
	if _, err := c.Rescan(ctx); err != nil {
		return nil, err
	}
	return c.Index(), x.follow(ctx, row, c, before)
}

// follow remembers how a clip's file is now, which is no step of undo, unless it
// has changed again since it had the given fingerprint: then the next opening sees
// to it.
func (x *Clips) follow(ctx context.Context, row club.Clip, c *clip.Clip, fingerprint string) error {
	print, size, err := x.place.Drives.Fingerprint(row.Path)
	if err != nil || print != fingerprint {
		return err
	}
	ix, err := x.KeepIndex(ctx, c, print)
	if err != nil {
		return err
	}
	return x.lib.Amend(ctx, "read more of "+row.Name, Titled(Measured(row.ID, row.SessionID, row.Path, print, size, c.Info(), ix), row))
}

// openGrown opens a file that is not what it was, if it is the same recording and
// only longer.
func (x *Clips) openGrown(ctx context.Context, row club.Clip, print string) (*clip.Clip, error) {
	size, err := x.place.Drives.Size(ctx, row.Path)
	if err != nil {
		return nil, err
	}
	raw, ok, err := x.lib.Index(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	var old clip.Index
	if !ok || size <= row.Bytes || old.UnmarshalBinary(raw) != nil {
		return nil, place.OtherFilm(row)
	}
	c, err := x.openRow(ctx, row, print)
	if err != nil {
		return nil, err
	}
	if err := c.Indexed(ctx); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	if !c.Index().Continues(&old) {
		return nil, errors.Join(place.OtherFilm(row), c.Close())
	}
	if err := x.follow(ctx, row, c, print); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	return c, nil
}

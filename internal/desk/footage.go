package desk

import (
	"context"
	"errors"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Footage hands out a clip open for looking; release must be called once. The
// error is one of package clip's, or a *club.Problem.
func (d *Desk) Footage(ctx context.Context, id club.ID) (c *clip.Clip, release func(), err error) {
	return d.open.get(ctx, id)
}

// reopen makes the next use of a clip open it anew. The open one is closed once
// nobody uses it any more.
func (d *Desk) reopen(id club.ID) { d.open.drop(id) }

// replaced does the same where another film, or others of its streams, take the place
// of a clip's own: what was heard of it does not count any more.
func (d *Desk) replaced(id club.ID) {
	d.reopen(id)
	d.dropHeard(id)
}

// openClip opens a clip of the library with its cached index. A file that is not
// the film that was marked is refused: its marks would stand at other moments.
func (d *Desk) openClip(ctx context.Context, id club.ID) (*clip.Clip, error) {
	row, err := d.Library.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	if row, err = d.locate(ctx, row); err != nil {
		return nil, err
	}
	print, _, err := clip.Fingerprint(row.Path)
	if err != nil {
		return nil, err
	}
	if print != row.Fingerprint {
		return d.openGrown(ctx, row, print)
	}
	return d.openRow(ctx, row, print)
}

// openRow opens a clip's file by the video and the sound that were chosen for it.
func (d *Desk) openRow(ctx context.Context, row club.Clip, fingerprint string) (*clip.Clip, error) {
	choice, err := d.choice(ctx, row)
	if err != nil {
		return nil, err
	}
	return d.openBy(ctx, row.Path, fingerprint, choice)
}

// openFile opens a media file by its own defaults.
func (d *Desk) openFile(ctx context.Context, path, fingerprint string) (*clip.Clip, error) {
	return d.openBy(ctx, path, fingerprint, Choice{})
}

// openBy opens a media file whose index may be cached under its fingerprint.
func (d *Desk) openBy(ctx context.Context, path, fingerprint string, choice Choice) (*clip.Clip, error) {
	o := clip.Options{Video: choice.Video, Sound: choice.Sound}
	raw, ok, err := d.Library.Index(ctx, fingerprint)
	if err != nil {
		return nil, err
	}
	if ix := new(clip.Index); ok && ix.UnmarshalBinary(raw) == nil {
		o.Index = ix // a cache that cannot be read is only a cache: scan again
	}
	return clip.Open(ctx, path, o)
}

// keepIndex caches the index of an open clip once its scan is complete.
func (d *Desk) keepIndex(ctx context.Context, c *clip.Clip, fingerprint string) (*clip.Index, error) {
	if err := c.Indexed(ctx); err != nil {
		return nil, err
	}
	ix := c.Index()
	raw, err := ix.MarshalBinary()
	if err != nil {
		return nil, err
	}
	err = d.Library.PutIndex(ctx, fingerprint, raw)
	if errors.Is(err, store.ErrReadOnly) {
		err = nil // a library that is only looked at needs no cache
	}
	return ix, err
}

// View is what the review bench needs to know of a clip that it opens.
type View struct {
	Clip     ClipRow
	Info     clip.Info
	Index    *clip.Index
	Notices  []string
	Indexing bool    // the scan still runs: Index grows
	Slowness float64 // see [clip.Clip.Slowness]
}

// View opens a clip for review. Where its scan still runs, watch is called from
// another goroutine with the complete index, or with the error that ended the
// scan; it is not called where the index is complete already, or where the desk
// closes first.
func (d *Desk) View(ctx context.Context, id club.ID, watch func(*clip.Index, error)) (View, error) {
	row, err := d.ClipRow(ctx, id)
	if err != nil {
		return View{}, err
	}
	c, release, err := d.Footage(ctx, id)
	if err != nil {
		return View{}, err
	}
	v := View{Clip: row, Info: c.Info(), Index: c.Index(), Slowness: c.Slowness()}
	v.Notices = v.Info.Notices
	v.Indexing = !v.Index.Complete
	if !v.Indexing {
		release()
		return v, nil
	}
	ctx, done, err := d.Library.Jobs.Begin(context.WithoutCancel(ctx))
	if err != nil {
		release()
		return View{}, err
	}
	go func() {
		defer done()
		defer release()
		if ix, err := d.keepIndex(ctx, c, row.Fingerprint); ctx.Err() == nil {
			watch(ix, err)
		}
	}()
	return v, nil
}

// Notices are what is to be told of a clip's film, none where its file is away.
func (d *Desk) Notices(ctx context.Context, id club.ID) []string {
	c, release, err := d.Footage(ctx, id)
	if err != nil {
		return nil
	}
	defer release()
	return c.Info().Notices
}

// ticks is the time of a frame on the clip's own clock, from the open clip or
// from its cached index where the file is away.
func (d *Desk) ticks(ctx context.Context, row club.Clip, frame int) (int64, error) {
	ix, err := d.index(ctx, row)
	if err != nil {
		return 0, err
	}
	if frame < 0 || frame >= ix.Len() {
		return 0, &club.Problem{Field: "frame", Say: frameSentence(frame, ix.Len())}
	}
	return ix.Ticks(frame), nil
}

// index prefers the open clip, whose index is in memory.
func (d *Desk) index(ctx context.Context, row club.Clip) (*clip.Index, error) {
	c, release, openErr := d.Footage(ctx, row.ID)
	if openErr == nil {
		defer release()
		return c.Index(), nil
	}
	raw, ok, err := d.Library.Index(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	if ix := new(clip.Index); ok && ix.UnmarshalBinary(raw) == nil {
		return ix, nil
	}
	return nil, openErr
}

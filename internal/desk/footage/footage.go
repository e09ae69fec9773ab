// Package footage opens the clips of a library for looking, by the video and the sound
// that were chosen for each, and knows the times of their frames.
package footage

import (
	"context"
	"errors"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/store"
)

// Clips are the clips of a library, some of them open. They are safe for concurrent
// use. Who makes them closes them.
type Clips struct {
	lib      *library.Library
	place    *place.Finder
	pool     *pool
	second   *pool
	onChange func(club.ID)
}

// New has no clip open yet. onChange is told of each clip that another film, or others
// of its streams, have taken the place of.
func New(lib *library.Library, finder *place.Finder, onChange func(club.ID)) *Clips {
	d := &Clips{lib: lib, place: finder, onChange: onChange}
	d.pool, d.second = newPool(d.openClip, openAtMost), newPool(d.openClip, 1)
	return d
}

// Close closes every clip; what uses one of them later gets an error.
func (x *Clips) Close() error { return errors.Join(x.pool.close(), x.second.close()) }

// OpenSecond hands out a clip that is open apart from the one of Open, for another place in
// it that is looked at at the same time: each steps from where it is.
func (x *Clips) OpenSecond(ctx context.Context, id club.ID) (c *clip.Clip, release func(), err error) {
	return x.second.get(ctx, id)
}

// Open hands out a clip open for looking; release must be called once. The
// error is one of package clip's, or a *club.Problem.
func (x *Clips) Open(ctx context.Context, id club.ID) (c *clip.Clip, release func(), err error) {
	return x.pool.get(ctx, id)
}

// Reopen makes the next use of a clip open it anew. The open one is closed once
// nobody uses it any more.
func (x *Clips) Reopen(id club.ID) {
	x.pool.evict(id)
	x.second.evict(id)
}

// Replaced does the same where another film, or others of its streams, take the place
// of a clip's own: what was heard of it does not count any more.
func (x *Clips) Replaced(id club.ID) {
	x.Reopen(id)
	x.onChange(id)
}

// openClip opens a clip of the library with its cached index. A file that is not
// the film that was marked is refused: its marks would stand at other moments.
func (x *Clips) openClip(ctx context.Context, id club.ID) (*clip.Clip, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	if row, err = x.place.Locate(ctx, row); err != nil {
		return nil, err
	}
	print, _, err := x.place.Drives.Fingerprint(row.Path)
	if err != nil {
		return nil, err
	}
	if print != row.Fingerprint {
		return x.openGrown(ctx, row, print)
	}
	return x.openRow(ctx, row, print)
}

// openRow opens a clip's file by the video and the sound that were chosen for it.
func (x *Clips) openRow(ctx context.Context, row club.Clip, fingerprint string) (*clip.Clip, error) {
	choice, err := x.Chosen(ctx, row)
	if err != nil {
		return nil, err
	}
	return x.openBy(ctx, row.Path, fingerprint, choice)
}

// OpenFile opens a media file by its own defaults.
func (x *Clips) OpenFile(ctx context.Context, path, fingerprint string) (*clip.Clip, error) {
	return x.openBy(ctx, path, fingerprint, Choice{})
}

// openBy opens a media file whose index may be cached under its fingerprint.
func (x *Clips) openBy(ctx context.Context, path, fingerprint string, choice Choice) (*clip.Clip, error) {
	o := clip.Options{Video: choice.Video, Sound: choice.Sound}
	raw, ok, err := x.lib.Index(ctx, fingerprint)
	if err != nil {
		return nil, err
	}
	if ix := new(clip.Index); ok && ix.UnmarshalBinary(raw) == nil {
		o.Index = ix // an unreadable cache is ignored: scan again
	}
	return x.place.Drives.Open(ctx, path, o)
}

// InPlace reports whether a clip's file lies where it was; see [place.Finder.InPlace].
func (x *Clips) InPlace(row club.Clip) bool { return x.place.InPlace(row) }

// OpenSound opens the sound of a clip's file by itself; see [clip.OpenSound].
func (x *Clips) OpenSound(ctx context.Context, path string, sound int) (*clip.Recording, error) {
	return x.place.Drives.OpenSound(ctx, path, sound)
}

// KeepIndex caches the index of an open clip once its scan is complete.
func (x *Clips) KeepIndex(ctx context.Context, c *clip.Clip, fingerprint string) (*clip.Index, error) {
	if err := c.Indexed(ctx); err != nil {
		return nil, err
	}
	ix := c.Index()
	raw, err := ix.MarshalBinary()
	if err != nil {
		return nil, err
	}
	err = x.lib.PutIndex(ctx, fingerprint, raw)
	if errors.Is(err, store.ErrReadOnly) {
		err = nil // a read-only library keeps no cache
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
// scan; it is not called where the index is complete already, or where the library
// closes first.
func (x *Clips) View(ctx context.Context, id club.ID, watch func(*clip.Index, error)) (View, error) {
	row, err := x.Row(ctx, id)
	if err != nil {
		return View{}, err
	}
	c, release, err := x.Open(ctx, id)
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
	ctx, done, err := x.lib.Jobs.Begin(context.WithoutCancel(ctx))
	if err != nil {
		release()
		return View{}, err
	}
	go func() {
		defer done()
		defer release()
		if ix, err := x.KeepIndex(ctx, c, row.Fingerprint); ctx.Err() == nil {
			watch(ix, err)
		}
	}()
	return v, nil
}

// Notices are what is to be told of a clip's film, none where its file is away.
func (x *Clips) Notices(ctx context.Context, id club.ID) []string {
	c, release, err := x.Open(ctx, id)
	if err != nil {
		return nil
	}
	defer release()
	return c.Info().Notices
}

// Ticks is the time of a frame on the clip's own clock, from the open clip or
// from its cached index where the file is away.
func (x *Clips) Ticks(ctx context.Context, row club.Clip, frame int) (int64, error) {
	ix, err := x.Index(ctx, row)
	if err != nil {
		return 0, err
	}
	if frame < 0 || frame >= ix.Len() {
		return 0, &club.Problem{Field: "frame", Say: NoSuchFrame(frame, ix.Len())}
	}
	return ix.Ticks(frame), nil
}

// Index prefers the open clip, whose index is in memory.
func (x *Clips) Index(ctx context.Context, row club.Clip) (*clip.Index, error) {
	c, release, openErr := x.Open(ctx, row.ID)
	if openErr == nil {
		defer release()
		return c.Index(), nil
	}
	raw, ok, err := x.lib.Index(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	if ix := new(clip.Index); ok && ix.UnmarshalBinary(raw) == nil {
		return ix, nil
	}
	return nil, openErr
}

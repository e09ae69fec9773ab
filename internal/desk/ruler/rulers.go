// Package ruler lays the table as a ruler on the clips of a library: a coach shows once a
// clip where the table is, and from then on any point of the floor tells how far it is
// from the end line and the side line.
package ruler

import (
	"context"
	"errors"
	"image"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/camera"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/sighting"
	"strokeledger/internal/store"
)

// Rulers are those of a library's clips. They are safe for concurrent use.
type Rulers struct {
	lib     *library.Library
	footage *footage.Clips
}

// New are the rulers of a library.
func New(lib *library.Library, clips *footage.Clips) *Rulers {
	return &Rulers{lib, clips}
}

// Of is the ruler of a clip, which needs no film; nil where none was laid.
func (x *Rulers) Of(ctx context.Context, id club.ID) (*camera.Fitted, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	r, laid, err := x.laid(ctx, id)
	if err != nil || !laid {
		return nil, err
	}
	return camera.Refit(row.Width, row.Height, r)
}

// laid is the ruler of a clip, and whether one was laid.
func (x *Rulers) laid(ctx context.Context, id club.ID) (sighting.Ruler, bool, error) {
	r, err := store.Get[sighting.Ruler](ctx, x.lib.Library, id)
	if errors.Is(err, store.ErrUnknown) {
		return r, false, nil
	}
	return r, err == nil, err
}

// Read is what is shown of a clip's ruler.
func (x *Rulers) Read(ctx context.Context, id club.ID) (camera.View, error) {
	f, err := x.Of(ctx, id)
	if err != nil || f == nil {
		return camera.View{}, err
	}
	return f.View(), nil
}

// Measure looks up points of the floor by a clip's ruler; see [camera.Fitted.Measure].
func (x *Rulers) Measure(ctx context.Context, id club.ID, points []sighting.Place, sd float64) (camera.Measured, error) {
	f, err := x.Of(ctx, id)
	if err != nil {
		return camera.Measured{}, err
	}
	if f == nil {
		return camera.Measured{}, &club.Problem{Say: "No ruler is laid on this clip yet: click the four corners of the table first."}
	}
	return f.Measure(points, sd), nil
}

// Try is what would be shown if that were laid. Nothing is kept, and the picture is not
// looked at: it takes a few milliseconds.
func (x *Rulers) Try(ctx context.Context, id club.ID, p camera.Placed) (camera.View, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return camera.View{}, err
	}
	f, err := camera.Fit(row.Width, row.Height, p)
	if err != nil {
		return camera.View{}, err
	}
	return f.View(), nil
}

// Lay lays a ruler on a clip in the place of the one that it may have; pull also pulls it
// onto the lines of its picture. The error is a *club.Problem where the places fit no
// table.
func (x *Rulers) Lay(ctx context.Context, id club.ID, p camera.Placed, pull bool) (camera.View, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return camera.View{}, err
	}
	f, err := camera.Fit(row.Width, row.Height, p)
	if err != nil {
		return camera.View{}, err
	}
	img, err := x.picture(ctx, id, p.Frame)
	if err != nil {
		return camera.View{}, err
	}
	fit := f.Judge
	if pull {
		fit = f.Pull
	}
	if f, err = fit(img); err != nil {
		return camera.View{}, err
	}
	return f.View(), x.Keep(ctx, id, f)
}

// Keep lays what is fitted to a picture of a clip on the clip.
func (x *Rulers) Keep(ctx context.Context, id club.ID, f *camera.Fitted) error {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	r := f.Ruler()
	r.ID, r.ClipID = id, id
	if r.Ticks, err = x.footage.Ticks(ctx, row, r.Frame); err != nil {
		return err
	}
	if r.CoachID, err = x.lib.Coach(ctx); err != nil {
		return err
	}
	_, laid, err := x.laid(ctx, id)
	if err != nil {
		return err
	}
	label := "lay the ruler on " + row.Name
	if laid {
		label = "move the ruler on " + row.Name
	}
	_, err = x.lib.Do(ctx, label, store.Put(r))
	return err
}

// Remove takes the ruler off a clip.
func (x *Rulers) Remove(ctx context.Context, id club.ID) error {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	_, laid, err := x.laid(ctx, id)
	if err != nil {
		return err
	}
	if !laid {
		return &club.Problem{Say: "No ruler is laid on this clip: there is nothing to take off."}
	}
	_, err = x.lib.Do(ctx, "take the ruler off "+row.Name, store.Remove[sighting.Ruler](id))
	return err
}

// Suggest is the ruler of another clip of the same session, of the nearest before this one
// or after it that fits the lines of this clip's picture too: a camera that was not carried
// about sees the table in the same place. Where none fits, nothing is laid.
func (x *Rulers) Suggest(ctx context.Context, id club.ID, frame int) (camera.View, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return camera.View{}, err
	}
	others, err := x.others(ctx, row)
	if err != nil {
		return camera.View{}, err
	}
	var img image.Image
	tried := 0
	for _, other := range others {
		r, laid, err := x.laid(ctx, other.ID)
		if err != nil {
			return camera.View{}, err
		}
		if !laid {
			continue
		}
		if tried++; tried > mostTried {
			break
		}
		if img == nil {
			if img, err = x.picture(ctx, id, frame); err != nil {
				return camera.View{}, err
			}
		}
		if f, err := carried(r, row, frame); err == nil {
			if f, err = f.Pull(img); err == nil && f.View().Good {
				v := f.View()
				v.From = other.Name
				return v, nil
			}
		}
	}
	return camera.View{}, nil
}

// Find looks for the table of a clip without a click, in the picture of a frame and a few
// others. It is a proposal, of which nothing is laid; empty where it is not sure.
func (x *Rulers) Find(ctx context.Context, id club.ID, frame int) (camera.View, error) {
	film, release, err := x.footage.Open(ctx, id)
	if err != nil {
		return camera.View{}, err
	}
	defer release()
	f, err := camera.FindInFilm(ctx, film, frame)
	if err != nil || f == nil {
		return camera.View{}, err
	}
	return f.View(), nil
}

// mostTried is how many rulers of a session are tried on a picture, a fifth of a second each.
const mostTried = 3

// carried is a ruler of another clip as if it had been clicked on this one.
func carried(r sighting.Ruler, row club.Clip, frame int) (*camera.Fitted, error) {
	f, err := camera.Refit(row.Width, row.Height, r)
	if err != nil {
		return nil, err
	}
	o := f.Ruler().Measured()
	return camera.Fit(row.Width, row.Height, camera.Placed{Frame: frame, Corners: o.Corners[:], Tops: o.Tops, Wide: r.Wide})
}

// others are the other clips of a clip's session: those before it, the nearest first, then
// those after it.
func (x *Rulers) others(ctx context.Context, row club.Clip) ([]club.Clip, error) {
	day, err := store.Get[club.Session](ctx, x.lib.Library, row.SessionID)
	if err != nil {
		return nil, err
	}
	page, err := x.lib.SessionPage(ctx, day.Date, 1)
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(page.Clips, func(c club.Clip) bool { return c.ID == row.ID })
	if at < 0 {
		return nil, nil // taken away meanwhile
	}
	before, after := slices.Clone(page.Clips[:at]), page.Clips[at+1:]
	slices.Reverse(before)
	return append(before, after...), nil
}

// picture is one of a clip's film.
func (x *Rulers) picture(ctx context.Context, id club.ID, frame int) (image.Image, error) {
	film, release, err := x.footage.Open(ctx, id)
	if err != nil {
		return nil, err
	}
	defer release()
	return camera.Picture(ctx, film, frame)
}

// Holds tells in which part of a clip its ruler holds; see [camera.Fitted.Holds].
func (x *Rulers) Holds(ctx context.Context, id club.ID) (camera.Stretch, error) {
	f, err := x.Of(ctx, id)
	if err != nil || f == nil {
		return camera.Stretch{}, err
	}
	film, release, err := x.footage.Open(ctx, id)
	if err != nil {
		return camera.Stretch{}, err
	}
	defer release()
	return f.Holds(ctx, film)
}

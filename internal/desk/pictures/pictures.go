// Package pictures keeps how the pictures of a library's clips are shown, what coaches draw
// on them, and which two are looked at together.
package pictures

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/picture"
	"strokeledger/internal/store"
)

// Pictures are those of a library's clips. They are safe for concurrent use.
type Pictures struct {
	lib     *library.Library
	footage *footage.Clips
}

// New are the pictures of a library.
func New(lib *library.Library, clips *footage.Clips) *Pictures { return &Pictures{lib, clips} }

// Adjustment is how a clip is shown, the zero value as its file says.
func (x *Pictures) Adjustment(ctx context.Context, clip club.ID) (picture.Adjustment, error) {
	a, err := store.Get[picture.Adjustment](ctx, x.lib.Library, clip)
	if errors.Is(err, store.ErrUnknown) {
		return picture.Adjustment{}, nil
	}
	return a, err
}

// Adjust sets how a clip is shown; the zero value is as its file says.
func (x *Pictures) Adjust(ctx context.Context, clip club.ID, a picture.Adjustment) error {
	row, err := x.lib.Clip(ctx, clip)
	if err != nil {
		return err
	}
	a.ID, a.ClipID = clip, clip
	edit := store.Put(a)
	if a == (picture.Adjustment{ID: clip, ClipID: clip}) {
		before, err := x.Adjustment(ctx, clip)
		if err != nil || before.ID == "" {
			return err // it is shown so already
		}
		edit = store.Remove[picture.Adjustment](clip)
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("change how %s is shown", club.Isolated(row.Name)), edit)
	return err
}

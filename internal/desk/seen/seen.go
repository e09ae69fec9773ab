// Package seen keeps where the joints of the near player are in the pictures of a clip
// that were looked at: in the ledger's cache, by the clip's fingerprint.
package seen

import (
	"context"
	"math"
	"slices"

	"strokeledger/internal/cache"
	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/measure"
	"strokeledger/internal/store"
)

// form counts the networks and the way of following too: clips are looked through again
// by those that find joints better.
func form() cache.Form { return cache.Form{Name: "body", Version: 2} }

// Clip is what was found in a clip so far.
type Clip struct {
	By    footage.Choice // of the file's videos
	Ruler string         // that told who stands at the near end; empty: none did
	First int            // and the frames in which it holds: before and after, the camera stood otherwise
	Last  int

	pictures []Picture // in order of frame
	since    string    // as [store.Library.PutBodies] has it
	sum      string    // of the cache that it was read from
}

// Picture is one that was looked at.
type Picture struct {
	Frame int
	Found bool
	Body  measure.Body // its time is left to the frame index
}

// Of is what was found in a clip; nothing where that was in another video of the file.
func Of(ctx context.Context, lib *store.Library, row club.Clip, by footage.Choice) (Clip, error) {
	raw, since, err := lib.Bodies(ctx, row.Fingerprint)
	if err != nil {
		return Clip{}, err
	}
	k, ok := read(raw)
	if !ok || k.By != by {
		k = Clip{By: by}
	}
	k.since, k.sum = since, string(raw[max(0, len(raw)-4):])
	return k, nil
}

// Sum tells what was on record from what was at another time, at one in four billion.
func (k *Clip) Sum() string { return k.sum }

// Anew is a clip in which nothing is found yet, to be looked at by a ruler or by none.
func (k *Clip) Anew(ruler string) Clip { return Clip{By: k.By, Ruler: ruler, since: k.since} }

// Keep puts it into the ledger's cache. The error is a *club.Problem where a player was
// forgotten since [Of].
func (k *Clip) Keep(ctx context.Context, lib *store.Library, row club.Clip) error {
	return lib.PutBodies(ctx, row.Fingerprint, k.since, k.bytes())
}

func (k *Clip) fields(f cache.Fields) {
	cache.Whole(f, &k.By.Video)
	cache.Whole(f, &k.By.Sound)
	cache.Text(f, &k.Ruler)
	cache.Whole(f, &k.First)
	cache.Whole(f, &k.Last)
	cache.List(f, &k.pictures, func(s *Picture) {
		cache.Whole(f, &s.Frame)
		cache.Truth(f, &s.Found)
		if !s.Found {
			return
		}
		for _, pair := range s.Body.Pairs() {
			for i := range pair {
				rounded(f, &pair[i].X, 32) // pixels: less than a network can tell
				rounded(f, &pair[i].Y, 32)
				rounded(f, &pair[i].Visibility, 100)
			}
		}
	})
}

func rounded(f cache.Fields, v *float64, parts float64) {
	n := int(math.Round(*v * parts))
	cache.Whole(f, &n)
	*v = float64(n) / parts
}

func (k *Clip) bytes() []byte {
	w := cache.NewWriter(form(), 90*len(k.pictures))
	k.fields(cache.Write(w))
	return w.Seal()
}

// read reports whether bytes are what bytes has written.
func read(data []byte) (k Clip, ok bool) {
	r, ok := cache.Open(form(), data)
	k.fields(cache.Read(&r))
	return k, ok && !r.Bad() && r.Left() == 0
}

func (k *Clip) place(frame int) (int, bool) {
	return slices.BinarySearchFunc(k.pictures, frame, func(s Picture, n int) int { return s.Frame - n })
}

// Empty reports whether no picture was looked at.
func (k *Clip) Empty() bool { return len(k.pictures) == 0 }

// Has reports whether a picture was looked at.
func (k *Clip) Has(frame int) bool {
	_, ok := k.place(frame)
	return ok
}

// HasAll reports whether pictures were looked at.
func (k *Clip) HasAll(frames []int) bool {
	return !slices.ContainsFunc(frames, func(n int) bool { return !k.Has(n) })
}

// Body is the player's in a picture; not found where nobody was, or it was not looked at.
func (k *Clip) Body(frame int) (b measure.Body, found bool) {
	at, ok := k.place(frame)
	if !ok || !k.pictures[at].Found {
		return b, false
	}
	return k.pictures[at].Body, true
}

// Bodies are the player's from one frame to another, both included, with their times.
func (k *Clip) Bodies(x *clip.Index, first, last int) (all []measure.Body) {
	at, _ := k.place(first)
	for ; at < len(k.pictures) && k.pictures[at].Frame <= last; at++ {
		if s := k.pictures[at]; s.Found && s.Frame < x.Len() {
			s.Body.Seconds = x.Seconds(s.Frame)
			all = append(all, s.Body)
		}
	}
	return all
}

// Add keeps what was found in a picture that was not looked at before.
func (k *Clip) Add(s Picture) {
	at, _ := k.place(s.Frame)
	k.pictures = slices.Insert(k.pictures, at, s)
}

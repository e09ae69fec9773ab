// Package pairing lines up clips of one session that show the same minutes from several
// places. One clip of them keeps the turns, strokes and marks of all: what is entered on
// another one is kept there, at the same moment, so that a stroke counts once however
// many cameras show it.
package pairing

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/store"
)

// Pairings are those of a library's clips. They are safe for concurrent use.
type Pairings struct {
	lib       *library.Library
	footage   *footage.Clips
	listening *listening.Listener

	mu       sync.Mutex
	compared map[[2]string]outcome // by fingerprints, as long as the library is open
}

// New are the pairings of a library.
func New(lib *library.Library, clips *footage.Clips, listener *listening.Listener) *Pairings {
	return &Pairings{lib: lib, footage: clips, listening: listener, compared: map[[2]string]outcome{}}
}

// View is one clip of those that show the same minutes.
type View struct {
	ClipID club.ID `json:"clip_id"`
	Name   string  `json:"name"`
	// Offset and Drift lead from its clock to that of the clip that keeps the entries:
	// its moment b is Offset + (1+Drift) b there.
	Offset float64 `json:"offset"` // seconds
	Drift  float64 `json:"drift"`  // of one
	Say    string  `json:"say"`    // the same in a sentence, with how sure it is
}

// Group are the clips that are lined up with each other. MainID keeps the entries; it is
// empty where a clip is lined up with none.
type Group struct {
	MainID   club.ID `json:"main_id"`
	MainName string  `json:"main_name"`
	Views    []View  `json:"views"` // all but the main one
	// Own says that the clip that was asked for holds turns of its own beside.
	Own bool `json:"own"`
}

// Of returns the clips that are lined up with one.
func (x *Pairings) Of(ctx context.Context, id club.ID) (g Group, err error) {
	led, err := x.lib.OfClip(ctx, id)
	if err != nil {
		return g, err
	}
	main := id
	for _, p := range led.Pairings {
		if p.ClipID == id {
			main = p.OnID
		}
	}
	on, err := x.lib.Clip(ctx, main)
	if err != nil {
		return g, err
	}
	for _, p := range led.Pairings {
		c, err := x.lib.Clip(ctx, p.ClipID)
		if err != nil {
			return g, err
		}
		g.MainID, g.MainName = main, on.Name
		g.Views = append(g.Views, View{ClipID: c.ID, Name: c.Name, Offset: p.Offset, Drift: p.Drift, Say: words(on.Name, c.Name, p.Fit())})
	}
	g.Own = main != id && len(led.Turns) > 0
	return g, nil
}

// words says how two clips lie to each other.
func words(on, clip string, f alignment.Fit) string {
	begins := fmt.Sprintf("%s begins %.3f s after %s", club.Isolated(clip), f.Offset, club.Isolated(on))
	if f.Offset < 0 {
		begins = fmt.Sprintf("%s begins %.3f s before %s", club.Isolated(clip), -f.Offset, club.Isolated(on))
	}
	drift := ""
	if d := f.Drift * 1e6; math.Abs(d) >= .5 && math.Abs(f.Drift) > f.DriftHalf { // else nobody knows which runs faster
		faster := "slower"
		if d < 0 {
			faster = "faster"
		}
		drift = fmt.Sprintf(", and its clock runs %.0f millionths %s", math.Abs(d), faster)
	}
	return fmt.Sprintf("%s%s, to within %.0f ms by %d sounds that both heard. Sound takes %.1f ms a metre: where one camera stands farther from the table, the pictures are off by that.",
		begins, drift, math.Ceil(f.OffsetHalf*1000), f.Matched, alignment.SoundPerMetre*1000)
}

// pairing is how a clip is lined up with the one that keeps its entries; false where it is
// with none.
func (x *Pairings) pairing(ctx context.Context, id club.ID) (alignment.Pairing, bool, error) {
	p, err := store.Get[alignment.Pairing](ctx, x.lib.Library, id)
	if errors.Is(err, store.ErrUnknown) {
		return p, false, nil
	}
	return p, err == nil, err
}

// Kept says where an entry at a frame of a clip is kept: in the clip that it is lined up
// with, at the same moment, and then seen is the clip. It is the clip's own where it is
// lined up with none, where the other clip does not show the moment, and in turns that
// the clip holds itself.
func (x *Pairings) Kept(ctx context.Context, id club.ID, frame int) (clip club.ID, at int, seen club.ID, err error) {
	p, paired, err := x.pairing(ctx, id)
	if err != nil || !paired {
		return id, frame, "", err
	}
	led, err := x.lib.OfClip(ctx, id)
	if err != nil {
		return id, frame, "", err
	}
	for _, t := range led.Turns {
		if t.Covers(frame) {
			return id, frame, "", nil
		}
	}
	m, err := x.mapping(ctx, p)
	if err != nil {
		return id, frame, "", err
	}
	if frame < 0 || frame >= m.from.Len() {
		return id, frame, "", &club.Problem{Field: "frame", Say: footage.NoSuchFrame(frame, m.from.Len())}
	}
	n, _, ok := m.place(m.from.Ticks(frame))
	if !ok {
		return id, frame, "", nil
	}
	return p.OnID, n, id, nil
}

// Apart takes a clip and those that it is lined up with apart. Entries stay where they are.
func (x *Pairings) Apart(ctx context.Context, id club.ID) error {
	p, paired, err := x.pairing(ctx, id)
	if err != nil {
		return err
	}
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	if !paired {
		return &club.Problem{Say: fmt.Sprintf("%s is lined up with no other clip: nothing was changed.", club.Isolated(row.Name))}
	}
	_, err = x.lib.Do(ctx, "take "+club.Isolated(row.Name)+" apart from the other camera", store.Remove[alignment.Pairing](p.ID))
	return err
}

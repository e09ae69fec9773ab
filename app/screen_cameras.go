package main

import (
	"context"
	"slices"
	"sync"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/sentence"
)

// Cameras are clips of one session that show the same minutes.
type Cameras struct {
	s *shell

	mu    sync.Mutex
	stop  context.CancelFunc // of the search under way
	list  []pairing.Found    // what it found
	quiet []pairing.Found    // what was proposed
}

// Proposed are clips of a session that show the same minutes, among those that were listened
// to: Keep lines them up.
func (c *Cameras) Proposed(sessionID club.ID) ([]pairing.Found, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) ([]pairing.Found, error) {
		list, err := d.Pairings.Proposed(ctx, sessionID)
		c.mu.Lock()
		defer c.mu.Unlock()
		for _, f := range list {
			c.quiet = slices.DeleteFunc(c.quiet, func(o pairing.Found) bool { return o.ClipID == f.ClipID && o.OnID == f.OnID })
		}
		c.quiet = append(c.quiet, list...)
		return append([]pairing.Found{}, list...), err
	})
}

// Of returns the clips that are lined up with one.
func (c *Cameras) Of(clipID club.ID) (pairing.Group, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (pairing.Group, error) {
		return d.Pairings.Of(ctx, clipID)
	})
}

// Recognise looks in the background for clips of a session that show the same minutes;
// "cameras" events tell how far it is, and at the end what was found. A search that is
// under way ends.
func (c *Cameras) Recognise(sessionID club.ID) error {
	return c.s.do(func(ctx context.Context, d *desk.Desk) error {
		run, done, err := d.Library.Jobs.Begin(context.WithoutCancel(ctx))
		if err != nil {
			return err
		}
		run, stop := context.WithCancel(run)
		c.mu.Lock()
		defer c.mu.Unlock()
		if c.stop != nil {
			c.stop()
		}
		c.stop, c.list = stop, nil
		go func() {
			defer done()
			defer stop()
			tell := func(n, all int) { c.s.emit(eventCameras, camerasEvent{SessionID: sessionID, Done: n, All: all}) }
			list, err := d.Pairings.Recognise(run, sessionID, tell)
			if run.Err() != nil {
				c.s.emit(eventCameras, camerasEvent{SessionID: sessionID, Ended: true, Stopped: true, Found: []pairing.Found{}})
				return
			}
			out := camerasEvent{SessionID: sessionID, Ended: true, Found: append([]pairing.Found{}, list...)}
			if err != nil {
				out.Say = sentence.Of(err)
			}
			c.mu.Lock()
			c.list = list
			c.mu.Unlock()
			c.s.emit(eventCameras, out)
		}()
		return nil
	})
}

// Stop ends the search.
func (c *Cameras) Stop() error {
	return c.s.do(func(context.Context, *desk.Desk) error {
		c.mu.Lock()
		defer c.mu.Unlock()
		if c.stop != nil {
			c.stop()
		}
		return nil
	})
}

// Keep lines up two clips that the last search found, or that were proposed.
func (c *Cameras) Keep(clipID, onID club.ID) (pairing.Group, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (pairing.Group, error) {
		c.mu.Lock()
		defer c.mu.Unlock()
		for _, f := range slices.Concat(c.list, c.quiet) {
			if f.ClipID == clipID && f.OnID == onID {
				return d.Pairings.Keep(ctx, f)
			}
		}
		return pairing.Group{}, &club.Problem{Say: "These clips were not found to show the same minutes: look for cameras again."}
	})
}

// Apart takes a clip and the one that it is lined up with apart; entries stay where they are.
func (c *Cameras) Apart(clipID club.ID) error {
	return c.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Pairings.Apart(ctx, clipID)
	})
}

// Kept is where an entry at a frame of a clip is kept.
type Kept struct {
	ClipID club.ID `json:"clip_id"`
	Frame  int     `json:"frame"`
	SeenID club.ID `json:"seen_id"` // the clip that was asked for, where it is kept in another
}

// Kept says where an entry at a frame of a clip is kept.
func (c *Cameras) Kept(clipID club.ID, frame int) (Kept, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (k Kept, err error) {
		k.ClipID, k.Frame, k.SeenID, err = d.Pairings.Kept(ctx, clipID, frame)
		return k, err
	})
}

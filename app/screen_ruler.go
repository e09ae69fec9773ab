package main

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/camera"
	"strokeledger/internal/sighting"
)

// Ruler measures on the floor of a clip, with the table as the ruler.
type Ruler struct{ s *shell }

// Read returns the ruler of a clip.
func (r *Ruler) Read(clipID club.ID) (camera.View, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.View, error) {
		return d.Rulers.Read(ctx, clipID)
	})
}

// Try returns what would be shown if that were laid; nothing is kept.
func (r *Ruler) Try(clipID club.ID, placed camera.Placed) (camera.View, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.View, error) {
		return d.Rulers.Try(ctx, clipID, placed)
	})
}

// Lay lays a ruler on a clip; pull also pulls it onto the lines of its picture.
func (r *Ruler) Lay(clipID club.ID, placed camera.Placed, pull bool) (camera.View, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.View, error) {
		return d.Rulers.Lay(ctx, clipID, placed, pull)
	})
}

// Suggest returns the ruler of another clip of the session that fits this one too.
func (r *Ruler) Suggest(clipID club.ID, frame int) (camera.View, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.View, error) {
		return d.Rulers.Suggest(ctx, clipID, frame)
	})
}

// Find looks for the table without a click; nothing is kept.
func (r *Ruler) Find(clipID club.ID, frame int) (camera.View, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.View, error) {
		return d.Rulers.Find(ctx, clipID, frame)
	})
}

// Holds tells in which part of a clip its ruler holds.
func (r *Ruler) Holds(clipID club.ID) (camera.Stretch, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.Stretch, error) {
		return d.Rulers.Holds(ctx, clipID)
	})
}

// Remove takes the ruler off a clip.
func (r *Ruler) Remove(clipID club.ID) error {
	return r.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Rulers.Remove(ctx, clipID)
	})
}

// Measure looks up points of the floor; sd is by how much each may be off, pixels.
func (r *Ruler) Measure(clipID club.ID, points []sighting.Place, sd float64) (camera.Measured, error) {
	return asked(r.s, func(ctx context.Context, d *desk.Desk) (camera.Measured, error) {
		return d.Rulers.Measure(ctx, clipID, points, sd)
	})
}

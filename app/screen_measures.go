package main

import (
	"context"
	"math"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/sighting"
)

// Measures are those of the strokes of clips.
type Measures struct{ s *shell }

type clipMeasures struct {
	Progress measured.Progress `json:"progress"`
	Strokes  []measured.Stroke `json:"strokes"`
}

// Read returns what is measured of a clip so far.
func (m *Measures) Read(clipID club.ID) (clipMeasures, error) {
	return asked(m.s, func(ctx context.Context, d *desk.Desk) (out clipMeasures, err error) {
		if out.Progress, err = d.Measured.Progress(ctx, clipID); err != nil {
			return out, err
		}
		out.Strokes, err = d.Measured.Measures(ctx, clipID)
		return out, err
	})
}

// Watch measures the strokes of a clip in the background; "measured" events tell how far
// it is.
func (m *Measures) Watch(clipID club.ID) (measured.Progress, error) {
	return asked(m.s, func(ctx context.Context, d *desk.Desk) (measured.Progress, error) {
		id := clipID
		return d.Measured.Watch(ctx, id, func(news measured.Progress) { m.s.emit(eventMeasured, measuredEvent{id, news}) })
	})
}

// Stop stops what Watch began; what was measured stays.
func (m *Measures) Stop() error {
	return m.s.do(func(_ context.Context, d *desk.Desk) error {
		d.Measured.Stop()
		return nil
	})
}

// Body returns the near player of a picture that was looked at, as lines.
func (m *Measures) Body(clipID club.ID, frame int) ([][]sighting.Place, error) {
	return asked(m.s, func(ctx context.Context, d *desk.Desk) ([][]sighting.Place, error) {
		return d.Measured.Body(ctx, clipID, frame)
	})
}

// Strokes returns the measured strokes that a query asks for, over all their clips.
func (m *Measures) Strokes(q summary.Query) ([]measured.Stroke, error) {
	return asked(m.s, func(ctx context.Context, d *desk.Desk) ([]measured.Stroke, error) {
		f, some, err := d.Summary.Filter(ctx, q)
		if err != nil || !some {
			return nil, err
		}
		return d.Measured.Strokes(ctx, f)
	})
}

// LimitOver returns the limit of a fault that the marks of a query's strokes tell, in
// whole units.
func (m *Measures) LimitOver(q summary.Query, faultID club.ID) (float64, error) {
	return asked(m.s, func(ctx context.Context, d *desk.Desk) (float64, error) {
		f, _, err := d.Summary.Filter(ctx, q)
		if err != nil {
			return 0, err
		}
		limit, err := d.Measured.LimitOver(ctx, f, faultID)
		return math.Round(limit), err
	})
}

// Limit returns the limit of a fault that the marks of a clip tell, in whole units.
func (m *Measures) Limit(clipID, faultID club.ID) (float64, error) {
	return asked(m.s, func(ctx context.Context, d *desk.Desk) (float64, error) {
		limit, err := d.Measured.Limit(ctx, clipID, faultID)
		return math.Round(limit), err
	})
}

package alignment

import (
	"math"

	"strokeledger/internal/club"
)

// Pairing lines a clip up with another one of its session that shows the same minutes from
// another place: what the clip shows at b seconds of its time the other shows at
// Offset + (1+Drift) b. A clip is lined up with one other at most, and has the pairing under
// its own ID; the other is lined up with none, and keeps the turns, strokes and marks of
// both.
type Pairing struct {
	ID         club.ID `json:"id"`
	ClipID     club.ID `json:"clip_id"`
	OnID       club.ID `json:"on_id"`
	CoachID    club.ID `json:"coach_id"`    // who confirmed it; empty: not known
	Offset     float64 `json:"offset"`      // seconds
	Drift      float64 `json:"drift"`       // of one
	OffsetHalf float64 `json:"offset_half"` // half widths, see [Fit]
	DriftHalf  float64 `json:"drift_half"`
	Matched    int     `json:"matched"`
}

// Fit is what the pairing says of the two clocks; the first is the other clip's.
func (p Pairing) Fit() Fit {
	return Fit{Offset: p.Offset, Drift: p.Drift, OffsetHalf: p.OffsetHalf, DriftHalf: p.DriftHalf, Matched: p.Matched}
}

// Check returns a *club.Problem where the pairing breaks a rule of its own.
func (p Pairing) Check() error {
	const longest, fastest = 1e7, 1e-3
	switch {
	case p.ID != p.ClipID:
		return &club.Problem{Field: "id", Say: "A pairing has the id of its clip: line the clips up again."}
	case p.ClipID == p.OnID:
		return &club.Problem{Field: "on_id", Say: "A clip cannot be lined up with itself: pick another."}
	case !(math.Abs(p.Offset) <= longest) || !(math.Abs(p.Drift) <= fastest):
		return &club.Problem{Field: "offset", Say: "What is told of the two clocks makes no sense: line the clips up again."}
	case !(p.OffsetHalf >= 0) || !(p.DriftHalf >= 0) || p.Matched < 0:
		return &club.Problem{Field: "offset_half", Say: "How sure the two clocks are makes no sense: line the clips up again."}
	}
	return nil
}

// Then is the fit that leads from the second recording of next by the first one of it,
// which is the second of f, to the first of f.
func (f Fit) Then(next Fit) Fit {
	return Fit{
		Offset: f.At(next.Offset), Drift: (1+f.Drift)*(1+next.Drift) - 1,
		OffsetHalf: math.Hypot(f.OffsetHalf, next.OffsetHalf), DriftHalf: math.Hypot(f.DriftHalf, next.DriftHalf),
		Matched: min(f.Matched, next.Matched),
	}
}

// Turned is the fit with its recordings exchanged.
func (f Fit) Turned() Fit {
	f.Offset, f.Drift = -f.Offset/(1+f.Drift), 1/(1+f.Drift)-1
	return f
}

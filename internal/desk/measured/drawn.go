package measured

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/seen"
	"strokeledger/internal/measure"
	"strokeledger/internal/sighting"
)

// Body is what was found of the near player in one picture, as lines through joints
// that are in sight: trunk, arms and feet, in display pixels. None where the picture was
// not looked at, or nobody was found.
func (x *Meter) Body(ctx context.Context, id club.ID, frame int) ([][]sighting.Place, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	by, err := x.footage.Chosen(ctx, row)
	if err != nil {
		return nil, err
	}
	kept, err := seen.Of(ctx, x.lib.Library, row, by)
	if err != nil {
		return nil, err
	}
	b, found := kept.Body(frame)
	if !found {
		return nil, nil
	}
	return lines(b), nil
}

func lines(b measure.Body) (out [][]sighting.Place) {
	line := func(joints ...measure.Joint) {
		var part []sighting.Place
		for _, j := range joints {
			if !j.Seen() {
				break
			}
			part = append(part, sighting.Place{X: j.X, Y: j.Y})
		}
		if len(part) > 1 {
			out = append(out, part)
		}
	}
	const r, l = measure.Right, measure.Left
	line(b.Shoulder[r], b.Shoulder[l], b.Hip[l], b.Hip[r], b.Shoulder[r])
	for _, side := range []measure.Side{r, l} {
		line(b.Shoulder[side], b.Elbow[side], b.Wrist[side])
		line(b.Heel[side], b.Toe[side])
	}
	return out
}

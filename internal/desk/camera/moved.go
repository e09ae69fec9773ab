package camera

import (
	"context"
	"fmt"

	"strokeledger/internal/clip"
	"strokeledger/internal/table"
)

// Stretch is the part of a clip in which a ruler holds: both frames included.
type Stretch struct {
	First int    `json:"first"`
	Last  int    `json:"last"`
	Say   string `json:"say"` // when the camera moved; empty: it did not, or nobody can tell
}

// mostLooks is in how many pictures on each side of the ruler's it is looked whether the
// camera stands as it stood: one a second, fewer a second in long clips.
const mostLooks = 60

// Holds tells in which part of its film a ruler holds: a camera that is knocked shows the
// table in another place from then on. Only a ruler that fits well tells.
func (f *Fitted) Holds(ctx context.Context, film *clip.Clip) (Stretch, error) {
	ix := film.Index()
	s := Stretch{First: 0, Last: ix.Len() - 1}
	if !f.ruler.Good || f.ruler.Frame > s.Last {
		return s, nil
	}
	for _, ahead := range []bool{true, false} {
		frame, moved, err := f.moved(ctx, film, ahead)
		if err != nil {
			return s, err
		}
		at := int(ix.Seconds(frame))
		when := fmt.Sprintf("The camera moved at %d:%02d:", at/60, at%60)
		switch {
		case !moved:
		case ahead:
			s.Last, s.Say = frame-1, when+" after that, distances are wrong."
		case s.Say != "":
			s.First, s.Say = frame+1, fmt.Sprintf("%s And before %d:%02d, when it moved too.", s.Say, at/60, at%60)
		default:
			s.First, s.Say = frame+1, when+" before that, distances are wrong."
		}
	}
	return s, nil
}

// moved is the frame nearest to the ruler's, towards the end of the clip or its beginning,
// from which on the camera stands otherwise.
func (f *Fitted) moved(ctx context.Context, film *clip.Clip, ahead bool) (int, bool, error) {
	ix, here := film.Index(), f.ruler.Frame
	end, step := ix.Seconds(0)-ix.Seconds(here), -1.
	if ahead {
		end, step = ix.Seconds(ix.Len()-1)-ix.Seconds(here), 1
	}
	step *= max(1, max(end, -end)/mostLooks)
	still, looked := here, []int(nil) // still there; and frames that are elsewhere since
	for k := 1.; ; k++ {
		at := ix.Seconds(here) + k*step
		if ahead && at > ix.Seconds(ix.Len()-1) || !ahead && at < ix.Seconds(0) {
			break
		}
		n := ix.FrameAt(at)
		elsewhere, err := f.elsewhere(ctx, film, n)
		switch {
		case err != nil:
			return 0, false, err
		case !elsewhere:
			still, looked = n, nil
		default:
			looked = append(looked, n)
		}
		if len(looked) == 2 { // one alone may be somebody before the camera, or whoever stops it
			break
		}
	}
	if len(looked) < 2 {
		return 0, false, nil
	}
	frame, err := f.between(ctx, film, still, looked[0])
	return frame, true, err
}

// between narrows down when the camera moved to a second.
func (f *Fitted) between(ctx context.Context, film *clip.Clip, still, moved int) (int, error) {
	ix := film.Index()
	for {
		apart := ix.Seconds(moved) - ix.Seconds(still)
		middle := (still + moved) / 2
		if max(apart, -apart) <= 1 || middle == still || middle == moved {
			return moved, nil
		}
		elsewhere, err := f.elsewhere(ctx, film, middle)
		if err != nil {
			return 0, err
		}
		if elsewhere {
			moved = middle
		} else {
			still = middle
		}
	}
}

// elsewhere reports whether a picture shows the table in another place.
func (f *Fitted) elsewhere(ctx context.Context, film *clip.Clip, frame int) (bool, error) {
	img, err := Picture(ctx, film, frame)
	if err != nil {
		return false, err
	}
	s := table.Snapped{Camera: f.camera, Support: f.ruler.Support, Good: f.ruler.Good}
	_, moved := s.Moved([]*table.Picture{table.NewPicture(img)})
	return moved, nil
}

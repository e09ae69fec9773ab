package reel

import (
	"math"
	"slices"

	"strokeledger/internal/picture"
	"strokeledger/internal/timecode"
)

// plan says which frames of a clip a piece shows, one entry a picture of the film.
type plan struct {
	plain []int // at the speed at which they were filmed
	first float64
	slow  []int        // the repeated moment
	still map[int]bool // frames of it on which the picture stands still
	times int          // how often such a one is shown
}

func (p plan) pictures() int { return len(p.plain) + len(p.slow) + len(p.still)*(p.times-1) }

// stand has the repeated moment stand still where something is drawn on one frame alone of
// a clip that shows its frame of(n) when the piece shows n.
func (p plan) stand(drawn []picture.Drawing, of func(n int) int) {
	for _, d := range drawn {
		if i := slices.IndexFunc(p.slow, func(n int) bool { return of(n) == d.First }); i >= 0 && d.Alone() {
			p.still[p.slow[i]] = true
		}
	}
}

func itself(n int) int { return n }

// newPlan lays the film's pictures on the clip's clock so that one of them falls
// on the moment, and shows at each the frame nearest in time. A moment outside the
// clip is none.
func newPlan(piece Piece, x Times, o Options) plan {
	if x.Len() == 0 {
		return plan{}
	}
	step := o.Rate.Seconds(1)
	end := x.EndSeconds() - 1e-6
	from, to := max(0, piece.From), min(piece.To, end)
	origin, has := from, piece.Moment >= 0 && piece.Moment < x.Len()
	if has {
		origin = x.Seconds(piece.Moment)
	}
	p := plan{still: map[int]bool{}}
	low, high := grid(from-origin, step), -grid(origin-to, step)
	p.first = origin + float64(low)*step
	for k := low; k <= high; k++ {
		p.plain = append(p.plain, nearest(x, origin+float64(k)*step))
	}
	if !has {
		return p
	}
	fine := step / float64(o.Slow)
	low, high = grid(max(-o.Around, -origin), fine), -grid(-min(o.Around, end-origin), fine)
	for k := low; k <= high; k++ {
		p.slow = append(p.slow, nearest(x, origin+float64(k)*fine))
	}
	p.still[piece.Moment] = true
	p.times = max(1, int(math.Round(o.Hold/step)))
	p.stand(piece.Drawn, itself)
	return p
}

// grid is the first whole number of steps that does not lie before a time.
func grid(seconds, step float64) int { return int(math.Ceil(seconds/step - 1e-6)) }

// nearest is the frame shown nearest to a time, the earlier of two as near.
func nearest(x Times, seconds float64) int {
	n := max(0, x.FrameAt(seconds))
	if n+1 < x.Len() && x.Seconds(n+1)-seconds < seconds-x.Seconds(n)-1e-6 {
		return n + 1
	}
	return n
}

// samplesBefore is how many samples are heard before picture n of a film begins.
func samplesBefore(n int, rate timecode.Base) int {
	return int(timecode.Rescale(int64(n), rate, timecode.Base{Num: 1, Den: soundRate}))
}

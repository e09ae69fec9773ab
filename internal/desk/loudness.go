package desk

import (
	"context"
	"math"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
)

// footage is an open clip with the picture of its sound, worked out once.
type footage struct {
	*clip.Clip
	peaks func() ([]float32, error)
}

// The sound is read in pieces of pieceSeconds and kept as peaksPerSecond peaks,
// fine enough to see the contacts of a rally apart.
const (
	peaksPerSecond = 100
	pieceSeconds   = 30.0
	peakRate       = 16000 // samples a second: enough for a peak
)

func newFootage(c *clip.Clip) *footage {
	return &footage{c, sync.OnceValues(func() ([]float32, error) { return loudness(c) })}
}

// loudness is the highest sample of each hundredth of a second, 0 to 1, from the
// first picture to the end of the last.
func loudness(c *clip.Clip) ([]float32, error) {
	ctx := context.Background() // shared by all who ask; ends with the clip
	if err := c.Indexed(ctx); err != nil {
		return nil, err
	}
	end := c.Index().EndSeconds()
	peaks := make([]float32, max(1, int(math.Ceil(end*peaksPerSecond)))) // one picture may last no time at all
	if len(c.Info().Sounds) == 0 {
		return peaks, nil
	}
	for from := 0.0; from < end; from += pieceSeconds {
		samples, first, err := c.Samples(ctx, from, math.Min(from+pieceSeconds, end), peakRate)
		if err != nil {
			return nil, err
		}
		for i, s := range samples {
			at := int((first + float64(i)/peakRate) * peaksPerSecond)
			if at >= 0 && at < len(peaks) {
				peaks[at] = max(peaks[at], float32(math.Abs(float64(s))))
			}
		}
	}
	return peaks, nil
}

// Envelope is the picture of a clip's sound: the highest sample of each of bins
// equal stretches from the first picture to the end, 0 to 1; all zero where there
// is no sound.
func (d *Desk) Envelope(ctx context.Context, id club.ID, bins int) ([]float32, error) {
	f, release, err := d.open.get(ctx, id)
	if err != nil {
		return nil, err
	}
	defer release()
	peaks, err := f.peaks()
	if err != nil {
		return nil, err
	}
	out := make([]float32, bins)
	for i, p := range peaks {
		at := i * bins / len(peaks)
		out[at] = max(out[at], p)
	}
	if len(peaks) < bins { // fewer peaks than bins: hold each until the next
		for i := range out {
			out[i] = peaks[min(i*len(peaks)/bins, len(peaks)-1)]
		}
	}
	return out, nil
}

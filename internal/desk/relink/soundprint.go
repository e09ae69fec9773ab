package relink

import (
	"context"
	"errors"
	"math"

	"strokeledger/internal/clip"
	"strokeledger/internal/store"
)

// A sound print is how loud a clip is in each tenth of a second of its first two
// minutes, a byte each, after a byte that counts up with the way in which it is
// made. It tells films apart and says nothing of what is spoken in them.
const (
	printVersion   = 1
	printsASecond  = 10
	printedSeconds = 120.0
	printRate      = 8000 // samples a second
	printFloor     = 60.0 // decibels below full scale that count as silence
)

func soundPrint(ctx context.Context, c *clip.Clip) ([]byte, error) {
	end := min(printedSeconds, c.Index().EndSeconds())
	peaks := make([]float64, int(end*printsASecond)+1)
	if len(c.Info().Sounds) > 0 {
		for from := 0.0; from < end; from += 30 {
			samples, first, err := c.Samples(ctx, from, min(from+30, end), printRate)
			if err != nil {
				return nil, err
			}
			for i, s := range samples {
				if at := int((first + float64(i)/printRate) * printsASecond); at >= 0 && at < len(peaks) {
					peaks[at] = max(peaks[at], math.Abs(float64(s)))
				}
			}
		}
	}
	out := []byte{printVersion}
	for _, p := range peaks {
		level := 0.0
		if p > 0 {
			level = max(0, 1+20*math.Log10(min(p, 1))/printFloor)
		}
		out = append(out, byte(math.Round(255*level)))
	}
	return out, nil
}

// SoundsAlike compares two prints, at shifts of up to two tenths of a second.
// Where one of them is silent the other has to be as well.
func SoundsAlike(a, b []byte) bool {
	if len(a) < 1 || len(b) < 1 || a[0] != b[0] {
		return false
	}
	a, b = a[1:], b[1:]
	if silent(a) || silent(b) {
		return silent(a) && silent(b)
	}
	best := -1.0
	for shift := -2; shift <= 2; shift++ {
		x, y := a[max(0, shift):], b[max(0, -shift):]
		n := min(len(x), len(y))
		best = max(best, correlation(x[:n], y[:n]))
	}
	return best >= soundAlike
}

func silent(levels []byte) bool {
	for _, v := range levels {
		if v > 0 {
			return false
		}
	}
	return true
}

// correlation is Pearson's; two that never change are the same where their levels
// are about the same.
func correlation(x, y []byte) float64 {
	n := float64(len(x))
	if n == 0 {
		return -1
	}
	var sx, sy, sxx, syy, sxy float64
	for i := range x {
		a, b := float64(x[i]), float64(y[i])
		sx, sy, sxx, syy, sxy = sx+a, sy+b, sxx+a*a, syy+b*b, sxy+a*b
	}
	vx, vy := sxx-sx*sx/n, syy-sy*sy/n
	const still = 4 // levels are rounded: less change than this is none
	if vx < still*n && vy < still*n {
		if math.Abs(sx-sy)/n < 6 {
			return 1
		}
		return -1
	}
	if vx == 0 || vy == 0 {
		return -1
	}
	return (sxy - sx*sy/n) / math.Sqrt(vx*vy)
}

// KeepSoundPrint puts a clip's sound print on record; a sound that cannot be read,
// or a library that is only looked at, does not keep the film from being used.
func (x *Relinker) KeepSoundPrint(ctx context.Context, c *clip.Clip, fingerprint string) error {
	print, err := soundPrint(ctx, c)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		//lint:ignore nilerr a sound that cannot be read has no print; the film can be used without
		return nil
	}
	err = x.lib.PutSoundPrint(ctx, fingerprint, print)
	if errors.Is(err, store.ErrReadOnly) {
		err = nil
	}
	return err
}

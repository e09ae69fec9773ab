// Package alignment lines up two recordings of the same minutes by their sound: how much
// earlier the one began than the other, and how much faster its clock runs.
//
// Two steps. The loudness of both is correlated over its whole length, whitened so that a
// regular drill, whose strokes repeat, does not give a peak at every stroke (generalised
// cross-correlation with phase transform: Knapp CH, Carter GC (1976), IEEE Trans Acoust
// Speech Signal Process 24(4):320-327). Its highest peaks are tried: at each the sharp
// sounds of the one are matched with those of the other, one to one, and a line is laid
// through their times that outliers do not bend (Tukey's biweight by reweighted least
// squares: Beaton AE, Tukey JW (1974), Technometrics 16(2):147-185). Only where one line
// explains clearly more sounds than any other do the two belong together.
//
// The limit of it: sound takes 2.9 ms a metre, and each source has its own way to each
// microphone. What comes out lines up the sound as it arrives from where most of it is
// made, the table. Of two cameras of which one stands 3 m farther from the table, it
// is 9 ms off the pictures; a picture at 30 a second stands for 33. Where a
// microphone stands nearer to another table than to the filmed one, that is what is lined up.
//
// The package knows no files; all functions are safe for concurrent use.
package alignment

import (
	"fmt"
	"math"

	"strokeledger/internal/club"
)

// SoundPerMetre is how long sound takes for a metre, seconds: at 20 degrees.
const SoundPerMetre = 1. / 343

// Sound is what is known of a recording's sound, on its own clock.
type Sound struct {
	// Peaks is the highest sample, 0 to 1, of each of equal stretches from 0 on,
	// PeaksPerSecond of them a second.
	Peaks []float32
	// Moments are when sharp sounds began, seconds, in order.
	Moments []float64
	// Play says of each moment whether the recording alone takes it for a ball at the table
	// that is filmed; nil where nobody asked.
	Play []bool
}

// PeaksPerSecond is how many peaks a second a [Sound] has.
const PeaksPerSecond = 100

// Fit is how two recordings lie to each other: what sounds at b seconds of the second
// sounds at Offset + (1+Drift) b of the first.
type Fit struct {
	Offset float64 // seconds
	Drift  float64 // of one
	// OffsetHalf is within what the filmed table's sound is lined up anywhere in the minutes
	// that both share, seconds, and DriftHalf the same of the drift, both with 95 %
	// probability. It is wide where the sounds do not tell which table that is; the way of
	// the sound (see the package) is not in it.
	OffsetHalf float64
	DriftHalf  float64
	Matched    int // sharp sounds that were matched one to one
	// Clear is by how many standard deviations more were matched than by chance, and Rival
	// the same of the next best line.
	Clear, Rival float64
}

// At is the moment of the first recording at a moment of the second, seconds.
func (f Fit) At(second float64) float64 { return f.Offset + (1+f.Drift)*second }

// Back is the moment of the second recording at a moment of the first, seconds.
func (f Fit) Back(first float64) float64 { return (first - f.Offset) / (1 + f.Drift) }

// Reach of what is looked for.
const (
	// MaxDrift is the largest drift, of one. Crystals of cameras are specified to 50
	// millionths at most, two of them so differ by 100 (common practice, no source).
	MaxDrift = 150e-6
	// tries is how many peaks of the correlation are tried.
	tries = 24
	// fewest sounds must match, and the best line must be clearer than any other by these:
	// so many times, and so many standard deviations. Chosen on the tuning seeds, see the
	// tests.
	fewest  = 15
	clearly = 1.2
	beyond  = 4
)

// Find lines up two recordings. The error is a *club.Problem where they show no minutes
// together, as far as their sound tells.
//
// It takes about (n+m) log(n+m) steps for n and m peaks, and memory for 50 numbers a
// peak.
func Find(first, second Sound) (Fit, error) {
	if len(first.Moments) < fewest || len(second.Moments) < fewest {
		return Fit{}, &club.Problem{Say: fmt.Sprintf("Too few sharp sounds are heard to line the two up by: %d of the first and %d of the second, and it takes %d.", len(first.Moments), len(second.Moments), fewest)}
	}
	a, b := first.Moments, second.Moments
	var best line
	clear, rival := 0., 0.
	for _, p := range proposals(first, second) {
		l := matchNear(a, b, p)
		c := l.clear(a, b)
		near := math.Abs(l.at(l.around)-best.at(l.around)) < apart
		switch {
		case c > clear:
			if !near {
				rival = clear
			}
			best, clear = l, c
		case !near:
			rival = max(rival, c)
		}
	}
	matched := len(best.pairs)
	if matched < fewest || clear < clearly*rival || clear < rival+beyond {
		return Fit{Matched: matched, Clear: clear, Rival: rival}, &club.Problem{Say: "The two do not sound as if they showed the same minutes: nothing was lined up."}
	}
	f := best.fit(first, second)
	f.Clear, f.Rival = clear, rival
	return f, nil
}

// Package contact hears the ball: it finds, in the sound of a training clip, the
// moments at which a racket or the table met the ball, and tells which of the
// two players it was as far as the sound allows.
//
// Times are seconds from the first sample written. Samples are mono, at full
// scale ±1, at any rate from [MinRate] up. The package knows no files and no
// coach: what it finds are proposals with a confidence.
//
// How it works. A filter bank watches for sudden rises of energy in six bands
// and measures each one ([candidate]): when, how strong in each band, how it
// dies away. Most of what rises in a hall is not the ball. A decoder over the
// cycle of play (racket, bounce on the other half, other racket, bounce ...)
// then picks the chain of candidates that best fits the rhythm and the timbre of
// this clip, both of which it learns from the clip itself while it decodes.
package contact

import (
	"errors"
	"fmt"
)

// MinRate is the lowest sample rate, in samples a second, that can be heard. The
// ball itself radiates at 8.5-12 kHz (Russell DA (2018), J Sports Sci
// 36(23):2644-2652), which a rate below 24 kHz loses: the modes of racket and
// table are then all there is.
const MinRate = 16000

// ErrRate says that the samples come at a rate below [MinRate].
var ErrRate = errors.New("the sound has too few samples a second to tell contacts apart: it needs 16000 or more")

// Kind is what met the ball.
type Kind string

const (
	Racket Kind = "racket"
	Bounce Kind = "bounce" // on the table
	Other  Kind = "other"  // a sharp sound that fits no play: floor, net, clap, another table
)

// Who is the player who struck, or on whose half of the table the ball bounced.
type Who string

const (
	Near    Who = "near" // nearer to the camera
	Far     Who = "far"
	Unknown Who = ""
)

// Contact is one thing heard.
type Contact struct {
	Seconds    float64 // when the sound began to arrive
	Kind       Kind
	Who        Who
	Strength   float64 // 0 to 1: how far it stands out of the sound round it
	Confidence float64 // 0 to 1: how sure the detector is that this is a contact of that kind

	// Which of two sounds is the racket's is decided for a clip as a whole, see
	// [Turn] and [Anchor]. Turned and TurnedWho are what this contact is if it is the
	// other one; Turned is empty where Kind is Other. Alone is the confidence once a
	// coach has said which is which.
	Turned    Kind
	TurnedWho Who
	Alone     float64
}

// Find hears everything in samples, in order of time. It is a [Detector] fed at
// once.
func Find(samples []float32, rate int) ([]Contact, error) {
	d, err := NewDetector(rate)
	if err != nil {
		return nil, err
	}
	return append(d.Write(samples), d.Finish()...), nil
}

func checkRate(rate int) error {
	if rate < MinRate {
		return fmt.Errorf("%d samples a second: %w", rate, ErrRate)
	}
	return nil
}

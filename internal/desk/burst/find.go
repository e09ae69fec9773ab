package burst

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/proposal"
)

// Detected are all bursts of play in a sound, whatever turns there are.
type Detected struct {
	Pause   float64
	Learned proposal.Pause
	All     []proposal.Burst
}

// burstsIn parts contacts by a pause, or by the one that is learned where it is 0.
func burstsIn(contacts []contact.Contact, pause float64, said proposal.Corrections) Detected {
	h := Detected{Learned: proposal.Learn(proposal.Exchanges(contacts)), Pause: pause}
	if h.Pause == 0 {
		h.Pause = h.Learned.Seconds
	}
	h.All = proposal.Find(contacts, h.Pause, said)
	return h
}

// FindInFile finds the bursts of play in a file, as listening.Detect finds its
// contacts. A pause of 0 is learned from the sound.
func FindInFile(ctx context.Context, path string, pause float64, progress func(done, all float64)) (Detected, error) {
	if err := checkPause(pause); err != nil {
		return Detected{}, err
	}
	contacts, err := listening.Detect(ctx, path, progress)
	if err != nil {
		return Detected{}, err
	}
	return burstsIn(contacts, pause, proposal.Corrections{}), nil
}

// FindInClip finds the bursts of play in a clip, with what a coach has set, joined
// and split; a pause other than 0 goes before the one that is set. It listens to
// the clip to its end where nobody has, and calls progress meanwhile.
func (x *Bursts) FindInClip(ctx context.Context, clipID club.ID, pause float64, progress func(done, all float64)) (Detected, error) {
	if err := checkPause(pause); err != nil {
		return Detected{}, err
	}
	row, err := x.lib.Clip(ctx, clipID)
	if err != nil {
		return Detected{}, err
	}
	if err := x.listening.ListenToEnd(ctx, row, progress); err != nil {
		return Detected{}, err
	}
	contacts, _, err := x.listening.Contacts(ctx, row)
	if err != nil {
		return Detected{}, err
	}
	s, err := x.burstSetting(ctx, clipID)
	if err != nil {
		return Detected{}, err
	}
	if pause == 0 {
		pause = s.Pause
	}
	return burstsIn(contacts, pause, proposal.Corrections{Joined: s.Joined, Parted: s.Parted}), nil
}

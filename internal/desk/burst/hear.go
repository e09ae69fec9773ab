package burst

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/proposal"
)

// Heard are all bursts of play in a sound, whatever turns there are.
type Heard struct {
	Pause   float64
	Learned proposal.Pause
	All     []proposal.Burst
}

// burstsIn parts contacts by a pause, or by the one that is learned where it is 0.
func burstsIn(contacts []contact.Contact, pause float64, said proposal.Corrections) Heard {
	h := Heard{Learned: proposal.Learn(proposal.Exchanges(contacts)), Pause: pause}
	if h.Pause == 0 {
		h.Pause = h.Learned.Seconds
	}
	h.All = proposal.Find(contacts, h.Pause, said)
	return h
}

// HearFile finds the bursts of play in a file, as Hear finds its contacts. A pause
// of 0 is learned from the sound.
func HearFile(ctx context.Context, path string, pause float64, heard func(done, all float64)) (Heard, error) {
	if err := checkPause(pause); err != nil {
		return Heard{}, err
	}
	contacts, err := listening.Hear(ctx, path, heard)
	if err != nil {
		return Heard{}, err
	}
	return burstsIn(contacts, pause, proposal.Corrections{}), nil
}

// Hear finds the bursts of play in a clip, with what a coach has set, joined and
// split; a pause other than 0 goes before the one that is set. It listens to the clip
// to its end where nobody has, and calls heard meanwhile.
func (x *Bursts) Hear(ctx context.Context, clipID club.ID, pause float64, heard func(done, all float64)) (Heard, error) {
	if err := checkPause(pause); err != nil {
		return Heard{}, err
	}
	row, err := x.lib.Clip(ctx, clipID)
	if err != nil {
		return Heard{}, err
	}
	if err := x.listening.HearOut(ctx, row, heard); err != nil {
		return Heard{}, err
	}
	contacts, _, err := x.listening.Contacts(ctx, row)
	if err != nil {
		return Heard{}, err
	}
	s, err := x.burstSetting(ctx, clipID)
	if err != nil {
		return Heard{}, err
	}
	if pause == 0 {
		pause = s.Pause
	}
	return burstsIn(contacts, pause, proposal.Corrections{Joined: s.Joined, Parted: s.Parted}), nil
}

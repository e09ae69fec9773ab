package hall

import "math"

// The conditions of a wide hall draw everything from ranges that hold both orders:
// rackets duller than bounces or brighter, louder or softer, longer or shorter; near
// players and far ones, dry rooms and live ones. See [Wide].
const (
	MuchDuller   Condition = "racket much duller"
	Duller       Condition = "racket duller"
	Alike        Condition = "racket and bounce alike"
	Brighter     Condition = "racket brighter"
	MuchBrighter Condition = "racket much brighter"

	OneOther12  Condition = "one other table at -12 dB"
	OneOther6   Condition = "one other table at -6 dB"
	TwoOthers12 Condition = "two other tables at -12 dB"
	TwoOthers6  Condition = "two other tables at -6 dB"

	FirstStrokes    Condition = "short rallies, serves soft to hard"
	VeryQuiet       Condition = "peaks of -70 dB"
	Inverted        Condition = "stereo, one channel inverted"
	Apart           Condition = "stereo, two microphones apart"
	InvertedApart   Condition = "stereo, apart and one inverted"
	TwoOthers6Apart Condition = "two other tables at -6 dB, stereo"

	SpeechAround  Condition = "speech around play"
	SpeechAlone   Condition = "speech only"
	Applause      Condition = "applause"
	ClappingAlone Condition = "clapping only"
	Metronome     Condition = "metronome"
	Xylophone     Condition = "xylophone"
	Typing        Condition = "typing"
	Footsteps     Condition = "footsteps"
	Music         Condition = "music"
)

// Timbres lists the conditions in which one table is played at, by the timbre of its
// rackets against its bounces.
func Timbres() []Condition { return []Condition{MuchDuller, Duller, Alike, Brighter, MuchBrighter} }

// Others lists those with other tables, each of any timbre.
func Others() []Condition { return []Condition{OneOther12, OneOther6, TwoOthers12, TwoOthers6} }

// Taken lists those that are hard by how they are recorded or begun.
func Taken() []Condition {
	return []Condition{FirstStrokes, VeryQuiet, Inverted, Apart, InvertedApart, TwoOthers6Apart}
}

// Nobody lists those in which nobody plays.
func Nobody() []Condition {
	return []Condition{SpeechAlone, Applause, ClappingAlone, Metronome, Xylophone, Typing, Footsteps, Music}
}

// Wide lists all conditions of a wide hall.
func Wide() []Condition {
	all := append(Timbres(), Others()...)
	all = append(all, Taken()...)
	return append(append(all, SpeechAround), Nobody()...)
}

// wide is what a condition of a wide hall asks for.
type wide struct {
	brighter [2]float64 // octaves by which rackets are brighter than bounces, from and to
	any      bool
	others   int
	decibels float64 // of the other tables, below the filmed one
	training training
	apart    bool // a second microphone
	inverted bool // the second channel
	quiet    bool
	talk     bool
	talked   bool                           // all the time
	nobody   func(h *hall, seconds float64) // in place of play
}

func widely(c Condition) (w wide, ok bool) {
	w = wide{any: true, training: training{pauses: [2]float64{1.2, 3.5}}}
	timbre := func(from, to float64) { w.any, w.brighter = false, [2]float64{from, to} }
	switch c {
	case MuchDuller:
		timbre(-1.5, -.8)
	case Duller:
		timbre(-.8, -.25)
	case Alike:
		timbre(0, 0)
	case Brighter:
		timbre(.25, .8)
	case MuchBrighter:
		timbre(.8, 1.5)
	case OneOther12:
		w.others, w.decibels = 1, 12
	case OneOther6:
		w.others, w.decibels = 1, 6
	case TwoOthers12:
		w.others, w.decibels = 2, 12
	case TwoOthers6:
		w.others, w.decibels = 2, 6
	case TwoOthers6Apart:
		w.others, w.decibels, w.apart = 2, 6, true
	case FirstStrokes:
		w.training.short = true
	case VeryQuiet:
		w.quiet = true
	case Inverted:
		w.inverted = true
	case Apart:
		w.apart = true
	case InvertedApart:
		w.apart, w.inverted = true, true
	case SpeechAround:
		w.talk, w.training.pauses = true, [2]float64{4, 12}
	case SpeechAlone:
		w.nobody = (*hall).talkers
	case Applause:
		w.nobody = (*hall).applause
	case ClappingAlone:
		w.nobody = (*hall).clapping
	case Metronome:
		w.nobody = (*hall).metronome
	case Xylophone:
		w.nobody = (*hall).xylophone
	case Typing:
		w.nobody = (*hall).typing
	case Footsteps:
		w.nobody = (*hall).walkers
	case Music:
		w.nobody = (*hall).music
	default:
		return wide{}, false
	}
	return w, true
}

func (h *hall) octaves(w wide) float64 {
	if w.any {
		return h.anyOctaves()
	}
	return h.between(w.brighter[0], w.brighter[1])
}

// microphone is how a sound reaches the second microphone, against the first.
type microphone struct {
	later int // samples
	gain  float64
}

// mirrored draws where a sound comes from, for two microphones up to half a metre
// apart that may be turned away from each other.
func (h *hall) mirrored() microphone {
	const speed = 343 // metres a second
	return microphone{int(h.between(-.5, .5) / speed * h.rate), h.logBetween(.4, 2.5)}
}

// recordWide mixes what is played at the filmed table into a wide hall.
func (h *hall) recordWide(w wide, own table, plays []strikes, seconds float64) Recording {
	h.silence(seconds)
	if w.apart {
		h.second = make([]float64, len(h.direct))
		h.microphone = h.mirrored()
	}
	h.strike(own, plays, true)
	for range w.others {
		other := h.otherTable(own, w.decibels)
		if w.apart {
			h.microphone = h.mirrored()
		}
		played, _ := h.train(w.training, seconds)
		h.strike(other, played, false)
	}
	switch {
	case w.nobody != nil:
		w.nobody(h, seconds)
	default:
		h.footsteps(seconds)
	}
	if w.talk {
		h.talkBetween(plays, seconds)
	}
	if w.talked {
		h.says(h.voice(), 0, seconds)
	}

	answer := roomOf(h.between(.6, 2), h.between(3.5, 8))
	left := answer.mix(h)
	var right []float64
	switch {
	case w.apart:
		h.direct, answer.stretch = h.second, h.between(1.03, 1.1)
		right = answer.mix(h)
	case w.inverted:
		right = append([]float64(nil), left...)
	}
	peak, bits := h.between(.35, .9), 16
	if w.quiet {
		// 16 bits would leave ten steps at the peak. The sound of a film is not coded in
		// steps (AAC), and recorders have 24 bits.
		peak, bits = math.Pow(10, -70./20), 24
	}
	h.hiss(left, -58)
	level(left, peak)
	if right == nil {
		return h.recording(quantised(left, bits), nil)
	}
	h.hiss(right, -58)
	if w.apart {
		peak *= h.logBetween(.5, 1)
	}
	level(right, peak)
	if w.inverted {
		for i := range right {
			right[i] = -right[i]
		}
	}
	return h.recording(quantised(left, bits), quantised(right, bits))
}

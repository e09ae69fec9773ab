package contact

// Traits is how many numbers describe a [Sound].
const Traits = int(features)

// Sound is a sudden sound, whatever it was: every contact begins with one, and most are
// none. Whoever knows from elsewhere when to expect a contact finds it among these.
type Sound struct {
	Seconds float64 // as of a [Contact]
	// Trait are logarithms: its level in 16 bands from 250 to 12500 Hz, then how it dies
	// away, begins and stands out. Sounds of one thing that is struck differ by about 1 in
	// most of them.
	Trait [Traits]float32
}

// KeepSounds makes the Detector keep the sounds of what is written from now on until
// [Detector.Sounds] takes them.
func (d *Detector) KeepSounds() { d.keeps = true }

// Sounds takes the sounds that were kept, in order of time.
func (d *Detector) Sounds() []Sound {
	kept := d.sounds
	d.sounds = nil
	return kept
}

// keep keeps the sound of a candidate where that was asked for.
func (d *Detector) keep(c *candidate) {
	if !d.keeps {
		return
	}
	s := Sound{Seconds: c.at}
	for i, v := range c.x {
		s.Trait[i] = float32(v)
	}
	d.sounds = append(d.sounds, s)
}

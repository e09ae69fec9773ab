package listening

import (
	"math"

	"strokeledger/internal/cache"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
)

// heardForm counts the detectors too: clips are listened to again by one that hears
// better.
func heardForm() cache.Form { return cache.Form{Name: "heard", Version: 5} }

// heardFile is what is kept of what was heard.
type heardFile struct {
	by       footage.Choice // of the file's sounds, and of the video whose clock it is
	contacts []contact.Contact
	sounds   []contact.Sound
	peaks    wave
}

func (h *heardFile) fields(f cache.Fields) {
	cache.Whole(f, &h.by.Video)
	cache.Whole(f, &h.by.Sound)
	cache.List(f, &h.contacts, func(c *contact.Contact) {
		cache.Decimal(f, &c.Seconds)
		cache.Text(f, &c.Kind)
		cache.Text(f, &c.Who)
		cache.Decimal(f, &c.Strength)
		cache.Decimal(f, &c.Confidence)
		cache.Text(f, &c.Turned)
		cache.Text(f, &c.TurnedWho)
		cache.Decimal(f, &c.Alone)
	})
	cache.List(f, &h.sounds, func(s *contact.Sound) {
		cache.Decimal(f, &s.Seconds)
		for i := range s.Trait {
			const parts = 16 // of one: sounds of one thing differ by about 1
			n := int(math.Round(float64(s.Trait[i]) * parts))
			cache.Whole(f, &n)
			s.Trait[i] = float32(n) / parts
		}
	})
	cache.Text(f, &h.peaks)
}

func (h *heardFile) bytes() []byte {
	w := cache.NewWriter(heardForm(), 72*len(h.contacts)+48*len(h.sounds)+len(h.peaks))
	h.fields(cache.Write(w))
	return w.Seal()
}

// readHeard reports whether bytes are what bytes has written.
func readHeard(data []byte) (h heardFile, ok bool) {
	r, ok := cache.Open(heardForm(), data)
	h.fields(cache.Read(&r))
	return h, ok && !r.Bad() && r.Left() == 0
}

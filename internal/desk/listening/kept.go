package listening

import (
	"strokeledger/internal/cache"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
)

// heardForm counts the detectors too: clips are listened to again by one that hears
// better.
func heardForm() cache.Form { return cache.Form{Name: "heard", Version: 4} }

// heardFile is what is kept of what was heard.
type heardFile struct {
	by       footage.Choice // of the file's sounds, and of the video whose clock it is
	contacts []contact.Contact
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
	cache.Text(f, &h.peaks)
}

func (h *heardFile) bytes() []byte {
	w := cache.NewWriter(heardForm(), 72*len(h.contacts)+len(h.peaks))
	h.fields(cache.Write(w))
	return w.Seal()
}

// readHeard reports whether bytes are what bytes has written.
func readHeard(data []byte) (h heardFile, ok bool) {
	r, ok := cache.Open(heardForm(), data)
	h.fields(cache.Read(&r))
	return h, ok && !r.Bad() && r.Left() == 0
}

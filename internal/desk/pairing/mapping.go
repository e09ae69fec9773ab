package pairing

import (
	"context"

	"strokeledger/internal/alignment"
	"strokeledger/internal/clip"
	"strokeledger/internal/desk/footage"
)

// mapping leads from the pictures of one clip to those of another at the same moment.
type mapping struct {
	from, to *clip.Index
	fit      alignment.Fit // the first is to's clock
}

func (x *Pairings) mapping(ctx context.Context, p alignment.Pairing) (m mapping, err error) {
	from, err := x.lib.Clip(ctx, p.ClipID)
	if err != nil {
		return m, err
	}
	to, err := x.lib.Clip(ctx, p.OnID)
	if err != nil {
		return m, err
	}
	if m.from, err = x.footage.Index(ctx, from); err != nil {
		return m, err
	}
	m.to, err = x.footage.Index(ctx, to)
	m.fit = p.Fit()
	return m, err
}

// place is the picture of the other clip at a moment, in ticks of this one; false where it
// shows none.
func (m mapping) place(ticks int64) (frame int, at int64, ok bool) {
	seconds := m.fit.At(m.from.Base().Seconds(ticks - m.from.Ticks(0)))
	if m.to.Len() == 0 || seconds < 0 || seconds > m.to.EndSeconds() {
		return 0, 0, false
	}
	n := footage.Nearest(m.to, seconds)
	return n, m.to.Ticks(n), true
}

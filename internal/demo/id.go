package demo

import (
	"math/rand/v2"
	"time"

	"github.com/google/uuid"

	"strokeledger/internal/club"
)

// mint makes identities of the usual form (UUIDv7, RFC 9562 section 5.7) from a
// seeded source and an invented clock, so that the same seed makes the same club.
type mint struct {
	rng *rand.Rand
	at  time.Time
}

func (m *mint) id() club.ID {
	m.at = m.at.Add(time.Millisecond)
	var u uuid.UUID
	ms := m.at.UnixMilli()
	for i := range 6 {
		u[i] = byte(ms >> (40 - 8*i))
	}
	for i := 6; i < 16; i += 2 {
		v := m.rng.Uint32()
		u[i], u[i+1] = byte(v), byte(v>>8)
	}
	u[6] = u[6]&0x0f | 0x70
	u[8] = u[8]&0x3f | 0x80
	return club.ID(u.String())
}

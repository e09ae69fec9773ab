// Package second invents a coach of the invented club who looks at turns a second time,
// with known habits, so that what is said of two coaches can be held against the truth.
// What this coach sees comes from what happened, not from what the others marked.
package second

import (
	"math/rand/v2"
	"time"

	"github.com/google/uuid"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
)

// Habits are those of the coach.
type Habits struct {
	Missed   float64 // share of the faults that are there and not marked
	Confused float64 // share of the faults From that are marked as To
	From, To string  // codes of the starter catalogue
	Late     int     // frames after the moment at which a fault is plain to see
	Misread  float64 // share of the strokes whose outcome is taken for the other
}

// Usual are the habits of the club's third coach (chosen for the demo, no source).
func Usual() Habits {
	return Habits{Missed: 0.2, Confused: 0.3, From: "ELBOW", To: "BIGBACK", Late: 3, Misread: 0.03}
}

// Reading is how the coach saw again, without seeing it, what one coach had looked
// through for every fault.
type Reading struct {
	First club.ID // whose turns
	Turns []club.ID
	Marks []club.Mark
	Looks []club.Look
	// Judged are the outcomes of the strokes of these turns, by stroke.
	Judged map[club.ID]club.Outcome
}

// Read has a third coach look at every turn that was looked through for every fault and
// whose strokes are logged. The same seed always gives the same.
func Read(c *demo.Club, h Habits, seed uint64) (club.Coach, []Reading) {
	m := maker{habits: h, rng: rand.New(rand.NewPCG(seed, 0x7365636f6e64)), faults: map[string]club.ID{}}
	m.at = time.Date(2026, 11, 2, 18, 0, 0, 0, time.UTC)
	m.coach = club.Coach{ID: m.id(), Name: "Ines Okparra"}
	for _, f := range c.Catalogue.Faults {
		m.faults[f.Code] = f.ID
	}
	var all []Reading
	for _, k := range c.Catalogue.Coaches {
		r := Reading{First: k.ID, Judged: map[club.ID]club.Outcome{}}
		for _, scene := range c.Scenes {
			for _, l := range scene.Looks {
				for _, t := range scene.Turns {
					if l.First == t.First && l.CoachID == k.ID && len(l.Faults) == len(c.Catalogue.Faults) {
						m.read(&r, scene, t, l)
					}
				}
			}
		}
		if len(r.Turns) > 0 {
			all = append(all, r)
		}
	}
	return m.coach, all
}

type maker struct {
	coach  club.Coach
	habits Habits
	rng    *rand.Rand
	at     time.Time
	faults map[string]club.ID
}

// id is a UUID of version 7 (RFC 9562) of the coach's own chance.
func (m *maker) id() club.ID {
	m.at = m.at.Add(time.Millisecond)
	var u uuid.UUID
	for i := range u {
		u[i] = byte(m.rng.Uint32())
	}
	for i, ms := 0, m.at.UnixMilli(); i < 6; i++ {
		u[i] = byte(ms >> (40 - 8*i))
	}
	u[6], u[8] = u[6]&0x0f|0x70, u[8]&0x3f|0x80
	return club.ID(u.String())
}

func (m *maker) read(r *Reading, scene *demo.Scene, t club.Turn, l club.Look) {
	shown := scene.Shown(t)
	if len(shown) == 0 {
		return
	}
	var strokes []club.Stroke
	for _, k := range scene.Strokes {
		if t.Covers(k.Frame) {
			strokes = append(strokes, k)
		}
	}
	r.Turns = append(r.Turns, t.ID)
	l.ID, l.CoachID = m.id(), m.coach.ID
	l.Made = m.at
	r.Looks = append(r.Looks, l)
	for n, s := range shown {
		outcome := s.Outcome
		if m.rng.Float64() < m.habits.Misread {
			outcome = map[club.Outcome]club.Outcome{club.Good: club.Missed, club.Missed: club.Good}[outcome]
		}
		r.Judged[strokes[n].ID] = outcome
		taken := map[string]bool{}
		for _, f := range s.Faults {
			code := f.Code
			if m.rng.Float64() < m.habits.Missed {
				continue
			}
			if code == m.habits.From && m.rng.Float64() < m.habits.Confused {
				code = m.habits.To
			}
			if taken[code] {
				continue
			}
			taken[code] = true
			frame := min(f.Frame+m.habits.Late, t.Last)
			r.Marks = append(r.Marks, club.Mark{ID: m.id(), ClipID: scene.ClipID, FaultID: m.faults[code], CoachID: m.coach.ID, Frame: frame, Ticks: scene.Ticks(frame),
				StrokeID: strokes[n].ID, Source: club.ByHand, Confidence: 1, Made: l.Made})
		}
	}
}

// Package demo invents a club: players, a ladder of drills, fault codes, and
// clips of training that are drawn from a model of the rally, so that the truth
// behind every mark is known. The same seed always makes the same club, ids
// included.
//
// Nothing here touches a file or a picture: package film draws and sounds the
// scenes, whoever keeps a library puts the rest into it.
package demo

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/timecode"
)

// Measures of every clip.
const (
	Width     = 768 // pixels
	Height    = 432 // pixels
	Rate      = 50  // pictures a second
	SoundRate = 48000
)

// Club is the whole invented club.
type Club struct {
	Seed      int64
	Name      string
	Catalogue club.Catalogue
	Sessions  []club.Session // by date
	Scenes    []*Scene       // by session and name
	Rulings   []club.Ruling  // a coach's word on the ladder
	Pairs     []picture.Pair // kept to be looked at side by side
	Slips     []slip         // where the coaches' marks depart from the truth, on purpose
}

// Scene is one clip: what goes into the ledger, what goes into the film, and the
// truth. It is not changed once made, and may be read by many goroutines.
type Scene struct {
	File      string // name of the file: 2026-09-08-one-forehand-diagonal.mp4
	ClipID    club.ID
	SessionID club.ID
	Date      club.Date
	Recorded  time.Time     // UTC
	Frames    int           // pictures; picture n is shown at n times PictureBase
	Base      timecode.Base // seconds a tick of the file that film writes

	// What the coaches entered. A clip that is left empty has none of it.
	Turns   []club.Turn
	Strokes []club.Stroke
	Marks   []club.Mark
	Looks   []club.Look
	// What they drew on its pictures.
	Drawings []picture.Drawing

	Camera   Camera  // at the beginning: CameraAt tells of later
	Table    float64 // height of the surface, metres: TableHeight but for a table that is set up wrong
	Coarse   bool    // a noisy picture, packed hard
	Actors   []Actor // the partner first
	Balls    []Ball
	Contacts []Contact // in order of time
	Seed     uint64    // of the hall's noise and of what varies in the clicks

	acts  []act
	knock *knock // nil: the camera stands still
}

// act is one turn as it was played.
type act struct {
	turn    club.Turn
	member  int
	drill   club.Drill
	actor   int // index into Actors
	strokes []drive
	without []drive // swings without a ball
	empty   bool    // the turn is not in the ledger
	unheard bool    // its strokes are not
	watched watched
}

// PictureBase is how long one picture of every clip is shown.
func PictureBase() timecode.Base { return timecode.Base{Num: 1, Den: Rate} }

// FileBase is the time base of the films' picture track.
func FileBase() timecode.Base { return timecode.Base{Num: 1, Den: 12800} }

// Frame is the picture nearest to a time of the clip.
func (s *Scene) Frame(seconds float64) int {
	return min(max(int(PictureBase().Ticks(seconds)), 0), s.Frames-1)
}

// Ticks is the time of a picture on the film's clock.
func (s *Scene) Ticks(frame int) int64 {
	return timecode.Rescale(int64(frame), PictureBase(), s.Base)
}

// Seconds is the time of a picture.
func (s *Scene) Seconds(frame int) float64 { return PictureBase().Seconds(int64(frame)) }

// maker holds what the club is made with.
type maker struct {
	rng      *rand.Rand
	mint     *mint
	members  []member
	trainers []trainer
	club     *Club
	codes    map[way]club.Fault
}

// Make invents the club of a seed.
func Make(seed int64) Club { return invent(seed, members(), programme()) }

// invent invents the club of these players and these sessions.
func invent(seed int64, members []member, sessions []plannedSession) Club {
	rng := rand.New(rand.NewPCG(uint64(seed), 0x7461626c65))
	c := Club{Seed: seed, Name: clubName}
	m := &maker{rng: rng, members: members, trainers: trainers(), club: &c, codes: map[way]club.Fault{},
		mint: &mint{rng: rng, at: time.Date(2026, 9, 1, 16, 0, 0, 0, time.UTC)}}
	m.catalogue()
	for i, p := range sessions {
		m.session(p, float64(i)/float64(len(sessions)-1))
	}
	m.rule()
	m.draw()
	return c
}

func (m *maker) catalogue() {
	for i := range m.trainers {
		m.trainers[i].coach.ID = m.mint.id()
		m.club.Catalogue.Coaches = append(m.club.Catalogue.Coaches, m.trainers[i].coach)
	}
	for i := range m.members {
		m.members[i].player.ID = m.mint.id()
		m.club.Catalogue.Players = append(m.club.Catalogue.Players, m.members[i].player)
	}
	starter := club.Starter(m.mint.id)
	m.club.Catalogue.Drills, m.club.Catalogue.Faults = starter.Drills, starter.Faults
	for _, f := range starter.Faults {
		if w, ok := acted()[f.Code]; ok {
			m.codes[w] = f
		}
	}
}

// rule sets one rung by hand.
func (m *maker) rule() {
	last := m.club.Sessions[len(m.club.Sessions)-1]
	noor := m.club.Catalogue.Players[3]
	m.club.Rulings = append(m.club.Rulings, club.Ruling{ID: m.mint.id(), PlayerID: noor.ID, DrillID: m.drill(1).ID,
		CoachID: m.trainers[0].coach.ID, Date: last.Date, Passed: true, Reason: "Twelve in a row in the warm-up, before the camera ran."})
}

// drill is the one on a rung.
func (m *maker) drill(rung int) club.Drill {
	i := slices.IndexFunc(m.club.Catalogue.Drills, func(d club.Drill) bool { return d.Rung == rung })
	return m.club.Catalogue.Drills[i]
}

func (m *maker) session(p plannedSession, progress float64) {
	day, _ := time.Parse(time.DateOnly, string(p.date))
	m.mint.at = day.Add(17 * time.Hour)
	s := club.Session{ID: m.mint.id(), Date: p.date, Note: p.note}
	m.club.Sessions = append(m.club.Sessions, s)
	for i, clip := range p.clip {
		m.mint.at = day.Add(17*time.Hour + time.Duration(20*i)*time.Minute)
		scene := &Scene{File: fmt.Sprintf("%s-%s.mp4", p.date, clip.name), ClipID: m.mint.id(), SessionID: s.ID,
			Date: p.date, Recorded: m.mint.at.Truncate(time.Second), Base: FileBase(), Seed: m.rng.Uint64()}
		m.film(scene, clip, m.trainers[p.far], progress)
		m.mint.at = day.Add(20*time.Hour + time.Duration(20*i)*time.Minute)
		if !clip.empty {
			m.enter(scene, m.trainers[p.by].coach)
			m.watchReady(scene)
			m.looks(scene, m.trainers[p.by].coach)
		}
		m.club.Scenes = append(m.club.Scenes, scene)
	}
}

// Moments of a clip, seconds.
const (
	lead   = 0.6 // before the first turn
	change = 2.0 // from one player's turn to the next one's
	tail   = 0.6 // after the last turn
)

// film plays the turns of a clip, one after the other, before one camera.
func (m *maker) film(s *Scene, clip planned, partner trainer, progress float64) {
	v := stand{rand.New(rand.NewPCG(s.Seed, 0x76696577)), clip.view}
	s.Camera, s.Table, s.Coarse = v.camera(m.camera()), TableHeight, clip.view.coarse
	var far []drive
	end := lead
	for i, p := range clip.turns {
		from := lead
		if i > 0 {
			from = end + change
		}
		end = from + p.seconds
		who := m.members[p.member]
		drill := m.drill(p.rung)
		place := placings(drill, who.player.Hand == club.LeftHand)
		h := habit{miss: who.miss, faults: map[way]float64{}}
		for w, t := range who.tends {
			h.faults[w] = t.at(drill.Method, progress)
		}
		r := &rally{rng: m.rng, placing: place, drill: drill, habit: h, stroke: len(s.strokes()), ball: len(s.Balls)}
		r.play(from, end)
		s.Balls = append(s.Balls, r.balls...)
		s.Contacts = append(s.Contacts, r.contacts...)
		far = append(far, r.far...)
		s.acts = append(s.acts, act{member: p.member, drill: drill, strokes: r.near, empty: clip.empty, unheard: p.unheard, watched: p.watched,
			turn: club.Turn{ClipID: s.ClipID, PlayerID: who.player.ID, DrillID: drill.ID,
				First: int(PictureBase().Ticks(from)), Last: int(PictureBase().Ticks(end)) - 1}})
	}
	total := end + tail
	s.Frames = int(PictureBase().Ticks(total))
	sortContacts(s.Contacts)
	if clip.view.knocked {
		s.knock = &knock{from: total * (0.4 + 0.2*v.rng.Float64()), right: 0.04 + v.spread(0.01), down: v.spread(0.015), roll: v.spread(0.01)}
	}
	if clip.view.sunk {
		s.sink(sunkBy)
		for i := range far {
			far[i].at.Z -= sunkBy
		}
	}
	m.manners(s)
	home := Vec{3.46, far[0].at.Y - 0.28, 0}
	if clip.sparring {
		s.swings()
	}
	if clip.idle {
		s.idle()
		far = nil
	}
	m.cast(s, partner, far, home, total)
	if clip.view.passer {
		s.walker(v, false)
	}
	if clip.view.crosses {
		s.walker(v, true)
	}
}

// sink lets table and ball stand lower than they should; the floor stays.
func (s *Scene) sink(by float64) {
	s.Table -= by
	for _, b := range s.Balls {
		for i := range b.flights {
			b.flights[i].at.Z -= by
		}
	}
	for i := range s.Contacts {
		s.Contacts[i].At.Z -= by
	}
	for _, a := range s.acts {
		for i := range a.strokes {
			a.strokes[i].at.Z -= by
		}
	}
}

// cast gives the figures their motion.
func (m *maker) cast(s *Scene, partner trainer, far []drive, home Vec, total float64) {
	p := newActor(m.rng, partner.look, false, false)
	p.partner(total, far, home)
	s.Actors = append(s.Actors, p.actor(0, total+1))
	outside := Vec{-2.6, 2.1, 0}
	for i := range s.acts {
		a := &s.acts[i]
		who := m.members[a.member]
		left := who.player.Hand == club.LeftHand
		n := newActor(m.rng, who.look, left, true)
		home := n.home(a.drill, placings(a.drill, left))
		from, to := s.Seconds(a.turn.First), s.Seconds(a.turn.Last)
		seen, gone := 0.0, total+1
		begin, end := 0.0, total+1
		if i > 0 {
			seen, begin = from-1.5, from
			n.walk(seen, begin-0.28, outside.Add(Vec{0.3, -0.5, 0}), home, -0.6, 0)
		}
		if i+1 < len(s.acts) {
			end = to + 0.1
			gone = end + 1.5
		}
		n.player(begin, end, a.swung(), home)
		if i+1 < len(s.acts) {
			n.walk(end+0.3, gone, home, outside, 0, 2.4)
		}
		a.actor = len(s.Actors)
		s.Actors = append(s.Actors, n.actor(seen, gone))
	}
}

// camera stands behind the near player's right shoulder, never twice in quite
// the same place.
func (m *maker) camera() Camera {
	spread := func(d float64) float64 { return (2*m.rng.Float64() - 1) * d }
	at := Vec{-2.05 + spread(0.15), -2.95 + spread(0.15), 1.62 + spread(0.08)}
	return newCamera(at, Vec{0.95 + spread(0.05), 0.80 + spread(0.05), 0.82}, 662+spread(14), Width, Height)
}

// strokes are the near strokes of all turns so far.
func (s *Scene) strokes() (all []drive) {
	for _, a := range s.acts {
		all = append(all, a.strokes...)
	}
	return all
}

// soundSpeed is that of sound in the hall's air, m/s.
const soundSpeed = 343

// SoundArrives is when the sound of a contact reaches the camera, clip time.
func (s *Scene) SoundArrives(c Contact) float64 {
	return c.Seconds + c.At.Sub(s.Camera.At).Length()/soundSpeed
}

package tally

import (
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// sessionCount is one training date of a player, or of the team.
type sessionCount struct {
	day             int // number in Counter.dates
	turns           int
	strokes         int
	good            int
	longest         int
	unloggedSeconds float64
	watches         watches
	byPart          []apportioned
	faults          []sessionFault // those met
	timed           []timedFault   // of turns without strokes
}

// sessionFault is one fault on one training date.
type sessionFault struct {
	fault, x int32
	byPart   [sessionParts]int32
	xx, xn   int64 // as strikes
}

// timedFault is one fault's marks in turns without logged strokes on one training date.
type timedFault struct {
	fault int32
	rate.Minutes
}

// time counts such marks.
func (s *sessionCount) time(fault int32, m rate.Minutes) {
	if m.X == 0 {
		return
	}
	i := slices.IndexFunc(s.timed, func(t timedFault) bool { return t.fault == fault })
	if i < 0 {
		s.timed, i = append(s.timed, timedFault{fault: fault}), len(s.timed)
	}
	s.timed[i].Join(m)
}

// at finds or makes the fault's place.
func (s *sessionCount) at(fault int32) *sessionFault {
	i := slices.IndexFunc(s.faults, func(f sessionFault) bool { return f.fault == fault })
	if i < 0 {
		i = len(s.faults)
		s.faults = append(s.faults, sessionFault{fault: fault})
	}
	return &s.faults[i]
}

// addSession counts a turn in its session. Turns come in order of date.
func (b *book) addSession(k *Counter, r *club.TurnRecord, run climb.Run, d club.Drill) {
	day := len(k.dates) - 1
	if len(b.sessions) == 0 || b.sessions[len(b.sessions)-1].day != day {
		b.sessions = append(b.sessions, sessionCount{day: day})
		clear(b.place)
	}
	for len(b.place) < len(k.faults) {
		b.place = append(b.place, 0)
	}
	s := &b.sessions[len(b.sessions)-1]
	s.turns++
	s.longest = max(s.longest, run.Longest)
	s.good += run.Good
	if len(r.Strokes) == 0 {
		s.unloggedSeconds += r.Seconds()
	}
	s.strokes += len(r.Strokes)
	for i := range k.parts {
		s.watches.add(&k.parts[i])
		s.apportion(&k.parts[i], d)
	}
	in, inParts := partsOf(d)
	for _, f := range k.met {
		h := &k.here[f]
		if h.x == 0 && h.minutes == 0 {
			continue
		}
		part := k.partOf(f) // there is one: what was not looked at has no x
		if b.place[f] == 0 {
			if s.faults == nil {
				s.faults = make([]sessionFault, 0, len(k.met)+2)
			}
			s.faults = append(s.faults, sessionFault{fault: int32(f)})
			b.place[f] = len(s.faults)
		}
		at := &s.faults[b.place[f]-1]
		at.x += int32(h.x)
		for _, i := range in[:inParts] {
			at.byPart[i] += int32(h.x)
		}
		at.xx += int64(h.x * h.x)
		at.xn += int64(h.x * part.n[exposureOf(k.faults[f].Sides)])
		s.time(int32(f), h.timed(part.seconds/60))
	}
}

// join adds what another player did on the same date.
func (s *sessionCount) join(o *sessionCount) {
	s.turns += o.turns
	s.good += o.good
	s.longest = max(s.longest, o.longest)
	s.unloggedSeconds += o.unloggedSeconds
	s.strokes += o.strokes
	s.watches.join(o.watches)
	for i := range o.faults {
		its := &o.faults[i]
		at := s.at(its.fault)
		at.x += its.x
		at.xx += its.xx
		at.xn += its.xn
	}
	for i := range o.timed {
		s.time(o.timed[i].fault, o.timed[i].Minutes)
	}
}

// teamSessions puts the players' sessions together by date.
func (k *Counter) teamSessions() []sessionCount {
	byDay := make([]*sessionCount, len(k.dates))
	for _, b := range k.books {
		for i := range b.sessions {
			s := &b.sessions[i]
			if byDay[s.day] == nil {
				byDay[s.day] = &sessionCount{day: s.day}
			}
			byDay[s.day].join(s)
		}
	}
	var all []sessionCount
	for _, s := range byDay {
		if s != nil {
			all = append(all, *s)
		}
	}
	return all
}

// moments of a fault on that date.
func (s *sessionCount) moments(fault int, sides club.Sides) (m rate.Moments, minutes rate.Minutes) {
	m, minutes = s.watches.moments(fault, exposureOf(sides)), s.watches.minutes(fault)
	for i := range s.faults {
		if f := &s.faults[i]; int(f.fault) == fault {
			m.X, m.XX, m.XN = int(f.x), int(f.xx), int(f.xn)
		}
	}
	for i := range s.timed {
		if int(s.timed[i].fault) == fault {
			minutes.Join(s.timed[i].Minutes)
		}
	}
	return m, minutes
}

// shown are the sessions as a sheet shows them, with those faults.
func (k *Counter) shown(sessions []sessionCount, faults []group.FaultLine) []Session {
	out := make([]Session, len(sessions))
	for i := range sessions {
		s := &sessions[i]
		out[i] = Session{
			Date: k.dates[s.day], Turns: s.turns, Strokes: s.strokes, Good: s.good, Longest: s.longest,
			Minutes: s.unloggedSeconds / 60, Faults: []SessionFault{},
		}
		for _, l := range faults {
			if l.Marks == 0 || k.o.Lean && !k.o.TeamOnly {
				continue
			}
			f := k.faultAt[l.FaultID]
			m, minutes := s.moments(f, k.faults[f].Sides)
			out[i].Faults = append(out[i].Faults, SessionFault{
				FaultID: l.FaultID, PerStroke: rate.ShareOver(m, k.alike.turns[f]), PerMinute: rate.PaceOver(minutes, k.alike.minutes[f]),
			})
		}
	}
	return out
}

package tally

import (
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// faultSet is a set of faults by their index; sets of equal faults are one pointer.
type faultSet struct{ bits []uint64 }

func (s *faultSet) has(fault int) bool {
	return fault/64 < len(s.bits) && s.bits[fault/64]>>(fault%64)&1 == 1
}

// covers reports whether every fault of another set, which is no longer, is in this one.
func (s *faultSet) covers(o *faultSet) bool {
	for i, b := range o.bits {
		if b&^s.bits[i] != 0 {
			return false
		}
	}
	return true
}

// meets reports whether the sets have a fault in common.
func (s *faultSet) meets(o *faultSet) bool {
	for i, b := range o.bits {
		if i < len(s.bits) && b&s.bits[i] != 0 {
			return true
		}
	}
	return false
}

// faultSets keeps the sets that were met: a club looks for few. It remembers the
// list that it was asked for last, since the looks of one clip share theirs.
type faultSets struct {
	all  []*faultSet
	list []club.ID
	last *faultSet
}

// of returns the set of those faults, by index.
func (s *faultSets) of(faults []int) *faultSet {
	var set faultSet
	for _, f := range faults {
		for len(set.bits) <= f/64 {
			set.bits = append(set.bits, 0)
		}
		set.bits[f/64] |= 1 << (f % 64)
	}
	for _, o := range s.all {
		if slices.Equal(o.bits, set.bits) {
			return o
		}
	}
	s.all = append(s.all, &set)
	return &set
}

// watched are turns in which the same faults were looked for.
type watched struct {
	faults   *faultSet
	turns    int                     // of which nothing was left out
	exposure [exposures]rate.Moments // of the strokes that were looked at; only Turns, N and NN are used
	minutes  rate.Minutes            // looked at of turns without logged strokes; only Turns, T and TT are used
}

// watches are turns by what was looked for. A turn is in one of them for each fault
// at most.
type watches []watched

func (w *watches) at(faults *faultSet) *watched {
	for i := range *w {
		if (*w)[i].faults == faults {
			return &(*w)[i]
		}
	}
	*w = append(*w, watched{faults: faults})
	return &(*w)[len(*w)-1]
}

// add counts a turn's part.
func (w *watches) add(p *part) {
	at := w.at(p.faults)
	if p.whole {
		at.turns++
	}
	at.minutes.Add(0, p.seconds/60)
	for e := range at.exposure {
		at.exposure[e].Add(0, p.n[e])
	}
}

func (w *watches) join(o watches) {
	for i := range o {
		at := w.at(o[i].faults)
		at.turns += o[i].turns
		at.minutes.Join(o[i].minutes)
		for e := range at.exposure {
			at.exposure[e].Join(o[i].exposure[e])
		}
	}
}

// moments are the strokes that were looked at for a fault, without the fault's own.
func (w watches) moments(fault int, e exposure) (m rate.Moments) {
	for i := range w {
		if w[i].faults.has(fault) {
			m.Join(w[i].exposure[e])
		}
	}
	return m
}

// strokes were looked at for a fault.
func (w watches) strokes(fault int, e exposure) (n int) {
	for i := range w {
		if w[i].faults.has(fault) {
			n += w[i].exposure[e].N
		}
	}
	return n
}

// minutes were looked at for a fault in turns without logged strokes; the fault's own
// marks are not in them.
func (w watches) minutes(fault int) (m rate.Minutes) {
	for i := range w {
		if w[i].faults.has(fault) {
			m.Join(w[i].minutes)
		}
	}
	return m
}

// turns were looked through for a fault, nothing left out.
func (w watches) turns(fault int) (n int) {
	for i := range w {
		if w[i].faults.has(fault) {
			n += w[i].turns
		}
	}
	return n
}

// part is what was looked at of the turn at hand for some faults.
type part struct {
	faults  *faultSet
	one     club.ID        // of the faults
	looks   []int          // of the turn, by index, that look for them
	whole   bool           // nothing was left out
	n       [exposures]int // strokes that were looked at
	seconds float64        // of a turn without logged strokes
}

// covers reports whether one of the part's looks shows a frame.
func (p *part) covers(r *club.TurnRecord, frame int) bool {
	return p.whole || slices.ContainsFunc(p.looks, func(l int) bool { return r.Looks[l].Covers(frame) })
}

// watch fills k.parts with what was looked at of a turn, each fault that was looked
// for in one of them. all are the turn's strokes by exposure.
func (k *Counter) watch(r *club.TurnRecord, all [exposures]int) {
	k.parts = k.parts[:0]
	switch {
	case len(r.Looks) == 0:
	case len(r.Looks) == 1 && len(r.Looks[0].Faults) > 0:
		k.parts = append(k.parts, part{faults: k.setOf(r.Looks[0].Faults), one: r.Looks[0].Faults[0], looks: k.single})
	default:
		k.partition(r)
	}
	for i := range k.parts {
		p := &k.parts[i]
		p.whole = slices.ContainsFunc(p.looks, func(l int) bool { return r.Looks[l].First <= r.First && r.Looks[l].Last >= r.Last })
		switch {
		case len(r.Strokes) == 0:
			p.seconds = r.LookedSeconds(p.one)
			p.whole = p.whole || p.seconds > 0 && p.seconds == r.Seconds()
		case p.whole:
			p.n = all
		default:
			k.seen = k.seen[:0]
			for s := range r.Strokes {
				if p.covers(r, r.Strokes[s].Frame) {
					k.seen = append(k.seen, k.sides[s])
				}
			}
			p.n = exposed(k.seen)
			p.whole = len(k.seen) == len(r.Strokes)
		}
	}
}

// setOf is the set of a list of faults.
func (k *Counter) setOf(list []club.ID) *faultSet {
	if was := k.sets.list; len(was) != len(list) || &was[0] != &list[0] {
		faults := make([]int, len(list))
		for i, id := range list {
			faults[i] = k.fault(id)
		}
		k.sets.list, k.sets.last = list, k.sets.of(faults)
	}
	return k.sets.last
}

// partition parts the faults that several looks look for by which of them do.
func (k *Counter) partition(r *club.TurnRecord) {
	type looked struct {
		id    club.ID
		looks []int
	}
	by := map[int]*looked{}
	var order []int
	for l := range r.Looks {
		for _, id := range r.Looks[l].Faults {
			f := k.fault(id)
			if by[f] == nil {
				by[f] = &looked{id: id}
				order = append(order, f)
			}
			by[f].looks = append(by[f].looks, l)
		}
	}
	for len(order) > 0 {
		first := by[order[0]]
		same := func(f int) bool { return slices.Equal(by[f].looks, first.looks) }
		var together []int
		for _, f := range order {
			if same(f) {
				together = append(together, f)
			}
		}
		order = slices.DeleteFunc(order, same)
		k.parts = append(k.parts, part{faults: k.sets.of(together), one: first.id, looks: first.looks})
	}
}

// partOf is the part of the turn at hand in which a fault was looked for, nil where
// nobody has.
func (k *Counter) partOf(fault int) *part {
	for i := range k.parts {
		if k.parts[i].faults.has(fault) {
			return &k.parts[i]
		}
	}
	return nil
}

// looked says how far the turn at hand was looked through.
func (k *Counter) looked(r *club.TurnRecord) (l group.Looked) {
	every, assumed, twice := &faultSet{bits: make([]uint64, len(k.inUse.bits))}, false, false
	for i := range k.parts {
		p := &k.parts[i]
		for b, bits := range p.faults.bits {
			if p.whole && b < len(every.bits) {
				every.bits[b] |= bits
			}
		}
		said := slices.ContainsFunc(p.looks, func(l int) bool { return !r.Looks[l].Assumed })
		assumed = assumed || !said && p.faults.meets(k.inUse)
	}
	for i := range r.Looks {
		twice = twice || r.Looks[i].CoachID != r.Looks[0].CoachID
	}
	switch {
	case len(r.Looks) == 0:
		l.NoTurns, l.NoStrokes = 1, len(r.Strokes)
		return l
	case every.covers(k.inUse):
		l.Turns, l.Strokes = 1, len(r.Strokes)
	default:
		l.SomeTurns, l.SomeStrokes = 1, len(r.Strokes)
	}
	if twice {
		l.TwiceTurns = 1
	}
	if assumed {
		l.AssumedTurns = 1
	}
	return l
}

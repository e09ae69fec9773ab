package store

import (
	"errors"
	"slices"

	"github.com/google/uuid"

	"strokeledger/internal/cache"
	"strokeledger/internal/club"
)

// A pack keeps the turns of one clip as a summary and the list of what is still to
// do need them, in a few bytes a stroke: data has everything that is counted, ids the names of the marks, and of
// the strokes with a ready moment, which only a reader wants who goes on to them.
// Frames and ticks are differences.

func packForm() cache.Form  { return cache.Form{Name: "pack", Version: 1} }
func namesForm() cache.Form { return cache.Form{Name: "names", Version: 1} }

// errPack says that a pack is none of ours.
var errPack = errors.New("a packed clip does not read")

const (
	packForehand = 1 << iota
	packBackhand
	packMissed
	packReady
	packAnswer
	packHung // some mark was hung on this stroke by hand
)

// packed is what was read of a pack.
type packed struct{ data, ids cache.Reader }

// openPack reports whether bytes are a whole pack; with names also that of the names.
func openPack(data, ids []byte, names bool) (p packed, ok bool) {
	if p.data, ok = cache.Open(packForm(), data); ok && names {
		p.ids, ok = cache.Open(namesForm(), ids)
	}
	return p, ok
}

// pack writes the turns of one clip, in order of frame.
func pack(turns []club.TurnRecord) (data, ids []byte) {
	w := packer{Writer: cache.NewWriter(packForm(), 0), ids: cache.NewWriter(namesForm(), 0), names: map[club.ID]int{}}
	for i := range turns {
		t := &turns[i]
		w.name(t.PlayerID)
		w.name(t.DrillID)
		for k := range t.Marks {
			w.name(t.Marks[k].FaultID)
		}
		for k := range t.Looks {
			w.name(t.Looks[k].CoachID)
			w.set(t.Looks[k].Faults)
		}
	}
	w.uint(len(w.order))
	for _, id := range w.order {
		putID(w.Writer, id)
	}
	w.uint(len(w.sets))
	for _, set := range w.sets {
		w.uint(len(set))
		for _, id := range set {
			w.uint(w.names[id])
		}
	}
	w.uint(len(turns))
	for i := range turns {
		w.turn(&turns[i])
	}
	return w.Seal(), w.ids.Seal()
}

type packer struct {
	*cache.Writer
	ids   *cache.Writer
	names map[club.ID]int
	order []club.ID
	sets  [][]club.ID // of faults that were looked for: few in one clip
}

// set returns the place of a set of faults, giving it one where it is new.
func (w *packer) set(faults []club.ID) int {
	for _, id := range faults {
		w.name(id)
	}
	i := slices.IndexFunc(w.sets, func(s []club.ID) bool { return slices.Equal(s, faults) })
	if i < 0 {
		i = len(w.sets)
		w.sets = append(w.sets, faults)
	}
	return i
}

func (w *packer) name(id club.ID) {
	if _, ok := w.names[id]; !ok {
		w.names[id] = len(w.order)
		w.order = append(w.order, id)
	}
}

func (w *packer) uint(n int) { w.Uint(uint64(n)) }

// putID writes a UUID as its 16 bytes after a nought, anything else after its length
// and one.
func putID(to *cache.Writer, id club.ID) {
	if u, err := uuid.Parse(string(id)); err == nil && u.String() == string(id) {
		to.Uint(0)
		to.Raw(u[:])
		return
	}
	to.Uint(uint64(len(id)) + 1)
	to.Raw([]byte(id))
}

func (w *packer) turn(t *club.TurnRecord) {
	putID(w.Writer, t.ID)
	w.uint(w.names[t.PlayerID])
	w.uint(w.names[t.DrillID])
	w.uint(t.First)
	w.uint(t.Last - t.First)
	w.Int(t.FirstTicks)
	w.Int(t.LastTicks - t.FirstTicks)
	settled := 0
	if t.Settled {
		settled = 1
	}
	w.uint(settled)
	hung := map[club.ID]int{}
	for i := range t.Marks {
		if id := t.Marks[i].StrokeID; id != "" {
			hung[id] = -1
		}
	}
	w.uint(len(t.Strokes))
	frame, ticks := t.First, t.FirstTicks
	for i := range t.Strokes {
		s := &t.Strokes[i]
		flags := 0
		switch s.Side {
		case club.Forehand:
			flags |= packForehand
		case club.Backhand:
			flags |= packBackhand
		}
		if s.Outcome == club.Missed {
			flags |= packMissed
		}
		if s.Ready != nil {
			flags |= packReady
		}
		if s.Answer != nil {
			flags |= packAnswer
		}
		if _, ok := hung[s.ID]; ok {
			flags |= packHung
			hung[s.ID] = i
		}
		w.Byte(byte(flags))
		w.uint(s.Frame - frame)
		w.Int(s.Ticks - ticks)
		frame, ticks = s.Frame, s.Ticks
		if s.Ready != nil {
			w.Int(int64(s.Ready.Frame - s.Frame))
			w.Int(s.Ready.Ticks - s.Ticks)
			putID(w.ids, s.ID)
		}
		if s.Answer != nil {
			w.Float(*s.Answer)
		}
	}
	w.uint(len(t.Marks))
	frame, ticks = t.First, t.FirstTicks
	for i := range t.Marks {
		m := &t.Marks[i]
		w.uint(w.names[m.FaultID])
		w.uint(m.Frame - frame)
		w.Int(m.Ticks - ticks)
		frame, ticks = m.Frame, m.Ticks
		on := -1
		if at, ok := hung[m.StrokeID]; ok {
			on = at
		}
		w.uint(on + 1) // the stroke it was hung on, counted from 1; 0 for none
		putID(w.ids, m.ID)
	}
	w.uint(len(t.Looks))
	for i := range t.Looks {
		l := &t.Looks[i]
		assumed := 0
		if l.Assumed {
			assumed = 1
		}
		w.uint(w.set(l.Faults)<<1 | assumed)
		w.uint(w.names[l.CoachID])
		w.Int(int64(l.First - t.First))
		w.Int(int64(l.Last - t.Last))
		w.Int(l.FirstTicks - t.FirstTicks)
		w.Int(l.LastTicks - t.LastTicks)
	}
}

package store

import (
	"encoding/binary"
	"errors"
	"hash/crc32"
	"math"
	"slices"
	"strconv"

	"github.com/google/uuid"

	"strokeledger/internal/club"
)

// A pack keeps the turns of one clip as a summary needs them, in a few bytes a
// stroke: data has everything that is counted, ids the names of the marks, and of
// the strokes with a ready moment, which only a reader wants who goes on to them.
// Numbers are varints; frames and ticks are differences. A change of the layout
// needs a migration that empties the table.

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

// pack writes the turns of one clip, in order of frame.
func pack(turns []club.TurnRecord) (data, ids []byte) {
	var w packer
	w.names = map[club.ID]int{}
	for i := range turns {
		t := &turns[i]
		w.name(t.PlayerID)
		w.name(t.DrillID)
		for k := range t.Marks {
			w.name(t.Marks[k].FaultID)
		}
	}
	w.uint(len(w.order))
	for _, id := range w.order {
		w.id(&w.data, id)
	}
	w.uint(len(turns))
	for i := range turns {
		w.turn(&turns[i])
	}
	return seal(w.data), seal(w.ids)
}

// seal puts a checksum at the end: a pack is only a cache, and a file may have
// suffered.
func seal(b []byte) []byte { return binary.LittleEndian.AppendUint32(b, crc32.ChecksumIEEE(b)) }

// sealed reports whether bytes are as seal left them.
func sealed(b []byte) bool {
	n := len(b) - 4
	return n >= 0 && binary.LittleEndian.Uint32(b[n:]) == crc32.ChecksumIEEE(b[:n])
}

type packer struct {
	data, ids []byte
	names     map[club.ID]int
	order     []club.ID
}

func (w *packer) name(id club.ID) {
	if _, ok := w.names[id]; !ok {
		w.names[id] = len(w.order)
		w.order = append(w.order, id)
	}
}

func (w *packer) uint(n int)  { w.data = binary.AppendUvarint(w.data, uint64(n)) }
func (w *packer) int(n int64) { w.data = binary.AppendVarint(w.data, n) }

// id writes a UUID as its 16 bytes after a nought, anything else after its length.
func (w *packer) id(to *[]byte, id club.ID) {
	if u, err := uuid.Parse(string(id)); err == nil && u.String() == string(id) {
		*to = append(append(*to, 0), u[:]...)
		return
	}
	*to = binary.AppendUvarint(*to, uint64(len(id))+1)
	*to = append(*to, id...)
}

func (w *packer) turn(t *club.TurnRecord) {
	w.id(&w.data, t.ID)
	w.uint(w.names[t.PlayerID])
	w.uint(w.names[t.DrillID])
	w.uint(t.First)
	w.uint(t.Last - t.First)
	w.int(t.FirstTicks)
	w.int(t.LastTicks - t.FirstTicks)
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
		w.data = append(w.data, byte(flags))
		w.uint(s.Frame - frame)
		w.int(s.Ticks - ticks)
		frame, ticks = s.Frame, s.Ticks
		if s.Ready != nil {
			w.int(int64(s.Ready.Frame - s.Frame))
			w.int(s.Ready.Ticks - s.Ticks)
			w.id(&w.ids, s.ID)
		}
		if s.Answer != nil {
			w.data = binary.LittleEndian.AppendUint64(w.data, math.Float64bits(*s.Answer))
		}
	}
	w.uint(len(t.Marks))
	frame, ticks = t.First, t.FirstTicks
	for i := range t.Marks {
		m := &t.Marks[i]
		w.uint(w.names[m.FaultID])
		w.uint(m.Frame - frame)
		w.int(m.Ticks - ticks)
		frame, ticks = m.Frame, m.Ticks
		on := -1
		if at, ok := hung[m.StrokeID]; ok {
			on = at
		}
		w.uint(on + 1) // the stroke it was hung on, counted from 1; 0 for the nearest
		w.id(&w.ids, m.ID)
	}
}

// slot is a record with room for what hangs on its strokes, to be used again.
type slot struct {
	r       club.TurnRecord
	ready   []club.Moment
	answers []float64
}

// unpacker reads packs into slots.
type unpacker struct {
	data, ids []byte
	named     bool // ids are wanted
	bad       bool
	names     map[[16]byte]club.ID // of UUIDs that were met
	list      []club.ID
	at        []string // names of strokes that marks were hung on, by place
	*slot              // the one at hand
}

// each reads every turn of a pack into the slot at hand and calls do, where wanted
// lets it through by player and drill; do may put another slot in its place.
// r.Date, r.ClipID, r.Base and r.Zero are do's.
func (u *unpacker) each(data, ids []byte, named bool, wanted func(player, drill club.ID) bool, do func() error) error {
	u.data, u.ids, u.bad, u.named = data[:len(data)-4], ids, false, named
	u.list = u.list[:0]
	for range u.uint() {
		u.list = append(u.list, u.id(&u.data, true))
		if u.bad {
			return errPack
		}
	}
	for range u.uint() {
		u.turn()
		if u.bad {
			return errPack
		}
		if !wanted(u.r.PlayerID, u.r.DrillID) {
			continue
		}
		if err := do(); err != nil {
			return err
		}
	}
	return nil
}

func (u *unpacker) uint() int {
	n, size := binary.Uvarint(u.data)
	if size <= 0 || n > math.MaxInt32 {
		u.bad = true
		return 0
	}
	u.data = u.data[size:]
	return int(n)
}

func (u *unpacker) int() int64 {
	n, size := binary.Varint(u.data)
	if size <= 0 {
		u.bad = true
		return 0
	}
	u.data = u.data[size:]
	return n
}

// id reads a name. Those that come again and again are made once.
func (u *unpacker) id(from *[]byte, again bool) club.ID {
	n, size := binary.Uvarint(*from)
	length := int(min(n, 1<<20)) - 1
	if n == 0 {
		length = 16
	}
	if size <= 0 || len(*from) < size+length {
		u.bad = true
		return ""
	}
	raw := (*from)[size : size+length]
	*from = (*from)[size+length:]
	if n > 0 {
		return club.ID(raw)
	}
	key := [16]byte(raw)
	if !again {
		return club.ID(uuid.UUID(key).String())
	}
	id, ok := u.names[key]
	if !ok {
		if u.names == nil {
			u.names = map[[16]byte]club.ID{}
		}
		id = club.ID(uuid.UUID(key).String())
		u.names[key] = id
	}
	return id
}

func (u *unpacker) turn() {
	r := &u.r
	r.ID = u.id(&u.data, false)
	player, drill := u.uint(), u.uint()
	if u.bad || player >= len(u.list) || drill >= len(u.list) {
		u.bad = true
		return
	}
	r.PlayerID, r.DrillID = u.list[player], u.list[drill]
	r.First = u.uint()
	r.Last = r.First + u.uint()
	r.FirstTicks = u.int()
	r.LastTicks = r.FirstTicks + u.int()
	u.strokes()
	u.marks()
}

func (u *unpacker) strokes() {
	r := &u.r
	n := u.uint()
	if u.bad || n > len(u.data) {
		u.bad = true
		return
	}
	if cap(r.Strokes) < n {
		r.Strokes = make([]club.Stroke, n)
		u.ready, u.answers = make([]club.Moment, n), make([]float64, n)
	}
	r.Strokes = r.Strokes[:n]
	frame, ticks := r.First, r.FirstTicks
	for i := range r.Strokes {
		if len(u.data) == 0 {
			u.bad = true
			return
		}
		flags := u.data[0]
		u.data = u.data[1:]
		frame += u.uint()
		ticks += u.int()
		s := &r.Strokes[i]
		*s = club.Stroke{Frame: frame, Ticks: ticks, Outcome: club.Good}
		switch {
		case flags&packForehand != 0:
			s.Side = club.Forehand
		case flags&packBackhand != 0:
			s.Side = club.Backhand
		}
		if flags&packMissed != 0 {
			s.Outcome = club.Missed
		}
		if flags&packHung != 0 {
			s.ID = u.place(i)
		}
		if flags&packReady != 0 {
			u.ready[i] = club.Moment{Frame: frame + int(u.int()), Ticks: ticks + u.int()}
			s.Ready = &u.ready[i]
			if u.named {
				s.ID = u.id(&u.ids, false)
			}
		}
		if flags&packAnswer != 0 {
			if len(u.data) < 8 {
				u.bad = true
				return
			}
			u.answers[i] = math.Float64frombits(binary.LittleEndian.Uint64(u.data))
			s.Answer = &u.answers[i]
			u.data = u.data[8:]
		}
	}
}

// place is a name for a stroke that needs one and whose own is not kept.
func (u *unpacker) place(i int) club.ID {
	for len(u.at) <= i {
		u.at = append(u.at, "#"+strconv.Itoa(len(u.at)))
	}
	return club.ID(u.at[i])
}

func (u *unpacker) marks() {
	r := &u.r
	n := u.uint()
	if u.bad || n > len(u.data) {
		u.bad = true
		return
	}
	r.Marks = slices.Grow(r.Marks[:0], n)[:n]
	frame, ticks := r.First, r.FirstTicks
	for i := range r.Marks {
		fault := u.uint()
		frame += u.uint()
		ticks += u.int()
		on := u.uint()
		if u.bad || fault >= len(u.list) || on > len(r.Strokes) {
			u.bad = true
			return
		}
		m := &r.Marks[i]
		*m = club.Mark{FaultID: u.list[fault], Frame: frame, Ticks: ticks}
		if on > 0 {
			m.StrokeID = r.Strokes[on-1].ID
		}
		if u.named {
			m.ID = u.id(&u.ids, false)
		}
	}
}

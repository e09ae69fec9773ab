package store

import (
	"encoding/binary"
	"math"
	"slices"
	"strconv"

	"github.com/google/uuid"

	"strokeledger/internal/club"
)

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
	sets      [][]club.ID // of faults that were looked for; records of earlier packs still hold theirs
	at        []string    // names of strokes that marks were hung on, by place
	*slot                 // the one at hand
}

// each reads every turn of a pack into the slot at hand and calls do, where wanted
// lets it through by player and drill; do may put another slot in its place.
// r.Date, r.ClipID, r.Base, r.Zero and r.Picture are do's.
func (u *unpacker) each(data, ids []byte, named bool, wanted func(player, drill club.ID) bool, do func() error) error {
	u.data, u.ids, u.bad, u.named = data[:len(data)-4], ids, false, named
	u.list = u.list[:0]
	for range u.uint() {
		u.list = append(u.list, u.id(&u.data, true))
		if u.bad {
			return errPack
		}
	}
	if u.sets = u.lookedFor(); u.bad {
		return errPack
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

// lookedFor reads the sets of faults that were looked for.
func (u *unpacker) lookedFor() [][]club.ID {
	n := u.uint()
	if u.bad || n > len(u.data) {
		u.bad = true
		return nil
	}
	sets := make([][]club.ID, n)
	for i := range sets {
		size := u.uint()
		if u.bad || size > len(u.data) {
			u.bad = true
			return nil
		}
		sets[i] = make([]club.ID, size)
		for k := range sets[i] {
			sets[i][k] = u.listed()
		}
	}
	return sets
}

// listed reads the place of a name and returns the name.
func (u *unpacker) listed() club.ID {
	at := u.uint()
	if u.bad || at >= len(u.list) {
		u.bad = true
		return ""
	}
	return u.list[at]
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
	if r.PlayerID, r.DrillID = u.listed(), u.listed(); u.bad {
		return
	}
	r.First = u.uint()
	r.Last = r.First + u.uint()
	r.FirstTicks = u.int()
	r.LastTicks = r.FirstTicks + u.int()
	r.Settled = u.uint() == 1
	u.strokes()
	u.marks()
	u.looks()
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
		fault := u.listed()
		frame += u.uint()
		ticks += u.int()
		on := u.uint()
		if u.bad || on > len(r.Strokes) {
			u.bad = true
			return
		}
		m := &r.Marks[i]
		*m = club.Mark{FaultID: fault, Frame: frame, Ticks: ticks}
		if on > 0 {
			m.StrokeID = r.Strokes[on-1].ID
		}
		if u.named {
			m.ID = u.id(&u.ids, false)
		}
	}
}

func (u *unpacker) looks() {
	r := &u.r
	n := u.uint()
	if u.bad || n > len(u.data) {
		u.bad = true
		return
	}
	r.Looks = slices.Grow(r.Looks[:0], n)[:n]
	for i := range r.Looks {
		set := u.uint()
		coach := u.listed()
		if u.bad || set>>1 >= len(u.sets) {
			u.bad = true
			return
		}
		r.Looks[i] = club.Look{
			CoachID: coach, Faults: u.sets[set>>1], Assumed: set&1 == 1,
			First: r.First + int(u.int()), Last: r.Last + int(u.int()),
			FirstTicks: r.FirstTicks + u.int(), LastTicks: r.LastTicks + u.int(),
		}
	}
}

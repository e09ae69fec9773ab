package store

import (
	"slices"
	"strconv"

	"github.com/google/uuid"

	"strokeledger/internal/cache"
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
	data, ids cache.Reader
	named     bool                 // ids are wanted
	names     map[[16]byte]club.ID // of UUIDs that were met
	list      []club.ID
	sets      [][]club.ID // of faults that were looked for; records of earlier packs still hold theirs
	at        []string    // names of strokes that marks were hung on, by place
	*slot                 // the one at hand
}

// each reads every turn of a pack into the slot at hand and calls do, where wanted
// lets it through by player and drill; do may put another slot in its place.
// r.Date, r.ClipID, r.Base, r.Zero and r.Picture are do's.
func (u *unpacker) each(p packed, named bool, wanted func(player, drill club.ID) bool, do func() error) error {
	u.data, u.ids, u.named = p.data, p.ids, named
	u.list = u.list[:0]
	for range u.data.Count(1) {
		u.list = append(u.list, u.id(&u.data, true))
	}
	u.sets = u.lookedFor()
	turns := u.data.Count(1)
	if u.data.Bad() {
		return errPack
	}
	for range turns {
		if u.turn(); u.data.Bad() || u.ids.Bad() {
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
	sets := make([][]club.ID, u.data.Count(1))
	for i := range sets {
		sets[i] = make([]club.ID, u.data.Count(1))
		for k := range sets[i] {
			sets[i][k] = u.listed()
		}
	}
	return sets
}

// listed reads the place of a name and returns the name.
func (u *unpacker) listed() club.ID {
	at := u.data.Natural()
	if at >= len(u.list) {
		u.data.Fail()
		return ""
	}
	return u.list[at]
}

// id reads a name. Those that come again and again are made once.
func (u *unpacker) id(from *cache.Reader, again bool) club.ID {
	n := from.Natural()
	if n > 0 {
		return club.ID(from.Raw(n - 1))
	}
	raw := from.Raw(len(uuid.UUID{}))
	if raw == nil {
		return ""
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
	r.PlayerID, r.DrillID = u.listed(), u.listed()
	r.First = u.data.Natural()
	r.Last = r.First + u.data.Natural()
	r.FirstTicks = u.data.Int()
	r.LastTicks = r.FirstTicks + u.data.Int()
	r.Settled = u.data.Natural() == 1
	u.strokes()
	u.marks()
	u.looks()
}

func (u *unpacker) strokes() {
	r := &u.r
	n := u.data.Count(3)
	if cap(r.Strokes) < n {
		r.Strokes = make([]club.Stroke, n)
		u.ready, u.answers = make([]club.Moment, n), make([]float64, n)
	}
	r.Strokes = r.Strokes[:n]
	frame, ticks := r.First, r.FirstTicks
	for i := range r.Strokes {
		flags := u.data.Byte()
		frame += u.data.Natural()
		ticks += u.data.Int()
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
			u.ready[i] = club.Moment{Frame: frame + int(u.data.Int()), Ticks: ticks + u.data.Int()}
			s.Ready = &u.ready[i]
			if u.named {
				s.ID = u.id(&u.ids, false)
			}
		}
		if flags&packAnswer != 0 {
			u.answers[i] = u.data.Float()
			s.Answer = &u.answers[i]
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
	n := u.data.Count(4)
	r.Marks = slices.Grow(r.Marks[:0], n)[:n]
	frame, ticks := r.First, r.FirstTicks
	for i := range r.Marks {
		fault := u.listed()
		frame += u.data.Natural()
		ticks += u.data.Int()
		on := u.data.Natural()
		if on > len(r.Strokes) {
			u.data.Fail()
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
	n := u.data.Count(6)
	r.Looks = slices.Grow(r.Looks[:0], n)[:n]
	for i := range r.Looks {
		set := u.data.Natural()
		coach := u.listed()
		if set>>1 >= len(u.sets) {
			u.data.Fail()
			return
		}
		r.Looks[i] = club.Look{
			CoachID: coach, Faults: u.sets[set>>1], Assumed: set&1 == 1,
			First: r.First + int(u.data.Int()), Last: r.Last + int(u.data.Int()),
			FirstTicks: r.FirstTicks + u.data.Int(), LastTicks: r.LastTicks + u.data.Int(),
		}
	}
}

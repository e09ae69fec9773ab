package merge

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/sighting"
	"strokeledger/internal/standard"
)

// Table says how the rows of one table are merged. The list of them is tables.
type Table struct {
	Name    string
	ids     string            // the table whose IDs its rows have: its own, but for a ruler
	refs    map[string]string // by field, or field of the list in a field, the table that it names
	parts   []string          // gone among them
	of      map[string][]string
	untold  []string // parts that say who people are: where a record goes without names they are not told
	local   []string // fields that hold for one computer: never merged
	write   func(raw []byte) ([]byte, error)
	move    func(raw []byte, to mover) ([]byte, error) // its places onto another film of their clip; nil: none
	entries bool                                       // lies on a clip
}

// mover moves a place onto another film: of the row's clip or, of a row with two, of the other.
type mover func(other bool, frame *int, ticks *int64)

// Same says that two IDs of a table mean one thing: rows of the one given up are taken for
// rows of the one kept, which is the lesser. It is never changed.
type Same struct {
	ID    club.ID `json:"id"` // made of the others, so that two who say the same make one row
	Table string  `json:"table"`
	Given club.ID `json:"given"`
	Keep  club.ID `json:"keep"`
}

// NewSame says that two IDs of a table mean one thing.
func NewSame(table string, a, b club.ID) Same {
	keep, given := min(a, b), max(a, b)
	return Same{club.ID(table + " " + string(given) + " " + string(keep)), table, given, keep}
}

// Check returns a *club.Problem where the row breaks a rule.
func (s Same) Check() error {
	if s.Given <= s.Keep || s.Keep == "" || Named(s.Table) == nil || s.ID != NewSame(s.Table, s.Given, s.Keep).ID {
		return &club.Problem{Say: "What is said to mean the same makes no sense: write the file anew with the library that it comes from."}
	}
	return nil
}

// Taken says that a file with the work of another library was taken in. It stays in
// the library that took it.
type Taken struct {
	ID   club.ID `json:"id"` // of the last change that the file holds, in the library that wrote it
	File string  `json:"file"`
}

// Check finds nothing wrong.
func (Taken) Check() error { return nil }

// tables lists what is carried from library to library, those that others refer to
// first. A new table of the ledger is named here, or in Kept.
func tables() []*Table {
	return []*Table{
		table[club.Coach]("coach", "", nil, []string{"name"}),
		table[club.Player]("player", "consent: consent_from consent_until consent_by", nil,
			[]string{"name", "alias", "group", "note", "consent", "delete_after"}),
		table[club.Drill]("drill", "", nil, []string{"note"}),
		table[club.Fault]("fault", "limit: measure limit", nil, nil),
		table[club.Session]("session", "", nil, []string{"note"}),
		table[club.Clip]("clip", "film: fingerprint bytes frames first_ticks base seconds width height",
			map[string]string{"session_id": "session"}, []string{"name"}).keeping("path"),
		on(table[club.Turn]("turn", "stretch: clip_id first last first_ticks last_ticks anchor",
			map[string]string{"clip_id": "clip", "player_id": "player", "drill_id": "drill"}, nil), func(r *club.Turn, to func(*int, *int64)) {
			to(&r.First, &r.FirstTicks)
			to(&r.Last, &r.LastTicks)
			if r.Anchor != nil {
				frame := 0
				to(&frame, r.Anchor)
			}
		}),
		on(table[club.Stroke]("stroke", "moment: clip_id frame ticks ready; source: source confidence coach_id",
			map[string]string{"clip_id": "clip", "coach_id": "coach"}, nil), func(r *club.Stroke, to func(*int, *int64)) {
			to(&r.Frame, &r.Ticks)
			if r.Ready != nil {
				if to(&r.Ready.Frame, &r.Ready.Ticks); r.Ready.Frame <= r.Frame { // both fell on one picture
					r.Ready = nil
				}
			}
		}),
		table[standard.BlindLook]("blind_look", "look: coach_id first_id turns drawn made", map[string]string{"coach_id": "coach", "first_id": "coach", "turns": "turn"}, nil),
		on(table[club.Mark]("mark", "moment: clip_id seen_id frame ticks; source: source confidence coach_id",
			map[string]string{"clip_id": "clip", "fault_id": "fault", "coach_id": "coach", "stroke_id": "stroke", "seen_id": "clip", "blind_id": "blind_look"}, []string{"note"}), func(r *club.Mark, to func(*int, *int64)) {
			to(&r.Frame, &r.Ticks)
		}),
		on(table[club.Look]("look", "stretch: clip_id first last first_ticks last_ticks",
			map[string]string{"clip_id": "clip", "coach_id": "coach", "faults": "fault", "blind_id": "blind_look"}, nil), func(r *club.Look, to func(*int, *int64)) {
			to(&r.First, &r.FirstTicks)
			to(&r.Last, &r.LastTicks)
		}),
		table[club.Ruling]("ruling", "", map[string]string{"player_id": "player", "drill_id": "drill", "coach_id": "coach"}, []string{"reason"}),
		on(table[sighting.Ruler]("ruler", "ruler: *", map[string]string{"clip_id": "clip", "coach_id": "coach"}, nil), func(r *sighting.Ruler, to func(*int, *int64)) {
			to(&r.Frame, &r.Ticks)
		}).named("clip"),
		on[alignment.Pairing](table[alignment.Pairing]("pairing", "pairing: *", map[string]string{"clip_id": "clip", "on_id": "clip", "coach_id": "coach"}, nil), nil).named("clip"),
		on[picture.Adjustment](table[picture.Adjustment]("adjustment", "adjustment: *", map[string]string{"clip_id": "clip"}, nil), nil).named("clip"),
		ofPairs(),
		on(table[picture.Drawing]("drawing", "moment: clip_id frame ticks first last first_ticks last_ticks; shape: kind places text",
			map[string]string{"clip_id": "clip", "coach_id": "coach", "mark_id": "mark"}, nil), func(r *picture.Drawing, to func(*int, *int64)) {
			to(&r.Frame, &r.Ticks)
			to(&r.First, &r.FirstTicks)
			to(&r.Last, &r.LastTicks)
		}),
		on(table[standard.Judgement]("judgement", "judgement: *", map[string]string{"blind_id": "blind_look", "clip_id": "clip", "stroke_id": "stroke"}, nil), func(r *standard.Judgement, to func(*int, *int64)) {
			if r.Ready != nil {
				to(&r.Ready.Frame, &r.Ready.Ticks)
			}
		}),
		on[standard.Decision](table[standard.Decision]("decision", "decision: *", map[string]string{"clip_id": "clip", "stroke_id": "stroke", "first_id": "coach", "second_id": "coach",
			"blind_id": "blind_look", "coach_id": "coach", "faults": "fault", "dropped": "mark", "added_id": "mark"}, nil), nil),
		table[standard.Definition]("definition", "definition: *", map[string]string{"fault_id": "fault", "coach_id": "coach"}, nil),
		on(table[standard.Model]("model", "model: *", map[string]string{"fault_id": "fault", "clip_id": "clip", "coach_id": "coach"}, nil), func(r *standard.Model, to func(*int, *int64)) {
			to(&r.Frame, &r.Ticks)
		}),
		table[standard.Trial]("trial", "trial: *", map[string]string{"coach_id": "coach",
			"answers.clip_id": "clip", "answers.stroke_id": "stroke", "answers.right": "fault", "answers.said": "fault"}, nil),
		table[Same]("same", "same: *", nil, nil),
	}
}

// Kept lists the tables of a ledger that are deliberately not carried, with why.
func Kept() map[string]string {
	const cache, own = "a cache, made anew where it is missing", "how this library is worked with, on this computer"
	return map[string]string{
		"frame_index": cache, "heard": cache, "body": cache, "pack": cache, "standing": cache, "reading": cache,
		"change": own, "change_row": own, "step": own, "setting": own, "export": own, "export_player": own,
		"stream_choice": own, "stream_choice_except": own, "taken": own,
		"stamp":       "carried with the rows whose moments it holds",
		"sound_print": "carried with the clips, to know a film again",
	}
}

// Carried names the tables that are carried, those that others refer to first.
func Carried() (names []string) {
	for _, t := range tables() {
		names = append(names, t.Name)
	}
	return names
}

// Named describes a table that is carried, nil for another.
func Named(name string) *Table {
	for _, t := range tables() {
		if t.Name == name {
			return t
		}
	}
	return nil
}

// table describes the table of a type of row. groups are the parts of several fields:
// "name: field field; name: field", a star for all fields.
func table[T any](name, groups string, refs map[string]string, untold []string) *Table {
	t := &Table{Name: name, ids: name, refs: refs, untold: untold, of: map[string][]string{gone: nil}, parts: []string{gone}}
	t.write = func(raw []byte) ([]byte, error) {
		var v T
		if err := json.Unmarshal(raw, &v); err != nil {
			return nil, err
		}
		return json.Marshal(v)
	}
	part := map[string]string{}
	for g := range strings.SplitSeq(groups, "; ") {
		of, members, _ := strings.Cut(g, ": ")
		for m := range strings.FieldsSeq(members) {
			part[m] = of
		}
	}
	for f := range reflect.TypeFor[T]().Fields() {
		field, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if field == "id" {
			continue
		}
		p := field
		if of, ok := part[field]; ok {
			p = of
		} else if of, ok := part["*"]; ok {
			p = of
		}
		if !slices.Contains(t.parts, p) {
			t.parts = append(t.parts, p)
		}
		t.of[p] = append(t.of[p], field)
	}
	return t
}

// keeping makes fields local.
func (t *Table) keeping(local ...string) *Table {
	t.local = local
	for _, l := range local {
		t.parts = slices.DeleteFunc(t.parts, func(p string) bool { return p == l })
	}
	return t
}

func (t *Table) named(ids string) *Table {
	t.ids = ids
	return t
}

// on makes a table one whose rows lie on a clip; a nil move: at no place in it.
func on[T any](t *Table, move func(*T, func(frame *int, ticks *int64))) *Table {
	t.entries = true
	if move == nil {
		return t
	}
	t.move = func(raw []byte, to mover) ([]byte, error) {
		var v T
		if err := json.Unmarshal(raw, &v); err != nil {
			return nil, err
		}
		move(&v, func(frame *int, ticks *int64) { to(false, frame, ticks) })
		return json.Marshal(v)
	}
	return t
}

// ofPairs is the table of pairs of pictures, whose rows lie on two clips.
func ofPairs() *Table {
	t := on[picture.Pair](table[picture.Pair]("pair", "pictures: coach_id clip_id frame ticks seen other_id other_frame other_ticks other_seen over divided",
		map[string]string{"clip_id": "clip", "other_id": "clip", "coach_id": "coach"}, []string{"name"}), nil)
	t.move = func(raw []byte, to mover) ([]byte, error) {
		var p picture.Pair
		if err := json.Unmarshal(raw, &p); err != nil {
			return nil, err
		}
		to(false, &p.Frame, &p.Ticks)
		to(true, &p.OtherFrame, &p.OtherTicks)
		return json.Marshal(p)
	}
	return t
}

package record

import (
	"encoding/json"
	"fmt"
	"slices"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/picture"
	"strokeledger/internal/sighting"
	"strokeledger/internal/standard"
)

// Rows are rows of all tables that are carried from library to library.
type Rows struct {
	Catalogue   club.Catalogue       `json:"catalogue"`
	Rulings     []club.Ruling        `json:"rulings"`
	Sessions    []club.Session       `json:"sessions"`
	Clips       []club.Clip          `json:"clips"`
	Turns       []club.Turn          `json:"turns"`
	Strokes     []club.Stroke        `json:"strokes"`
	Marks       []club.Mark          `json:"marks"`
	Looks       []club.Look          `json:"looks"` // nil in a record of a time when none were kept
	Rulers      []sighting.Ruler     `json:"rulers"`
	Pairings    []alignment.Pairing  `json:"pairings"`
	Adjustments []picture.Adjustment `json:"adjustments"`
	Pairs       []picture.Pair       `json:"pairs"`
	Drawings    []picture.Drawing    `json:"drawings"`
	Same        []merge.Same         `json:"same,omitempty"`
	Standard    standard.Rows        `json:"standard"` // its lists are nil in a record of a time when none were kept
}

// list is one table of Rows.
type list struct {
	table string
	add   func(image []byte) error
	ids   func(do func(club.ID))
	each  func(check bool, do func(id club.ID, image []byte) error) error
}

// lists are the tables of package merge, in no order.
func (r *Rows) lists() []list {
	return []list{
		listOf("coach", &r.Catalogue.Coaches, func(v *club.Coach) club.ID { return v.ID }),
		listOf("player", &r.Catalogue.Players, func(v *club.Player) club.ID { return v.ID }),
		listOf("drill", &r.Catalogue.Drills, func(v *club.Drill) club.ID { return v.ID }),
		listOf("fault", &r.Catalogue.Faults, func(v *club.Fault) club.ID { return v.ID }),
		listOf("session", &r.Sessions, func(v *club.Session) club.ID { return v.ID }),
		listOf("clip", &r.Clips, func(v *club.Clip) club.ID { return v.ID }),
		listOf("turn", &r.Turns, func(v *club.Turn) club.ID { return v.ID }),
		listOf("stroke", &r.Strokes, func(v *club.Stroke) club.ID { return v.ID }),
		listOf("mark", &r.Marks, func(v *club.Mark) club.ID { return v.ID }),
		listOf("look", &r.Looks, func(v *club.Look) club.ID { return v.ID }),
		listOf("ruling", &r.Rulings, func(v *club.Ruling) club.ID { return v.ID }),
		listOf("ruler", &r.Rulers, func(v *sighting.Ruler) club.ID { return v.ID }),
		listOf("pairing", &r.Pairings, func(v *alignment.Pairing) club.ID { return v.ID }),
		listOf("adjustment", &r.Adjustments, func(v *picture.Adjustment) club.ID { return v.ID }),
		listOf("pair", &r.Pairs, func(v *picture.Pair) club.ID { return v.ID }),
		listOf("drawing", &r.Drawings, func(v *picture.Drawing) club.ID { return v.ID }),
		listOf("same", &r.Same, func(v *merge.Same) club.ID { return v.ID }),
		listOf("blind_look", &r.Standard.BlindLooks, func(v *standard.BlindLook) club.ID { return v.ID }),
		listOf("judgement", &r.Standard.Judgements, func(v *standard.Judgement) club.ID { return v.ID }),
		listOf("decision", &r.Standard.Decisions, func(v *standard.Decision) club.ID { return v.ID }),
		listOf("definition", &r.Standard.Definitions, func(v *standard.Definition) club.ID { return v.ID }),
		listOf("model", &r.Standard.Models, func(v *standard.Model) club.ID { return v.ID }),
		listOf("trial", &r.Standard.Trials, func(v *standard.Trial) club.ID { return v.ID }),
	}
}

// listOf has rows that know their own rules.
func listOf[T interface{ Check() error }](table string, rows *[]T, id func(*T) club.ID) list {
	return list{
		table: table,
		add: func(image []byte) error {
			var v T
			err := json.Unmarshal(image, &v)
			*rows = append(*rows, v)
			return err
		},
		ids: func(do func(club.ID)) {
			for i := range *rows {
				do(id(&(*rows)[i]))
			}
		},
		each: func(check bool, do func(club.ID, []byte) error) error {
			for i := range *rows {
				v := &(*rows)[i]
				if id(v) == "" {
					return &club.Problem{Say: fmt.Sprintf("A %s in the file has no id, so nothing was taken: write the file anew with the library that it comes from.", table)}
				}
				if err := (*v).Check(); err != nil && check {
					return err
				}
				image, err := json.Marshal(v)
				if err != nil {
					return err
				}
				if err := do(id(v), image); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// NoRows are rows of which every table is there and empty.
func NoRows() Rows {
	return Rows{
		Catalogue: club.Catalogue{Coaches: []club.Coach{}, Players: []club.Player{}, Drills: []club.Drill{}, Faults: []club.Fault{}},
		Rulings:   []club.Ruling{}, Sessions: []club.Session{}, Clips: []club.Clip{}, Turns: []club.Turn{},
		Strokes: []club.Stroke{}, Marks: []club.Mark{}, Looks: []club.Look{}, Rulers: []sighting.Ruler{}, Pairings: []alignment.Pairing{}, Adjustments: []picture.Adjustment{}, Pairs: []picture.Pair{}, Drawings: []picture.Drawing{},
		Standard: standard.NoRows(),
	}
}

// DropTexts takes out the texts that were drawn on pictures, which may name people.
func (r *Rows) DropTexts() {
	r.Drawings = slices.DeleteFunc(r.Drawings, func(d picture.Drawing) bool { return d.Kind == picture.Text })
}

// Moment is when a row was changed, and its parts that are older.
type Moment struct {
	merge.Stamp
	Older merge.Aged `json:"older,omitempty"`
}

// Film is a file beside the record.
type Film struct {
	Fingerprint string `json:"fingerprint"`
	File        string `json:"file"` // in the folder that is called like the record, with .films behind
	Bytes       int64  `json:"bytes"`
	SHA256      string `json:"sha256"`
}

// Fill puts rows of a library into the record, with their moments.
func (r *Record) Fill(side merge.Side) error {
	if err := r.Rows.fill(side, false); err != nil {
		return err
	}
	return r.Carry(side, true)
}

func (r *Rows) fill(side merge.Side, gone bool) error {
	*r = NoRows()
	for _, l := range r.lists() {
		for _, row := range side[l.table] {
			if row.Gone != gone {
				continue
			}
			if err := l.add(row.Image); err != nil {
				return err
			}
		}
	}
	return nil
}

// Carry notes of each row of the record when it was changed, as side has it; with
// removed it puts in those that side has of what was removed.
func (r *Record) Carry(side merge.Side, removed bool) error {
	r.Removed = NoRows()
	if removed {
		if err := r.Removed.fill(side, true); err != nil {
			return err
		}
	}
	r.Changed = map[string]map[club.ID]Moment{}
	for gone, rows := range map[bool]*Rows{false: &r.Rows, true: &r.Removed} {
		for _, l := range rows.lists() {
			moments := map[club.ID]merge.Row{}
			for _, row := range side[l.table] {
				if row.Gone == gone {
					moments[row.ID] = row
				}
			}
			if r.Changed[l.table] == nil {
				r.Changed[l.table] = map[club.ID]Moment{}
			}
			l.ids(func(id club.ID) {
				if row, ok := moments[id]; ok {
					r.Changed[l.table][id] = Moment{row.Stamp, merge.Age(row.Older)}
				}
			})
		}
	}
	return nil
}

// latest is the last moment that a change clock may tell, the end of the year 2199: one
// beyond is damage and no clock that is set wrong.
const latest = 7_258_118_400_000_000 // microseconds since 1970

// Side is the rows of the record as they are merged, and the latest moment of them. In a
// record of a time when moments were not kept all are as old as can be. Errors: a
// *club.Problem where a row breaks a rule of its own.
func (r *Record) Side() (merge.Side, int64, error) {
	side, last := merge.Side{}, int64(0)
	met := map[string]bool{}
	for i, rows := range []*Rows{&r.Rows, &r.Removed} {
		for _, l := range rows.lists() {
			if err := l.each(i == 0, func(id club.ID, image []byte) error { // what is removed breaks no rule
				if key := l.table + " " + string(id); met[key] {
					return &club.Problem{Say: fmt.Sprintf("The file has a %s twice, so nothing was taken: write it anew with the library that it comes from.", l.table)}
				} else {
					met[key] = true
				}
				m := r.Changed[l.table][id]
				for _, s := range append(merge.Aged{{Stamp: m.Stamp}}, m.Older...) {
					if s.Clock < 0 || s.Clock > latest {
						return &club.Problem{Say: "The file tells a moment that cannot be, so nothing was taken: write it anew with the library that it comes from."}
					}
					last = max(last, s.Clock)
				}
				side[l.table] = append(side[l.table], merge.Row{ID: id, Image: image, Gone: i == 1, Stamp: m.Stamp, Older: m.Older.Older()})
				return nil
			}); err != nil {
				return nil, 0, err
			}
		}
	}
	return side, last, nil
}

// Package merge brings the rows of one library together with those of another.
//
// Every part of a row (a field, or fields that only mean something together) carries
// the moment of its last change on a clock that all libraries share: microseconds
// since 1970, but never less than what a library has seen so far, plus one. That is a
// hybrid logical clock in one number (Kulkarni SS et al. (2014) Logical Physical
// Clocks, OPODIS, LNCS 8878:17-32): what was changed in the knowledge of something
// is later than it, however the clocks of two computers are set. Changes of the same
// moment are put in order by their author, and then by their value, so that whoever
// merges, in whatever order and however often, comes to the same.
package merge

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"

	"strokeledger/internal/club"
)

// Stamp is when something was changed, and by whom. The zero Stamp is older than any.
type Stamp struct {
	Clock  int64   `json:"at"` // microseconds since 1970 on the change clock
	Author club.ID `json:"by,omitempty"`
}

// After reports whether s is later than o.
func (s Stamp) After(o Stamp) bool { return s.compare(o) > 0 }

func (s Stamp) compare(o Stamp) int {
	return cmp.Or(cmp.Compare(s.Clock, o.Clock), cmp.Compare(s.Author, o.Author))
}

// Row is a row of a table as a library has it. A removed one keeps what it was.
type Row struct {
	ID    club.ID
	Image []byte // JSON of the domain's row, as encoding/json writes it
	Gone  bool
	Stamp Stamp            // of its latest change
	Older map[string]Stamp // of the parts that were changed before that
}

// gone is the part of a row that says whether it is there.
const gone = "gone"

func (r Row) at(part string) Stamp {
	if s, ok := r.Older[part]; ok {
		return s
	}
	return r.Stamp
}

// same reports whether two rows are one in everything.
func (r Row) same(o Row) bool {
	if r.ID != o.ID || r.Gone != o.Gone || r.Stamp != o.Stamp || len(r.Older) != len(o.Older) || !bytes.Equal(r.Image, o.Image) {
		return false
	}
	for p, s := range r.Older {
		if o.Older[p] != s {
			return false
		}
	}
	return true
}

// stamped gives a row the moments of its parts.
func (t *Table) stamped(r Row, at func(part string) Stamp) Row {
	stamps := make([]Stamp, len(t.parts))
	r.Stamp = Stamp{Clock: untold}
	for i, p := range t.parts {
		if stamps[i] = at(p); stamps[i].After(r.Stamp) {
			r.Stamp = stamps[i]
		}
	}
	r.Older = nil
	for i, p := range t.parts {
		if stamps[i] != r.Stamp {
			if r.Older == nil {
				r.Older = map[string]Stamp{}
			}
			r.Older[p] = stamps[i]
		}
	}
	return r
}

// untold is the clock of what a record does not tell, such as a name where aliases
// stand: anything is later.
const untold = -1

// fields are the fields of a row by their names in JSON.
type fields map[string]json.RawMessage

func split(image []byte) (f fields, err error) {
	return f, json.Unmarshal(image, &f)
}

// image writes fields as encoding/json writes the row.
func (t *Table) image(f fields) ([]byte, error) {
	raw, err := json.Marshal(f)
	if err != nil {
		return nil, err
	}
	return t.write(raw)
}

// value is what stands in a part of a row.
func (t *Table) value(f fields, part string) []byte {
	of := t.of[part]
	if len(of) == 1 {
		return f[of[0]]
	}
	var all [][]byte
	for _, name := range of {
		all = append(all, f[name])
	}
	return bytes.Join(all, []byte{0})
}

// Changed is a row after a change at a moment: the parts that differ are of that
// moment, the others as old as they were. A nil image removes it.
func (t *Table) Changed(before Row, image []byte, now Stamp) (Row, error) {
	after := before
	after.Gone = image == nil
	differs := map[string]bool{gone: after.Gone != before.Gone}
	if image != nil {
		was, err := split(before.Image)
		if err != nil {
			return Row{}, err
		}
		is, err := split(image)
		if err != nil {
			return Row{}, err
		}
		for _, p := range t.parts {
			if p != gone {
				differs[p] = !bytes.Equal(t.value(was, p), t.value(is, p))
			}
		}
		after.Image = image
	}
	return t.stamped(after, func(p string) Stamp {
		if differs[p] {
			return now
		}
		return before.at(p)
	}), nil
}

// join is what two libraries' rows of one ID come to: of each part the later. fought
// says that one of them removed the row and the other, who did not know, changed it.
func (t *Table) join(a, b Row) (out Row, fought bool, err error) {
	if a.same(b) {
		return a, false, nil
	}
	fa, err := split(a.Image)
	if err != nil {
		return out, false, err
	}
	fb, err := split(b.Image)
	if err != nil {
		return out, false, err
	}
	out = Row{ID: a.ID}
	f, unknown := fields{}, false
	stamps := map[string]Stamp{}
	for _, p := range t.parts {
		sa, sb := a.at(p), b.at(p)
		order := sa.compare(sb)
		stamps[p] = sa
		if order < 0 {
			stamps[p] = sb
		}
		if p == gone {
			out.Gone = a.Gone
			if order < 0 || order == 0 && a.Gone {
				out.Gone = b.Gone
			}
			continue
		}
		unknown = unknown || a.Gone && !b.Gone && order < 0 || b.Gone && !a.Gone && order > 0
		if order == 0 {
			order = bytes.Compare(t.value(fa, p), t.value(fb, p))
		}
		from := fa
		if order < 0 {
			from = fb
		}
		for _, name := range t.of[p] {
			if v, ok := from[name]; ok {
				f[name] = v
			}
		}
	}
	for _, name := range t.local {
		if v, ok := fa[name]; ok {
			f[name] = v
		}
	}
	f["id"] = fa["id"]
	if out.Image, err = t.image(f); err != nil {
		return out, false, err
	}
	return t.stamped(out, func(p string) Stamp { return stamps[p] }), out.Gone && unknown, nil
}

// Aged is the moments of the older parts of a row in their short form: parts of one
// moment together, in order.
type Aged []struct {
	Stamp
	Of []string `json:"of"`
}

// Age puts the moments of older parts into their short form.
func Age(older map[string]Stamp) (all Aged) {
	by := map[Stamp][]string{}
	for p, s := range older {
		by[s] = append(by[s], p)
	}
	for s, of := range by {
		slices.Sort(of)
		all = append(all, struct {
			Stamp
			Of []string `json:"of"`
		}{s, of})
	}
	slices.SortFunc(all, func(a, b struct {
		Stamp
		Of []string `json:"of"`
	}) int {
		return a.compare(b.Stamp)
	})
	return all
}

// Older undoes Age.
func (a Aged) Older() map[string]Stamp {
	if len(a) == 0 {
		return nil
	}
	older := map[string]Stamp{}
	for _, s := range a {
		for _, p := range s.Of {
			older[p] = s.Stamp
		}
	}
	return older
}

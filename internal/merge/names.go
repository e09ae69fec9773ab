package merge

import (
	"encoding/json"
	"slices"
	"strings"

	"strokeledger/internal/club"
)

// read gives a row as the domain has it.
func read[T any](r Row) (v T, err error) {
	return v, json.Unmarshal(r.Image, &v)
}

// named is a row under the IDs that are kept for its own and for those that it names.
func (b *bringing) named(t *Table, r Row) (Row, error) {
	kept := b.keep(t.ids, r.ID)
	change := kept != r.ID
	for _, of := range t.refs {
		change = change || len(b.one[of]) > 0
	}
	if !change {
		return r, nil
	}
	f, err := split(r.Image)
	if err != nil {
		return r, err
	}
	change = kept != r.ID
	for field, of := range t.refs {
		field, within, nested := strings.Cut(field, ".")
		raw, ok := f[field]
		if !ok {
			continue
		}
		keep := b.keepAll
		if nested {
			keep = func(of string, raw json.RawMessage) (json.RawMessage, bool, error) {
				return b.keepWithin(of, raw, within)
			}
		}
		now, differs, err := keep(of, raw)
		if err != nil {
			return r, err
		}
		f[field], change = now, change || differs
	}
	if !change {
		return r, nil
	}
	r.ID = kept
	if f["id"], err = json.Marshal(kept); err != nil {
		return r, err
	}
	r.Image, err = t.image(f)
	return r, err
}

// keepWithin is keepAll for a field of each of a list.
func (b *bringing) keepWithin(ids string, raw json.RawMessage, field string) (json.RawMessage, bool, error) {
	var list []fields
	if err := json.Unmarshal(raw, &list); err != nil {
		return nil, false, err
	}
	change := false
	for _, f := range list {
		if f[field] == nil {
			continue
		}
		now, differs, err := b.keepAll(ids, f[field])
		if err != nil {
			return nil, false, err
		}
		f[field], change = now, change || differs
	}
	if !change {
		return raw, false, nil
	}
	text, err := json.Marshal(list)
	return text, true, err
}

// keepAll is keep for a field with one ID or a list of them, each of which is in the
// result once.
func (b *bringing) keepAll(ids string, raw json.RawMessage) (json.RawMessage, bool, error) {
	if len(raw) > 0 && raw[0] == '[' {
		var list, kept []club.ID
		if err := json.Unmarshal(raw, &list); err != nil {
			return nil, false, err
		}
		for _, id := range list {
			if k := b.keep(ids, id); !slices.Contains(kept, k) {
				kept = append(kept, k)
			}
		}
		if slices.Equal(list, kept) {
			return raw, false, nil
		}
		text, err := json.Marshal(kept)
		return text, true, err
	}
	var id club.ID
	if err := json.Unmarshal(raw, &id); err != nil {
		return nil, false, err
	}
	k := b.keep(ids, id)
	if k == id {
		return raw, false, nil
	}
	text, err := json.Marshal(k)
	return text, true, err
}

// loose reports whether what a field names need not be there.
func loose(field string) bool { return field == "stroke_id" || field == "seen_id" }

// names lists the IDs that a row names, by table; without those that need not be there.
func (t *Table) names(r Row) (map[string][]club.ID, error) {
	if len(t.refs) == 0 {
		return nil, nil
	}
	f, err := split(r.Image)
	if err != nil {
		return nil, err
	}
	all := map[string][]club.ID{}
	for field, of := range t.refs {
		raw, ok := f[field]
		if !ok || loose(field) {
			continue
		}
		var ids []club.ID
		if raw[0] != '[' {
			raw = slices.Concat([]byte("["), raw, []byte("]"))
		}
		if err := json.Unmarshal(raw, &ids); err != nil {
			return nil, err
		}
		for _, id := range ids {
			if id != "" {
				all[of] = append(all[of], id)
			}
		}
	}
	return all, nil
}

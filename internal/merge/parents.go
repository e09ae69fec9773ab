package merge

import (
	"encoding/json"
	"fmt"
	"slices"

	"strokeledger/internal/club"
)

// parents sees to it that whatever is there names only what is there. What names
// something that nobody has stays out; where one side removed what the other needs, the
// coach is asked.
func (b *bringing) parents() error {
	if err := b.strays(); err != nil {
		return err
	}
	for _, of := range []string{"clip", "session", "fault", "drill", "player", "coach"} {
		users, err := b.users(of)
		if err != nil {
			return err
		}
		for _, it := range b.inOrder(of) {
			if len(users[it.id()]) > 0 && it.row.Gone {
				if err := b.needed(it, users[it.id()]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// strays leaves out rows that name what neither side has.
func (b *bringing) strays() error {
	left := map[string]int{}
	for _, t := range b.tables {
		for _, it := range b.inOrder(t.Name) {
			names, err := t.names(it.row)
			if err != nil {
				return err
			}
			for of, ids := range names {
				if it.onlyOurs() || !slices.ContainsFunc(ids, func(id club.ID) bool { return b.items[of][id] == nil }) {
					continue
				}
				if delete(b.items[t.Name], it.id()); !it.row.Gone {
					left[fmt.Sprintf("%s: its %s is in neither library.", b.say.row(t.Name, it.row), of)]++
				}
				break
			}
		}
	}
	for say := range left {
		b.Left = append(b.Left, say)
	}
	slices.Sort(b.Left)
	return nil
}

// users lists by ID what there is that names rows of a table.
func (b *bringing) users(table string) (map[club.ID][]*item, error) {
	all := map[club.ID][]*item{}
	missing := false
	for _, it := range b.items[table] {
		missing = missing || it.row.Gone
	}
	if !missing {
		return all, nil
	}
	for _, t := range b.tables {
		if !slices.ContainsFunc(refsOf(t), func(of string) bool { return of == table }) {
			continue
		}
		for _, it := range b.inOrder(t.Name) {
			if it.row.Gone {
				continue
			}
			names, err := t.names(it.row)
			if err != nil {
				return nil, err
			}
			for _, id := range names[table] {
				all[id] = append(all[id], it)
			}
		}
	}
	return all, nil
}

func refsOf(t *Table) (all []string) {
	for _, of := range t.refs {
		all = append(all, of)
	}
	return all
}

// needed asks what becomes of a row that is removed, and of what hangs on it.
func (b *bringing) needed(it *item, users []*item) error {
	t := it.table
	what := counted(len(users), "entry")
	if len(users) > 1 {
		what = fmt.Sprintf("%d entries", len(users))
	}
	switch b.ask(Doubt{Key: fmt.Sprintf("used %s %s", t.Name, it.id()), Kind: "used",
		Say: fmt.Sprintf("One of you removed %s, and the other has %s that belong to it: %s.", b.say.row(t.Name, it.row), what, b.say.some(users)),
		Choices: []Choice{
			{"keep", "Bring it back, with what went when it was removed."},
			{"remove", "Remove what belongs to it too, in both libraries."},
		}}) {
	case "keep":
		went := it.row.at(gone)
		if err := b.set(it, it.row.Image); err != nil {
			return err
		}
		return b.bringBack(it, went)
	case "remove":
		for _, u := range users {
			if err := b.without(u, t.Name, it.id()); err != nil {
				return err
			}
		}
	}
	return nil
}

// bringBack brings back what lay on a clip and went in the same moment.
func (b *bringing) bringBack(clip *item, went Stamp) error {
	if clip.table.Name != "clip" {
		return nil
	}
	for _, t := range b.tables {
		if !t.entries {
			continue
		}
		for _, it := range b.inOrder(t.Name) {
			names, err := t.names(it.row)
			if err != nil {
				return err
			}
			if it.row.Gone && it.row.at(gone) == went && slices.Contains(names["clip"], clip.id()) {
				if err := b.set(it, it.row.Image); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// without removes a row because of what it names; a look goes on without one of several
// faults.
func (b *bringing) without(it *item, table string, id club.ID) error {
	if it.row.Gone {
		return nil
	}
	if it.table.Name == "look" && table == "fault" {
		l, err := read[club.Look](it.row)
		if err != nil {
			return err
		}
		if l.Faults = slices.DeleteFunc(l.Faults, func(f club.ID) bool { return f == id }); len(l.Faults) > 0 {
			image, err := json.Marshal(l)
			if err != nil {
				return err
			}
			return b.set(it, image)
		}
	}
	return b.set(it, nil)
}

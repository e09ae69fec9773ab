package merge

import (
	"encoding/json"
	"fmt"
	"strings"

	"strokeledger/internal/club"
)

// writes lists what our library has to take over, and tells it.
func (b *bringing) writes() error {
	for _, s := range b.newSame {
		raw, err := json.Marshal(s)
		if err != nil {
			return err
		}
		b.Writes = append(b.Writes, Write{"same", Row{ID: s.ID, Image: raw, Stamp: b.Now}})
	}
	for _, t := range b.tables {
		ours := make(map[club.ID]Row, len(b.ours[t.Name]))
		for _, r := range b.ours[t.Name] {
			ours[r.ID] = r
		}
		c := Count{Table: t.Name}
		for _, it := range b.inOrder(t.Name) {
			was, known := ours[it.id()]
			if err := b.write(t, it, was, known, &c); err != nil {
				return err
			}
		}
		for _, r := range b.ours[t.Name] {
			if r.Gone || b.keep(t.ids, r.ID) == r.ID {
				continue
			}
			b.Whole = b.Whole || b.Partial && definitionTable(t.Name)
			row, err := t.Changed(r, nil, b.Now)
			if err != nil {
				return err
			}
			b.Writes = append(b.Writes, Write{t.Name, row})
		}
		if c != (Count{Table: t.Name}) && t.Name != "same" {
			b.Tables = append(b.Tables, c)
		}
	}
	return nil
}

// definitionTable reports whether rows of a table are named by what lies on clips.
func definitionTable(name string) bool {
	return name == "coach" || name == "player" || name == "drill" || name == "fault"
}

func (b *bringing) write(t *Table, it *item, was Row, known bool, c *Count) error {
	row := it.row
	row.ID = it.id()
	if known && was.same(row) {
		return nil
	}
	b.Writes = append(b.Writes, Write{t.Name, row})
	// What had another ID here is no news.
	here := known && !was.Gone || len(it.ours) > 0 && !known
	what, say := "", b.say.row(t.Name, row)
	switch {
	case row.Gone && known && !was.Gone:
		what = "removed"
		c.Removed++
		b.Whole = b.Whole || b.Partial && definitionTable(t.Name)
	case row.Gone:
	case known && was.Gone && len(it.ours) > 0:
		what = "back"
		c.Back++
	case !here:
		what = "new"
		c.New++
	default:
		mine := was
		if !known {
			mine = it.ours[0]
		}
		differs, err := t.differing(mine, row)
		if err != nil {
			return err
		}
		if len(differs) > 0 {
			what, say = "changed", fmt.Sprintf("%s: %s", say, strings.Join(differs, ", "))
			c.Changed++
		}
	}
	if what != "" && t.Name != "same" && (what != "new" || !t.entries) {
		b.Items = append(b.Items, Item{t.Name, what, say})
	}
	return nil
}

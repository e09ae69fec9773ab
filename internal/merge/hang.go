package merge

import (
	"strokeledger/internal/club"
	"strokeledger/internal/standard"
)

// hang lets what names entries of a table hang on those that are kept of them.
func (b *bringing) hang(on string, tables ...string) error {
	if len(b.one[on]) == 0 {
		return nil
	}
	for _, table := range tables {
		for _, it := range b.items[table] {
			if err := b.rename(it); err != nil {
				return err
			}
			if err := it.settle(); err != nil {
				return err
			}
		}
	}
	return nil
}

// rename puts the rows of an item under the IDs that are kept by now.
func (b *bringing) rename(it *item) error {
	for _, rows := range [][]Row{it.ours, it.theirs} {
		for i, r := range rows {
			r, err := b.named(it.table, r)
			if err != nil {
				return err
			}
			rows[i] = r
		}
	}
	return nil
}

// ofTurns lets second looks name the turns that are kept. What was decided on them
// meanwhile stays.
func (b *bringing) ofTurns() error {
	if len(b.one["turn"]) == 0 {
		return nil
	}
	for _, it := range b.items["blind_look"] {
		if err := b.rename(it); err != nil {
			return err
		}
		row, err := b.named(it.table, it.row)
		if err != nil {
			return err
		}
		it.row = row
	}
	return nil
}

// settledOnce makes one of two decisions on what the same two coaches said of one stroke: the
// later one counts, as where one library settles it anew, and a mark that only the other
// added goes with that.
func (b *bringing) settledOnce() error {
	decisions, at, err := readAll[standard.Decision](b.inOrder("decision"))
	if err != nil {
		return err
	}
	type on struct{ clip, stroke, first, second, blind club.ID }
	one, added := map[on]*item{}, map[on][]club.ID{}
	for i, d := range decisions {
		if at[i].row.Gone {
			continue
		}
		k := on{d.ClipID, d.StrokeID, d.FirstID, d.SecondID, d.BlindID}
		added[k] = append(added[k], d.AddedID)
		if one[k] == nil {
			one[k] = at[i] // of the least ID, which stands for both
		} else if err := b.merge("decision", one[k], at[i]); err != nil {
			return err
		}
	}
	if twice := len(decisions) - len(b.items["decision"]); twice > 0 {
		b.Notes = append(b.Notes, "Settled in both libraries, where the later decision counts: "+counted(twice, "stroke")+".")
	}
	for k, it := range one {
		d, err := read[standard.Decision](it.row)
		if err != nil {
			return err
		}
		for _, m := range added[k] {
			mark := b.items["mark"][b.keep("mark", m)]
			if m == d.AddedID || mark == nil || mark.row.Gone {
				continue
			}
			if err := b.set(mark, nil); err != nil {
				return err
			}
		}
	}
	return nil
}

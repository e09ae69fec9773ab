package merge

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
)

// strokesApart is within how many seconds a stroke that one coach has logged and one
// that another has are taken for the same: far less than a player takes from one stroke
// to the next (common practice, no source).
const strokesApart = 0.2

// turnsAlike is how much of what two turns of one player at one drill cover both cover,
// where they are taken for the same (chosen, no source).
const turnsAlike = 0.5

// entries puts together what lies on clips.
func (b *bringing) entries() error {
	return b.gatherAll("turn", "stroke", "blind_look", "mark", "look", "ruling", "ruler", "pairing", "adjustment", "pair", "drawing",
		"judgement", "decision", "definition", "model", "trial")
}

// entry is an item that lies at a picture of a clip.
type entry struct {
	*item
	clip  club.ID
	frame int
	rest  string // what else has to be the same for two to be one
}

// sameEntries brings together entries that two coaches made of one thing: strokes at
// one picture or, where the coach says so, close to each other; marks of one fault by
// one coach at one picture; turns of one player at one drill.
func (b *bringing) sameEntries() error {
	strokes, at, err := readAll[club.Stroke](b.inOrder("stroke"))
	if err != nil {
		return err
	}
	var all []entry
	for i, s := range strokes {
		all = append(all, entry{at[i], s.ClipID, s.Frame, ""})
	}
	if err := b.atOnePicture("stroke", all); err != nil {
		return err
	}
	if err := b.closeStrokes(); err != nil {
		return err
	}
	if err := b.hang("stroke", "mark", "judgement", "decision", "trial"); err != nil {
		return err
	}
	marks, at, err := readAll[club.Mark](b.inOrder("mark"))
	if err != nil {
		return err
	}
	all = nil
	for i, m := range marks {
		all = append(all, entry{at[i], m.ClipID, m.Frame, string(m.FaultID) + " " + string(m.CoachID) + " " + string(m.BlindID)})
	}
	if err := b.atOnePicture("mark", all); err != nil {
		return err
	}
	if err := b.hang("mark", "decision"); err != nil {
		return err
	}
	return b.settledOnce()
}

func (b *bringing) atOnePicture(table string, all []entry) error {
	type place struct {
		clip  club.ID
		frame int
		rest  string
	}
	first := map[place]*item{}
	for _, e := range all {
		if e.row.Gone {
			continue
		}
		p := place{e.clip, e.frame, e.rest}
		if first[p] == nil {
			first[p] = e.item
		} else if err := b.merge(table, first[p], e.item); err != nil {
			return err
		}
	}
	return nil
}

// at is a stroke with its moment.
type at struct {
	*item
	seconds float64
}

// closeStrokes asks clip by clip whether strokes that only we have and strokes that only
// they have, each the nearest to the other, are the same.
func (b *bringing) closeStrokes() error {
	ours, theirs := map[club.ID][]at{}, map[club.ID][]at{}
	for _, it := range b.inOrder("stroke") {
		s, err := read[club.Stroke](it.row)
		if err != nil {
			return err
		}
		on := b.items["clip"][s.ClipID]
		if on == nil {
			continue
		}
		c, err := read[club.Clip](on.row)
		if err != nil {
			return err
		}
		a := at{it, c.Base.Seconds(s.Ticks - c.FirstTicks)}
		switch {
		case it.onlyOurs():
			ours[s.ClipID] = append(ours[s.ClipID], a)
		case it.onlyTheirs():
			theirs[s.ClipID] = append(theirs[s.ClipID], a)
		}
	}
	for _, clip := range b.inOrder("clip") {
		pairs := nearest(ours[clip.id()], theirs[clip.id()])
		if len(pairs) == 0 {
			continue
		}
		c, err := read[club.Clip](clip.row)
		if err != nil {
			return err
		}
		answer := b.ask(Doubt{Key: "strokes " + string(clip.id()), Kind: "strokes", Chosen: "same",
			Say: fmt.Sprintf("%s: %s of theirs lie within %.1f s of strokes of yours.", b.say.clip(c), counted(len(pairs), "stroke"), strokesApart),
			Choices: []Choice{
				{"same", "The same strokes: each counts once."},
				{"apart", "Other strokes: all of them count."},
			}})
		for _, p := range pairs {
			if answer == "same" {
				if err := b.merge("stroke", p[0], p[1]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// nearest pairs strokes each of which is the nearest to the other, in reach.
func nearest(ours, theirs []at) (pairs [][2]*item) {
	order := func(a, b at) int { return cmp.Or(cmp.Compare(a.seconds, b.seconds), cmp.Compare(a.id(), b.id())) }
	slices.SortFunc(ours, order)
	slices.SortFunc(theirs, order)
	closest := func(to at, among []at) int {
		i, _ := slices.BinarySearchFunc(among, to, func(a, b at) int { return cmp.Compare(a.seconds, b.seconds) })
		best := -1
		for k := max(0, i-1); k < min(len(among), i+1); k++ {
			if best < 0 || math.Abs(among[k].seconds-to.seconds) < math.Abs(among[best].seconds-to.seconds) {
				best = k
			}
		}
		if best >= 0 && math.Abs(among[best].seconds-to.seconds) > strokesApart {
			return -1
		}
		return best
	}
	for i, t := range theirs {
		if k := closest(t, ours); k >= 0 && closest(ours[k], theirs) == i {
			pairs = append(pairs, [2]*item{ours[k].item, t.item})
		}
	}
	return pairs
}

// turnsApart sees to it that no picture lies in two turns.
func (b *bringing) turnsApart() error {
	on := map[club.ID][]*item{}
	for _, it := range b.inOrder("turn") {
		t, err := read[club.Turn](it.row)
		if err != nil {
			return err
		}
		if !it.row.Gone {
			on[t.ClipID] = append(on[t.ClipID], it)
		}
	}
	for _, clip := range b.inOrder("clip") {
		if err := b.turnsOf(on[clip.id()]); err != nil {
			return err
		}
	}
	return b.ofTurns()
}

// turnsOf goes through the turns of one clip in the order of their first pictures. What
// an answer changes is looked at anew.
func (b *bringing) turnsOf(items []*item) error {
	asked := map[[2]*item]bool{}
	for {
		items = slices.DeleteFunc(items, func(it *item) bool { return it.row.Gone || b.items["turn"][it.id()] != it })
		turns, at, err := readAll[club.Turn](items)
		if err != nil {
			return err
		}
		order := make([]int, len(turns))
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(i, k int) int {
			return cmp.Or(cmp.Compare(turns[i].First, turns[k].First), cmp.Compare(turns[i].ID, turns[k].ID))
		})
		again := false
		for n := 1; n < len(order) && !again; n++ {
			x, y := order[n-1], order[n]
			pair := [2]*item{at[x], at[y]}
			if turns[y].First > turns[x].Last || asked[pair] {
				continue
			}
			asked[pair] = true
			if again, err = b.overlap(turns[x], turns[y], at[x], at[y]); err != nil {
				return err
			}
		}
		if !again {
			return nil
		}
	}
}

// overlap asks what becomes of two turns that cover the same pictures.
func (b *bringing) overlap(x, y club.Turn, ix, iy *item) (changed bool, err error) {
	if y.ID < x.ID {
		x, y, ix, iy = y, x, iy, ix
	}
	both := float64(min(x.Last, y.Last) - max(x.First, y.First) + 1)
	all := float64(max(x.Last, y.Last) - min(x.First, y.First) + 1)
	d := Doubt{Key: fmt.Sprintf("turns %s %s", x.ID, y.ID), Kind: "turns",
		Say: fmt.Sprintf("%s and %s cover the same pictures.", b.whose(ix), b.whose(iy)),
		Choices: []Choice{
			{"first", fmt.Sprintf("Keep %s; the other goes, its strokes and marks stay on the film.", b.whose(ix))},
			{"second", fmt.Sprintf("Keep %s; the other goes, its strokes and marks stay on the film.", b.whose(iy))},
		}}
	if x.PlayerID == y.PlayerID && x.DrillID == y.DrillID && both/all >= turnsAlike {
		d.Choices = append([]Choice{{"same", "One turn, from and to where it was changed last."}}, d.Choices...)
		d.Chosen = "same"
	}
	switch b.ask(d) {
	case "same":
		return true, b.merge("turn", ix, iy)
	case "first":
		return true, b.set(iy, nil)
	case "second":
		return true, b.set(ix, nil)
	}
	return false, nil
}

// whose describes a turn with who has it.
func (b *bringing) whose(it *item) string {
	who := ""
	switch {
	case it.onlyOurs():
		who = ", yours"
	case it.onlyTheirs():
		who = ", theirs"
	}
	return b.say.row("turn", it.row) + who
}

// pairedOnce keeps clips lined up in one way: a clip that others are lined up with is
// lined up with none, and all of them are of one session. Of two pairings that are at
// odds the one with the lesser ID stays.
func (b *bringing) pairedOnce() error {
	pairings, at, err := readAll[alignment.Pairing](b.inOrder("pairing"))
	if err != nil {
		return err
	}
	paired, others := map[club.ID]bool{}, map[club.ID]bool{}
	day := func(id club.ID) club.ID {
		if it := b.items["clip"][id]; it != nil {
			if c, err := read[club.Clip](it.row); err == nil {
				return b.keep("session", c.SessionID)
			}
		}
		return ""
	}
	for i, p := range pairings {
		if at[i].row.Gone {
			continue
		}
		if p.ClipID != p.OnID && !paired[p.OnID] && !others[p.ClipID] && day(p.ClipID) == day(p.OnID) {
			paired[p.ClipID], others[p.OnID] = true, true
			continue
		}
		b.Notes = append(b.Notes, fmt.Sprintf("The clips %s and %s cannot be lined up any more: line them up anew.", b.say.clipNamed(p.ClipID), b.say.clipNamed(p.OnID)))
		if err := b.set(at[i], nil); err != nil {
			return err
		}
	}
	return nil
}

// removals asks what becomes of rows that one side removed and the other, who did not
// know, changed.
func (b *bringing) removals() error {
	for _, t := range b.tables {
		for _, it := range b.inOrder(t.Name) {
			if !it.fought {
				continue
			}
			who, other := "You", "they"
			if it.brought.Gone {
				who, other = "They", "you"
			}
			if b.ask(Doubt{Key: fmt.Sprintf("removed %s %s", t.Name, it.id()), Kind: "removed",
				Say: fmt.Sprintf("%s removed %s, and %s changed it.", who, b.say.row(t.Name, it.row), other),
				Choices: []Choice{
					{"keep", "Keep it, with all changes."},
					{"remove", "Remove it in both libraries."},
				}}) == "keep" {
				if err := b.set(it, it.row.Image); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

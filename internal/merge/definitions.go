package merge

import (
	"fmt"
	"strings"

	"strokeledger/internal/alike"
	"strokeledger/internal/club"
)

// definition is what two definitions are compared by.
type definition struct {
	*item
	exact string   // equal where nobody would tell them apart
	names []string // any of which may be the same, the first the surest
}

func (b *bringing) defined(table string) (all []definition, err error) {
	names := alike.New()
	for _, it := range b.inOrder(table) {
		d := definition{item: it}
		switch table {
		case "coach":
			var v club.Coach
			v, err = read[club.Coach](it.row)
			d.names = []string{names.Key(v.Name)}
		case "player":
			var v club.Player
			v, err = read[club.Player](it.row)
			d.names = []string{names.Key(v.Name)}
			if !b.Told && it.onlyOurs() && v.Alias != "" {
				d.names = []string{names.Key(v.Alias)}
			}
		case "drill":
			var v club.Drill
			v, err = read[club.Drill](it.row)
			d.names = []string{names.Key(v.Name)}
			d.exact = fmt.Sprint(d.names, v.Method, v.Pattern, v.Placement, v.Ball)
		case "fault":
			var v club.Fault
			v, err = read[club.Fault](it.row)
			d.names = []string{"code " + club.Fold(v.Code), "label " + names.Key(v.Label)}
			d.exact = fmt.Sprint(d.names, v.Phase, v.Sides)
		}
		if err != nil {
			return nil, err
		}
		all = append(all, d)
	}
	return all, nil
}

// definitions brings together who trains and what is trained: by their IDs, and where
// two definitions are called the same, as the coach says. Sessions are one where they
// are of one day.
func (b *bringing) definitions() error {
	if err := b.gatherAll("coach", "player", "drill", "fault", "session", "same"); err != nil {
		return err
	}
	if b.OurFormer != "" && b.TheirFormer != "" {
		x, y := b.items["player"][b.keep("player", b.OurFormer)], b.items["player"][b.keep("player", b.TheirFormer)]
		if x != nil && y != nil && x != y {
			if err := b.merge("player", x, y); err != nil {
				return err
			}
		}
	}
	for _, table := range []string{"coach", "player", "drill", "fault"} {
		if err := b.alike(table); err != nil {
			return err
		}
	}
	days := map[club.Date]*item{}
	for _, it := range b.inOrder("session") {
		v, err := read[club.Session](it.row)
		if err != nil {
			return err
		}
		switch first := days[v.Date]; {
		case it.row.Gone:
		case first == nil:
			days[v.Date] = it
		default:
			if err := b.merge("session", first, it); err != nil {
				return err
			}
		}
	}
	return nil
}

// alike asks of each definition that only they have whether it is one that only we have.
func (b *bringing) alike(table string) error {
	all, err := b.defined(table)
	if err != nil {
		return err
	}
	ours := map[string]definition{}
	for _, d := range all {
		for _, n := range d.names {
			if d.onlyOurs() {
				ours[n] = d
			}
		}
	}
	taken := map[*item]bool{}
	for _, theirs := range all {
		if !theirs.onlyTheirs() {
			continue
		}
		for _, n := range theirs.names {
			mine, ok := ours[n]
			if !ok || taken[mine.item] {
				continue
			}
			q, err := b.sameQuestion(mine, theirs)
			if err != nil {
				return err
			}
			if b.ask(q) == "same" {
				taken[mine.item] = true
				if err := b.merge(table, mine.item, theirs.item); err != nil {
					return err
				}
			}
			break
		}
	}
	return nil
}

// sameQuestion tells of both answers what they do.
func (b *bringing) sameQuestion(mine, theirs definition) (Doubt, error) {
	t := mine.table
	one, _, err := t.join(mine.row, theirs.row)
	if err != nil {
		return Doubt{}, err
	}
	differs, err := t.differing(mine.row, one)
	if err != nil {
		return Doubt{}, err
	}
	changes := "Nothing of yours changes."
	if len(differs) > 0 {
		changes = "Changed later by them, and taken from them: " + strings.Join(differs, ", ") + "."
	}
	uses := b.uses(t.Name, theirs.id())
	d := Doubt{Key: fmt.Sprintf("same %s %s %s", t.Name, mine.id(), theirs.id()), Kind: "same",
		Say: fmt.Sprintf("You both have %s: is it the same?", b.say.row(t.Name, theirs.row)),
		Choices: []Choice{
			{"same", fmt.Sprintf("One %s for both: %s. %s", t.Name, uses, changes)},
			{"apart", fmt.Sprintf("Two of them: %s. Where both would be called the same, one gets a number.", strings.NewReplacer("goes with yours", "stays with theirs", "go with yours", "stay with theirs").Replace(uses))},
		}}
	if mine.exact != "" && mine.exact == theirs.exact {
		d.Chosen = "same"
	}
	return d, nil
}

// uses counts what of theirs hangs on a definition.
func (b *bringing) uses(table string, id club.ID) string {
	what := map[string]string{"fault": "mark", "coach": "mark", "player": "turn", "drill": "turn"}[table]
	n := 0
	for _, r := range b.theirs[what] {
		if !r.Gone && strings.Contains(string(r.Image), `"`+string(id)+`"`) {
			n++
		}
	}
	switch n {
	case 0:
		return fmt.Sprintf("no %s of theirs hangs on it", what)
	case 1:
		return "1 " + what + " of theirs goes with yours"
	}
	return fmt.Sprintf("%d %ss of theirs go with yours", n, what)
}

// differing lists the parts in which two rows differ, as people know them.
func (t *Table) differing(a, b Row) (parts []string, err error) {
	fa, err := split(a.Image)
	if err != nil {
		return nil, err
	}
	fb, err := split(b.Image)
	if err != nil {
		return nil, err
	}
	for _, p := range t.parts {
		if p != gone && string(t.value(fa, p)) != string(t.value(fb, p)) {
			parts = append(parts, strings.TrimSuffix(strings.ReplaceAll(p, "_", " "), " id"))
		}
	}
	return parts, nil
}

// unique keeps what is called the same apart, as the library's rules ask: of two the one
// with the lesser ID keeps its name, code or key.
func (b *bringing) unique() error {
	for _, table := range []string{"coach", "player", "drill", "fault"} {
		names, keys := map[string]bool{}, map[string]bool{}
		for _, it := range b.inOrder(table) {
			if it.row.Gone {
				continue
			}
			f, err := split(it.row.Image)
			if err != nil {
				return err
			}
			if string(f["retired"]) == "true" {
				continue
			}
			if err := b.apart(it, f, names, keys); err != nil {
				return err
			}
		}
	}
	return nil
}

func (b *bringing) apart(it *item, f fields, names, keys map[string]bool) error {
	name, most := "name", 0
	if it.table.Name == "fault" {
		name, most = "code", 8
	}
	was := text(f[name])
	is := was
	for n := 2; names[club.Fold(is)]; n++ {
		is = numbered(was, n, most)
	}
	names[club.Fold(is)] = true
	f[name] = quoted(is)
	// While a question is open, what is called the same may yet be one.
	tell := func(note string) {
		if b.Open() == 0 {
			b.Notes = append(b.Notes, note)
		}
	}
	key := text(f["key"])
	if key != "" && keys[key] {
		f["key"] = quoted("")
		tell(fmt.Sprintf("The key %s has two faults: %s keeps none.", key, is))
	}
	keys[key] = true
	if is != was {
		tell(fmt.Sprintf("There is another %s called %s: this one is called %s from now on.", it.table.Name, was, is))
	}
	image, err := it.table.image(f)
	if err != nil || string(image) == string(it.row.Image) {
		return err
	}
	return b.set(it, image)
}

// numbered puts a number behind a name or, where only so many characters go, a code.
func numbered(name string, n, most int) string {
	if most == 0 {
		return fmt.Sprintf("%s (%d)", name, n)
	}
	number, runes := fmt.Sprint(n), []rune(name)
	return string(runes[:min(len(runes), most-len(number))]) + number
}

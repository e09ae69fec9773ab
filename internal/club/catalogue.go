package club

import (
	"strings"
	"unicode"
)

// Catalogue is everything that a club has defined, the retired included.
type Catalogue struct {
	Coaches []Coach  `json:"coaches"`
	Players []Player `json:"players"`
	Drills  []Drill  `json:"drills"`
	Faults  []Fault  `json:"faults"`
}

// CheckCoach, CheckPlayer, CheckDrill and CheckFault return a *Problem where the
// new or changed definition breaks a rule of its own or clashes with another
// that is still in use.
func (c Catalogue) CheckCoach(n Coach) error {
	if err := n.Check(); err != nil {
		return err
	}
	for _, o := range c.Coaches {
		if o.ID != n.ID && !o.Retired && !n.Retired && sameName(o.Name, n.Name) {
			return problem("name", "There is a coach called %q already: add something to tell them apart.", n.Name)
		}
	}
	return nil
}

func (c Catalogue) CheckPlayer(n Player) error {
	if err := n.Check(); err != nil {
		return err
	}
	for _, o := range c.Players {
		if o.ID != n.ID && !o.Retired && !n.Retired && sameName(o.Name, n.Name) {
			return problem("name", "There is a player called %q already: add something to tell them apart.", n.Name)
		}
	}
	return nil
}

func (c Catalogue) CheckDrill(n Drill) error {
	if err := n.Check(); err != nil {
		return err
	}
	for _, o := range c.Drills {
		if o.ID != n.ID && !o.Retired && !n.Retired && sameName(o.Name, n.Name) {
			return problem("name", "There is a drill called %q already: add something to tell them apart.", n.Name)
		}
	}
	return nil
}

func (c Catalogue) CheckFault(n Fault) error {
	if err := n.Check(); err != nil {
		return err
	}
	for _, o := range c.Faults {
		if o.ID == n.ID || o.Retired || n.Retired {
			continue
		}
		if strings.EqualFold(o.Code, n.Code) {
			return problem("code", "The code %s belongs to %q already: pick another.", n.Code, o.Label)
		}
		if n.Key != "" && o.Key == n.Key {
			return problem("key", "The key %q belongs to %q already: pick another.", n.Key, o.Label)
		}
	}
	return nil
}

// CheckRows does for all definitions with these IDs what CheckCoach and its like
// do for one, in a time that grows with the catalogue and not with its square. It
// returns the first *Problem.
func (c Catalogue) CheckRows(ids map[ID]bool) error {
	if err := checkRows(c.Coaches, ids, c.CheckCoach, Coach.Check, func(r Coach) (ID, []string) {
		return r.ID, inUse(r.Retired, Fold(r.Name))
	}); err != nil {
		return err
	}
	if err := checkRows(c.Players, ids, c.CheckPlayer, Player.Check, func(r Player) (ID, []string) {
		return r.ID, inUse(r.Retired, Fold(r.Name))
	}); err != nil {
		return err
	}
	if err := checkRows(c.Drills, ids, c.CheckDrill, Drill.Check, func(r Drill) (ID, []string) {
		return r.ID, inUse(r.Retired, Fold(r.Name))
	}); err != nil {
		return err
	}
	return checkRows(c.Faults, ids, c.CheckFault, Fault.Check, func(r Fault) (ID, []string) {
		return r.ID, inUse(r.Retired, "code "+Fold(r.Code), "key "+r.Key)
	})
}

// inUse lists what nothing else may be called: nothing for the retired.
func inUse(retired bool, names ...string) []string {
	if retired {
		return nil
	}
	return names
}

// checkRows looks closely only at rows that share a name with another.
func checkRows[T any](rows []T, ids map[ID]bool, close, alone func(T) error, names func(T) (ID, []string)) error {
	count := map[string]int{}
	for _, r := range rows {
		_, all := names(r)
		for _, n := range all {
			count[n]++
		}
	}
	for _, r := range rows {
		id, all := names(r)
		if !ids[id] {
			continue
		}
		check := alone
		for _, n := range all {
			if count[n] > 1 && n != "key " { // many faults have no key
				check = close
			}
		}
		if err := check(r); err != nil {
			return err
		}
	}
	return nil
}

func sameName(a, b string) bool { return Fold(a) == Fold(b) }

// Fold makes texts equal that differ in case or in the space around them only:
// every letter becomes the least of those that strings.EqualFold takes for it.
func Fold(s string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
			least = min(least, f)
		}
		return least
	}, strings.TrimSpace(s))
}

package club

import "strings"

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

func sameName(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

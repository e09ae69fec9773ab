package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/todo"
	"strokeledger/internal/redact"
)

type todoCmd struct {
	Player string `help:"Only turns of this player: name, alias or id." placeholder:"P"`
	Fault  string `help:"Only looking for this fault: its code." placeholder:"CODE"`
	From   string `help:"From this day, year-month-day." placeholder:"D"`
	To     string `help:"To this day, included." placeholder:"D"`
	JSON   bool   `help:"Print all of it as JSON."`
}

// Run tells what is still to do, the latest session first.
func (t *todoCmd) Run(c *command) error {
	var q todo.Query
	var err error
	if q.From, q.To, err = period(t.From, t.To); err != nil {
		return err
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	if t.Player != "" {
		p, err := playerNamed(cat, t.Player)
		if err != nil {
			return err
		}
		q.PlayerID = p.ID
	}
	if t.Fault != "" {
		if q.FaultID, err = faultCoded(cat, t.Fault); err != nil {
			return err
		}
	}
	list, err := d.ToDo.List(c.ctx, q)
	if err != nil {
		return err
	}
	if t.JSON {
		e := json.NewEncoder(c.out)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(list)
	}
	fmt.Fprintln(c.out, toDoInAll(list))
	players, drills := redact.Aliases(cat.Players), map[club.ID]string{}
	for _, r := range cat.Drills {
		drills[r.ID] = r.Name
	}
	for _, r := range list.Rows {
		line := fmt.Sprintf("%s  %s: no turn yet", r.Date, r.ClipName)
		if r.TurnID != "" {
			line = fmt.Sprintf("%s  %s, frames %d to %d, %s, %s: %s", r.Date, r.ClipName, r.First, r.Last, players[r.PlayerID], drills[r.DrillID], toDoOn(r))
		}
		fmt.Fprintln(c.out, onLine(line))
	}
	return nil
}

// toDoInAll is the whole list in one sentence.
func toDoInAll(list todo.List) string {
	of := func(n int, one, more string) string {
		if n == 1 {
			return "1 " + one
		}
		return fmt.Sprintf("%d %s", n, more)
	}
	var parts []string
	if list.Turns > 0 {
		var kinds []string
		for _, k := range []struct {
			n   int
			say string
		}{{list.Unlooked, "not looked at"}, {list.Partly, "looked through for some faults or in part"}, {list.Unsettled, "without strokes"}} {
			if k.n > 0 {
				kinds = append(kinds, fmt.Sprintf("%d %s", k.n, k.say))
			}
		}
		parts = append(parts, of(list.Turns, "turn", "turns")+" ("+strings.Join(kinds, ", ")+")")
	}
	if list.Clips > 0 {
		parts = append(parts, of(list.Clips, "clip", "clips")+" without turns")
	}
	if len(parts) == 0 {
		return "Nothing is left to do."
	}
	return "To do: " + strings.Join(parts, " and ") + "."
}

// toDoOn is what is still to do on one turn.
func toDoOn(r todo.Row) string {
	var what []string
	switch {
	case r.Unlooked:
		what = append(what, "nobody has looked")
	case len(r.Missing) > 0:
		what = append(what, "not looked through for "+strings.Join(r.Missing, ", "))
	}
	if r.Unsettled {
		what = append(what, "no strokes yet")
	}
	return strings.Join(what, "; ")
}

package main

import (
	"encoding/json"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/secondlook"
	"strokeledger/internal/tally/wording"
)

type secondLookCmd struct {
	Coach  string  `help:"Who looks a second time: name or id of a coach." required:"" placeholder:"C"`
	First  string  `help:"With whose look it is compared: name or id of a coach; may be the same one." required:"" placeholder:"C"`
	Player string  `help:"Only turns of this player: name, alias or id." placeholder:"P"`
	Drill  string  `help:"Only turns of this drill: name or id." placeholder:"P"`
	From   string  `help:"From this day, year-month-day." placeholder:"D"`
	To     string  `help:"To this day, included." placeholder:"D"`
	Turns  int     `help:"Draw so many of the turns, by player and drill." placeholder:"N"`
	Half   float64 `help:"Draw as many as it takes until kappa is known to within this much." placeholder:"W"`
	Kappa  float64 `help:"The kappa that is expected." default:"0.6" placeholder:"K"`
	Fault  string  `help:"The fault that --half is meant for: its code. Without it, the one that is marked most." placeholder:"CODE"`
	Seed   int64   `help:"The same number draws the same turns." default:"1"`
	Begin  bool    `help:"Begin it: the coach marks from then on, and does not see what was marked in these turns."`
	JSON   bool    `help:"Print it as JSON."`
}

// Run says which turns a second look would take, or begins it.
func (m *secondLookCmd) Run(c *command) error {
	from, to, err := period(m.From, m.To)
	if err != nil {
		return err
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	q := secondlook.Query{From: from, To: to, Turns: m.Turns, Half: m.Half, Kappa: m.Kappa, Seed: m.Seed}
	if err := m.who(cat, &q); err != nil {
		return err
	}
	choice, err := d.SecondLooks.Choose(c.ctx, q)
	if err != nil {
		return err
	}
	if m.Begin {
		if _, err := d.SecondLooks.Begin(c.ctx, q); err != nil {
			return err
		}
	}
	if m.JSON {
		return asJSON(c, choice)
	}
	verb := "It would take"
	if m.Begin {
		verb = "Begun:"
	}
	fmt.Fprintf(c.out, "%s %s: %s, %s.\n", verb, choice.Say, wording.Count(len(choice.Turns), "turn"), wording.Count(choice.Strokes, "stroke"))
	if choice.Note != "" {
		fmt.Fprintln(c.out, choice.Note)
	}
	return nil
}

// who fills in what was given by name.
func (m *secondLookCmd) who(cat club.Catalogue, q *secondlook.Query) (err error) {
	if q.CoachID, err = coachNamed(cat, m.Coach); err != nil {
		return err
	}
	if q.FirstID, err = coachNamed(cat, m.First); err != nil {
		return err
	}
	if q.Players, err = playersNamed(cat, m.Player); err != nil {
		return err
	}
	if m.Drill != "" {
		id, err := named(cat.Drills, m.Drill, "drill", func(r club.Drill) (club.ID, string, bool) { return r.ID, r.Name, r.Retired })
		if err != nil {
			return err
		}
		q.Drills = []club.ID{id}
	}
	if m.Fault != "" {
		q.FaultID, err = faultCoded(cat, m.Fault)
	}
	return err
}

type secondLooksCmd struct {
	Finish bool `help:"Finish the second look of the coach who marks: it counts and is compared from then on. It cannot be undone."`
	Leave  bool `help:"Give that second look up, with what was entered in it."`
	JSON   bool `help:"Print them as JSON."`
}

// Run lists the second looks, or ends one.
func (m *secondLooksCmd) Run(c *command) error {
	if m.Finish && m.Leave {
		return wrongUse("Finish a second look or leave it: one of the two.")
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	if m.Finish || m.Leave {
		return m.end(c, d)
	}
	return m.list(c, d, cat)
}

func (m *secondLooksCmd) end(c *command, d *desk.Desk) error {
	rows, err := d.SecondLooks.List(c.ctx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if !r.Open() || !r.IsMine {
			continue
		}
		if m.Leave {
			if err := d.SecondLooks.Leave(c.ctx, r.ID); err != nil {
				return err
			}
			fmt.Fprintln(c.out, "Left: nothing of it is kept.")
			return nil
		}
		if err := d.SecondLooks.Finish(c.ctx, r.ID); err != nil {
			return err
		}
		fmt.Fprintf(c.out, "Finished: %d of %d turns are looked through.\n", len(r.Turns)-len(r.Left), len(r.Turns))
		return nil
	}
	return &club.Problem{Say: "No second look of the coach who marks goes on: begin one first."}
}

func (m *secondLooksCmd) list(c *command, d *desk.Desk, cat club.Catalogue) error {
	rows, err := d.SecondLooks.List(c.ctx)
	if err != nil {
		return err
	}
	if m.JSON {
		return asJSON(c, rows)
	}
	if len(rows) == 0 {
		fmt.Fprintln(c.out, "No second look yet.")
	}
	names := map[club.ID]string{}
	for _, k := range cat.Coaches {
		names[k.ID] = k.Name
	}
	for _, r := range rows {
		state := "goes on"
		switch {
		case !r.Open():
			state = "finished on " + r.Finished.Format("2006-01-02")
		case r.IsMine:
			state = fmt.Sprintf("goes on, %d of %s left", len(r.Left), wording.Count(len(r.Turns), "turn"))
		}
		fmt.Fprintln(c.out, onLine(fmt.Sprintf("%s  %s looks again at what %s looked through: %s; %s.", r.Made.Format("2006-01-02"), names[r.CoachID], names[r.FirstID], r.Drawn, state)))
	}
	return nil
}

// asJSON prints a value, indented.
func asJSON(c *command, v any) error {
	e := json.NewEncoder(c.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// coachNamed finds a coach by name or id.
func coachNamed(cat club.Catalogue, name string) (club.ID, error) {
	return named(cat.Coaches, name, "coach", func(k club.Coach) (club.ID, string, bool) { return k.ID, k.Name, k.Retired })
}

// named finds a definition by name or id, one in use before one that is retired.
func named[T any](rows []T, name, what string, of func(T) (id club.ID, name string, retired bool)) (found club.ID, err error) {
	for _, r := range rows {
		id, is, retired := of(r)
		switch {
		case string(id) == name, !retired && club.Fold(is) == club.Fold(name) && club.Fold(name) != "":
			return id, nil
		case retired && club.Fold(is) == club.Fold(name):
			found = id
		}
	}
	if found == "" {
		err = &club.Problem{Say: fmt.Sprintf("There is no %s called %q in this library: look at the club screen for the name.", what, name)}
	}
	return found, err
}

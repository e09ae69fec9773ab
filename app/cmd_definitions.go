package main

import (
	"fmt"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/definition"
	"strokeledger/internal/standard"
	"strokeledger/internal/tally/wording"
)

type definitionsCmd struct {
	Fault   string `help:"Only of this fault: its code." placeholder:"CODE"`
	History bool   `help:"Tell also what was written before, by whom and when."`
	JSON    bool   `help:"Print all of it as JSON."`
}

// Run tells what each fault means.
func (m *definitionsCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	rows, err := d.Definitions.List(c.ctx)
	if err != nil {
		return err
	}
	if m.Fault != "" {
		id, err := faultCoded(cat, m.Fault)
		if err != nil {
			return err
		}
		rows = slices.DeleteFunc(rows, func(r definition.Row) bool { return r.FaultID != id })
	}
	if m.JSON {
		return asJSON(c, rows)
	}
	for _, r := range rows {
		m.one(c, cat, codes(cat, []club.ID{r.FaultID}), r)
	}
	return nil
}

// one prints what one fault means.
func (m *definitionsCmd) one(c *command, cat club.Catalogue, code string, r definition.Row) {
	is := 0
	for _, p := range r.Models {
		if p.Is {
			is++
		}
	}
	pictures := fmt.Sprintf("%s of what it is, %d of what it is not", wording.Count(is, "picture"), len(r.Models)-is)
	if len(r.History) == 0 {
		fmt.Fprintln(c.out, onLine(fmt.Sprintf("%s: not defined yet; %s.", code, pictures)))
		return
	}
	told := r.History[:1]
	if m.History {
		told = r.History
	}
	for i, h := range told {
		line := fmt.Sprintf("%s, since %s, by %s: counts: %s Does not count: %s", code, h.Made.Format("2006-01-02"), coachCalled(cat, h.CoachID), orNothing(h.Counts), orNothing(h.Not))
		if say := olderSay(h.Older); say != "" {
			line += " " + say
		}
		if i == 0 {
			line += fmt.Sprintf(" (%s)", pictures)
		}
		fmt.Fprintln(c.out, onLine(line))
	}
}

func orNothing(text string) string {
	if text == "" {
		return "(nothing is written)."
	}
	return text
}

// olderSay says what was said of older marks.
func olderSay(o standard.Older) string {
	switch o {
	case standard.OlderSame:
		return "Older marks still mean the same."
	case standard.OlderOther:
		return "Only marks since then mean this."
	case standard.OlderUnknown:
		return "Nobody can say whether older marks mean the same."
	}
	return ""
}

func coachCalled(cat club.Catalogue, id club.ID) string {
	for _, k := range cat.Coaches {
		if k.ID == id {
			return k.Name
		}
	}
	return "somebody"
}

type defineCmd struct {
	Fault  string `arg:"" help:"The fault: its code."`
	Counts string `help:"What counts as this fault; left out, it stays as it is." placeholder:"TEXT"`
	Not    string `help:"What does not count; left out, it stays as it is." placeholder:"TEXT"`
	Older  string `help:"Whether marks that are there already still mean the same: same, other, or unknown where nobody can say." enum:",same,other,unknown" default:"" placeholder:"same|other|unknown"`
}

// Run writes what a fault means from now on.
func (m *defineCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	t := definition.Text{Counts: m.Counts, Not: m.Not, Older: standard.Older(m.Older)}
	if t.FaultID, err = faultCoded(cat, m.Fault); err != nil {
		return err
	}
	if m.Counts == "" && m.Not == "" {
		return wrongUse("Write with --counts what counts, or with --not what does not.")
	}
	rows, err := d.Definitions.List(c.ctx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.FaultID != t.FaultID {
			continue
		}
		if t.Counts == "" {
			t.Counts = r.Counts
		}
		if t.Not == "" {
			t.Not = r.Not
		}
	}
	if _, err := d.Definitions.Define(c.ctx, t); err != nil {
		return err
	}
	fmt.Fprintln(c.out, onLine("Defined: "+codes(cat, []club.ID{t.FaultID})+". "+olderSay(t.Older)))
	return nil
}

type modelCmd struct {
	Clip  string `arg:"" help:"Name or id of a clip in the library."`
	Frame int    `help:"The picture's frame." required:"" placeholder:"N"`
	Fault string `help:"Of which fault: its code." required:"" placeholder:"CODE"`
	Shows string `help:"What the picture shows of the fault: is, is-not, or nothing to take it away." enum:"is,is-not,nothing" default:"is"`
}

// Run says what a picture shows of a fault.
func (m *modelCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	s := definition.Shown{Frame: m.Frame, As: definition.As(m.Shows)}
	if m.Shows == "is-not" {
		s.As = definition.IsNot
	}
	if s.ClipID, err = clipNamed(c.ctx, d, m.Clip); err != nil {
		return err
	}
	if s.FaultID, err = faultCoded(cat, m.Fault); err != nil {
		return err
	}
	if err := d.Definitions.Show(c.ctx, s); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "Frame %d shows of %s: %s.\n", m.Frame, codes(cat, []club.ID{s.FaultID}), s.As)
	return nil
}

package main

import (
	"fmt"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/agreed"
	"strokeledger/internal/standard"
	"strokeledger/internal/tally/agreement"
)

type agreementCmd struct {
	twoCoaches
	From string `help:"From this day, year-month-day." placeholder:"D"`
	To   string `help:"To this day, included." placeholder:"D"`
	JSON bool   `help:"Print all of it as JSON."`
}

// Run tells how far two coaches agree.
func (m *agreementCmd) Run(c *command) error {
	from, to, err := period(m.From, m.To)
	if err != nil {
		return err
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	q := agreed.Query{From: from, To: to}
	if q.FirstID, q.SecondID, err = m.ids(cat); err != nil {
		return err
	}
	r, err := d.Agreed.Compare(c.ctx, q)
	if err != nil {
		return err
	}
	if m.JSON {
		return asJSON(c, r)
	}
	fmt.Fprintf(c.out, "%d strokes of %d turns that both looked through, %d of them blind.\n", r.Strokes, r.Turns, r.Blind)
	for _, line := range append([]agreement.Line{r.All}, r.Faults...) {
		c.line(line)
	}
	if r.Convention != "" {
		fmt.Fprintf(c.out, "A kappa of that size over all is called %q by a convention (Landis and Koch 1977).\n", r.Convention)
	}
	for _, k := range r.Codes {
		if k.Second != "" && k.First != k.Second && k.N > 1 {
			fmt.Fprintf(c.out, "Where the first said %s, the second said %s on %d of %d strokes.\n", onLine(k.First), onLine(k.Second), k.N, k.Of)
		}
	}
	for _, line := range []*agreement.Line{r.Outcome, r.Side} {
		if line != nil {
			c.line(*line)
		}
	}
	if r.Ready != nil {
		fmt.Fprintf(c.out, "Ready moments: the second %+.3f s on average, 95 of 100 from %+.3f to %+.3f s, on %d strokes.\n", r.Ready.Mean, r.Ready.Low, r.Ready.High, r.Ready.N)
	}
	fmt.Fprintf(c.out, "%d strokes differ, %d are settled.\n", len(r.Disagreements), len(r.Decided))
	return nil
}

type agreementOfAllCmd struct {
	From string `help:"From this day, year-month-day." placeholder:"D"`
	To   string `help:"To this day, included." placeholder:"D"`
	JSON bool   `help:"Print all of it as JSON."`
}

// Run tells how far all coaches agree who have looked through the same turns.
func (m *agreementOfAllCmd) Run(c *command) error {
	from, to, err := period(m.From, m.To)
	if err != nil {
		return err
	}
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	s, err := d.Agreed.CompareAll(c.ctx, from, to)
	if err != nil {
		return err
	}
	if m.JSON {
		return asJSON(c, s)
	}
	fmt.Fprintf(c.out, "%d coaches have looked through turns that another has looked through too.\n", len(s.Coaches))
	for _, f := range s.Faults {
		what := "said too rarely for a coefficient"
		if f.Alpha != nil {
			what = "Krippendorff's alpha " + figure(f.Alpha) + ", AC1 " + figure(f.AC1)
		}
		fmt.Fprintf(c.out, "%s: said on %d of %d strokes; %s.\n", onLine(f.Code), f.Said, f.Strokes, what)
	}
	return nil
}

// line prints one line of a report, words first.
func (c *command) line(l agreement.Line) {
	text := onLine(l.Say)
	if l.Kappa != nil {
		text += fmt.Sprintf(" Agreement %s, on the fault %s, on its absence %s; kappa %s, AC1 %s.", figure(l.Share), figure(l.Positive), figure(l.Negative), figure(l.Kappa), figure(l.AC1))
	}
	if l.Frames != nil {
		text += fmt.Sprintf(" The second puts it %+.0f frames from the first (middle half %+.0f to %+.0f; %+.0f ms).", l.Frames.Median, l.Frames.Low, l.Frames.High, l.Millis.Median)
	}
	if l.Note != "" {
		text += " " + l.Note
	}
	code := onLine(l.Code)
	if code == "" {
		code = "All"
	}
	fmt.Fprintf(c.out, "%s: %s\n", code, text)
}

// figure is "0.62 (0.41 to 0.78)".
func figure(f *agreement.Figure) string {
	switch {
	case f == nil:
		return "none"
	case f.Range == nil:
		return fmt.Sprintf("%.2f", f.Value)
	}
	return fmt.Sprintf("%.2f (%.2f to %.2f)", f.Value, f.Range.Low, f.Range.High)
}

// twoCoaches are the flags of the commands on what two coaches say.
type twoCoaches struct {
	First  string `help:"The one coach: name or id." required:"" placeholder:"C"`
	Second string `help:"The other coach: name or id; the same one for the own second looks." required:"" placeholder:"C"`
}

func (t twoCoaches) ids(cat club.Catalogue) (first, second club.ID, err error) {
	if first, err = coachNamed(cat, t.First); err != nil {
		return "", "", err
	}
	second, err = coachNamed(cat, t.Second)
	return first, second, err
}

type settleCmd struct {
	twoCoaches
	Stroke string `help:"The stroke to settle: its id, as the command disagreements shows it." required:"" placeholder:"C"`
	Decide string `help:"Who is right: both, first, second, neither, or the code of another fault." required:"" placeholder:"CODE"`
	JSON   bool   `help:"Print it as JSON."`
}

// Run settles one stroke of which two coaches said different faults.
func (m *settleCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	var q agreed.Query
	if q.FirstID, q.SecondID, err = m.ids(cat); err != nil {
		return err
	}
	v := agreed.Verdict{FirstID: q.FirstID, SecondID: q.SecondID, StrokeID: club.ID(m.Stroke), Choice: standard.Choice(strings.ToLower(m.Decide))}
	switch v.Choice {
	case standard.BothRight, standard.FirstRight, standard.SecondRight, standard.Neither:
	default:
		v.Choice = standard.AnotherFault
		if v.FaultID, err = faultCoded(cat, m.Decide); err != nil {
			return err
		}
	}
	done, err := d.Agreed.Decide(c.ctx, v)
	if err != nil {
		return err
	}
	if m.JSON {
		return asJSON(c, done)
	}
	fmt.Fprintf(c.out, "Settled: %s.\n", codes(cat, done.Faults))
	return nil
}

type disagreementsCmd struct {
	twoCoaches
	JSON bool `help:"Print them as JSON."`
}

// Run lists the strokes of which two coaches said different faults, the most costly
// first.
func (m *disagreementsCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	var q agreed.Query
	if q.FirstID, q.SecondID, err = m.ids(cat); err != nil {
		return err
	}
	r, err := d.Agreed.Compare(c.ctx, q)
	if err != nil {
		return err
	}
	if m.JSON {
		return asJSON(c, r.Disagreements)
	}
	settled := map[club.ID]standard.Decision{}
	for _, s := range r.Decided {
		settled[s.StrokeID] = s
	}
	fmt.Fprintf(c.out, "%d strokes differ, %d are settled.\n", len(r.Disagreements), len(r.Decided))
	for _, a := range r.Disagreements {
		said := func(side []agreement.Said) string {
			var ids []club.ID
			for _, s := range side {
				ids = append(ids, s.FaultID)
			}
			return codes(cat, ids)
		}
		end := ""
		if s, ok := settled[a.StrokeID]; ok {
			end = "; settled: " + codes(cat, s.Faults)
		}
		fmt.Fprintln(c.out, onLine(fmt.Sprintf("%s  frame %d, stroke %s: first %s, second %s%s", a.Date, a.Frame, a.StrokeID, said(a.First), said(a.Second), end)))
	}
	return nil
}

// codes are those of some faults, "nothing" for none.
func codes(cat club.Catalogue, ids []club.ID) string {
	var all []string
	for _, id := range ids {
		for _, f := range cat.Faults {
			if f.ID == id {
				all = append(all, f.Code)
			}
		}
	}
	if len(all) == 0 {
		return "nothing"
	}
	return strings.Join(all, ", ")
}

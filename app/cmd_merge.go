package main

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/merge"
)

type mergeCmd struct {
	File   string   `arg:"" help:"Record to take in, as the record command of another library wrote it." type:"path"`
	Yes    bool     `help:"Take it in. Without it, only what that would come to is told."`
	Choose []string `help:"Answer a question: its number, or a kind for all of that kind, and the answer: 2=same, removed=keep." sep:"none" placeholder:"Q=A"`
	Films  string   `help:"Copy the films that lie beside the record into this folder." type:"path" placeholder:"DIR"`
	JSON   bool     `help:"Tell as JSON."`
}

// Run tells what taking a record in comes to, and with --yes takes it in.
func (m *mergeCmd) Run(c *command) error {
	if m.Films != "" && !m.Yes {
		return wrongUse("Films are copied where the file is taken in: add --yes, or leave out --films.")
	}
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	// An answer may bring a question, or do away with one.
	p, err := d.Exchange.Preview(c.ctx, m.File, nil)
	if err != nil {
		return err
	}
	choices := map[string]string{}
	for range len(m.Choose) + 1 {
		before := len(choices)
		if err := answers(p.Doubts, m.Choose, choices); err != nil {
			return err
		}
		if len(choices) == before {
			break
		}
		if p, err = d.Exchange.Preview(c.ctx, m.File, choices); err != nil {
			return err
		}
	}
	if m.Yes {
		progress := newBar(c.say)
		p, err = d.Exchange.Take(c.ctx, m.File, choices, m.Films, func(part float64) { progress.show(int(100*part), 100, "films") })
		progress.end()
		if err != nil {
			return err
		}
	}
	if m.JSON {
		e := json.NewEncoder(c.out)
		e.SetIndent("", " ")
		return e.Encode(whole(p))
	}
	printMerge(c.out, p)
	switch {
	case p.Nothing:
		fmt.Fprintln(c.out, "Nothing would change: all of it is in the library.")
	case m.Yes:
		fmt.Fprintln(c.out, "Taken in, as one step that can be undone.")
	default:
		fmt.Fprintln(c.out, "Nothing was changed: add --yes to take it in.")
	}
	return nil
}

// answers finds the questions that are answered and keeps the answers.
func answers(doubts []merge.Doubt, said []string, choices map[string]string) error {
	asked := kindsOfDoubt()
	var all []string
	for _, kind := range slices.Sorted(maps.Keys(asked)) {
		for _, answer := range asked[kind] {
			all = append(all, kind+"="+answer)
		}
	}
	for _, s := range said {
		which, answer, ok := strings.Cut(s, "=")
		if !ok || answer == "" {
			return wrongUse("--choose takes a question and its answer, as in 2=same or removed=keep.")
		}
		n, err := strconv.Atoi(which)
		if err == nil && (n < 1 || n > len(doubts)) {
			return wrongUse("There is no question %s: the file asks %d.", which, len(doubts))
		}
		if err != nil && !slices.Contains(asked[which], answer) {
			return wrongUse("%q is no answer: they are %s.", s, strings.Join(all, ", "))
		}
		for i, q := range doubts {
			if q.Kind != which && i != n-1 {
				continue
			}
			if slices.ContainsFunc(q.Choices, func(c merge.Choice) bool { return c.Value == answer }) {
				choices[q.Key] = answer
			} else if i == n-1 {
				return wrongUse("%q is no answer to question %s: they are %s.", answer, which, strings.Join(values(q), ", "))
			}
		}
	}
	return nil
}

// kindsOfDoubt are the answers to each kind of question.
func kindsOfDoubt() map[string][]string {
	return map[string][]string{
		"same": {"same", "apart"}, "strokes": {"same", "apart"}, "film": {"same", "apart"}, "turns": {"same", "first", "second"},
		"removed": {"keep", "remove"}, "used": {"keep", "remove"}, "forgotten": {"out", "in"},
	}
}

func values(q merge.Doubt) (all []string) {
	for _, c := range q.Choices {
		all = append(all, c.Value)
	}
	return all
}

// printMerge prints what a record comes to.
func printMerge(w io.Writer, p exchange.Preview) {
	line := func(format string, args ...any) { fmt.Fprintln(w, onLine(fmt.Sprintf(format, args...))) }
	for _, t := range p.Tables {
		var parts []string
		for _, n := range []struct {
			n    int
			word string
		}{{t.New, "new"}, {t.Changed, "changed"}, {t.Removed, "removed"}, {t.Back, "back"}} {
			if n.n > 0 {
				parts = append(parts, fmt.Sprintf("%d %s", n.n, n.word))
			}
		}
		line("%s: %s", strings.Replace(t.Table+"s", "hs", "hes", 1), strings.Join(parts, ", "))
	}
	for _, i := range p.Items {
		line("  %s: %s", i.What, i.Say)
	}
	if p.More > 0 {
		line("  and %d more", p.More)
	}
	for _, n := range p.Notes {
		line("Note: %s", n)
	}
	for _, l := range p.Left {
		line("Stays in the file: %s", l)
	}
	for _, m := range p.Missing {
		line("Film not on this computer: %s", m)
	}
	for i, q := range p.Doubts {
		line("%d. (%s) %s", i+1, q.Kind, q.Say)
		for _, c := range q.Choices {
			mark := " "
			if c.Value == q.Chosen {
				mark = "*"
			}
			line("   %s %s: %s", mark, c.Value, c.Say)
		}
	}
	if p.Open > 0 {
		line("%d questions have no answer yet: answer them with --choose.", p.Open)
	}
}

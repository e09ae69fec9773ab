package main

import (
	"fmt"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/trial"
)

type selfTestCmd struct {
	Coach  string `help:"Begin a test of this coach, who marks from then on: name or id. Twenty strokes; what was marked in their turns is hidden from this coach." placeholder:"C"`
	Seed   int64  `help:"The same number draws the same strokes." default:"1"`
	Stroke string `help:"Answer this stroke of the test that goes on: its id." placeholder:"C"`
	Saw    string `help:"The codes that were seen on it, with commas; without it none was." placeholder:"TEXT"`
	Finish bool   `help:"Finish it: what is settled is shown."`
	Leave  bool   `help:"Give it up; nothing of it is kept."`
	JSON   bool   `help:"Print all tests as JSON."`
}

// Run tests the coach who marks, or tells how tests went.
func (m *selfTestCmd) Run(c *command) error {
	asked := 0
	for _, is := range []bool{m.Coach != "", m.Stroke != "", m.Finish, m.Leave} {
		if is {
			asked++
		}
	}
	if asked > 1 || m.Saw != "" && m.Stroke == "" {
		return wrongUse("Begin a test of a coach, answer one stroke with --stroke and --saw, finish it, or leave it: one of them at a time.")
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	if err := m.do(c, d, cat); err != nil {
		return err
	}
	tests, err := d.Trials.List(c.ctx)
	if err != nil {
		return err
	}
	if m.JSON {
		return asJSON(c, tests)
	}
	if len(tests) == 0 {
		fmt.Fprintln(c.out, "No test yet.")
	}
	for _, t := range tests {
		tellTest(c, cat, t)
	}
	return nil
}

// do does what is asked, if anything.
func (m *selfTestCmd) do(c *command, d *desk.Desk, cat club.Catalogue) error {
	switch {
	case m.Coach != "":
		id, err := coachNamed(cat, m.Coach)
		if err != nil {
			return err
		}
		return d.Trials.Begin(c.ctx, id, m.Seed)
	case m.Finish:
		return d.Trials.Finish(c.ctx)
	case m.Leave:
		return d.Trials.Leave(c.ctx)
	case m.Stroke == "":
		return nil
	}
	var saw []club.ID
	for code := range strings.SplitSeq(m.Saw, ",") {
		if strings.TrimSpace(code) == "" {
			continue
		}
		id, err := faultCoded(cat, strings.TrimSpace(code))
		if err != nil {
			return err
		}
		saw = append(saw, id)
	}
	return d.Trials.Answer(c.ctx, club.ID(m.Stroke), saw)
}

// tellTest prints one test.
func tellTest(c *command, cat club.Catalogue, t trial.Test) {
	who := t.Made.Format("2006-01-02") + "  " + coachCalled(cat, t.CoachID)
	if t.IsOpen {
		fmt.Fprintln(c.out, onLine(fmt.Sprintf("%s: goes on, %d of %d strokes are answered.", who, t.Given, len(t.Strokes))))
		for i, s := range t.Strokes {
			if t.IsMine && !s.Given {
				fmt.Fprintln(c.out, onLine(fmt.Sprintf("  stroke %d: %s, frames %d to %d of clip %s", i+1, s.StrokeID, s.From, s.To, s.ClipID)))
			}
		}
		return
	}
	fmt.Fprintln(c.out, onLine(who+": "+t.Result.Say))
	for _, l := range t.Result.Lines {
		fmt.Fprintln(c.out, onLine("  "+strings.TrimSpace(l.Say+" "+l.Note)))
	}
	fmt.Fprintln(c.out, onLine("  "+t.Result.Cannot))
}

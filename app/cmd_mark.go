package main

import (
	"bufio"
	"context"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/sentence"
)

type markCmd struct {
	Clip string `arg:"" help:"Name or id of a clip in the library."`
}

// Run reads lines of the form "FRAME CODE" or "FRAME CODE note", enters one mark
// for each, and says it on a line of its own as soon as the mark is on the disk.
// "look FRAME" says that the turn at that frame was looked through for all faults,
// "look FRAME CODE..." for those. "undo" and "redo" do what they say. The first
// line that cannot be taken ends the command; what the lines before it entered
// stays.
func (m *markCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	c.keepBackup(d)
	id, err := clipNamed(c.ctx, d, m.Clip)
	if err != nil {
		return err
	}
	faults := map[string]club.ID{}
	for _, f := range cat.Faults {
		if !f.Retired {
			faults[club.Fold(f.Code)] = f.ID
		}
	}
	lines := bufio.NewScanner(c.in)
	for n := 1; lines.Scan(); n++ {
		if strings.TrimSpace(lines.Text()) == "" {
			continue
		}
		say, err := markLine(c.ctx, d, id, faults, lines.Text())
		if err != nil {
			return &club.Problem{Say: fmt.Sprintf("Line %d: %s", n, sentence.Of(err))}
		}
		fmt.Fprintln(c.out, onLine(say))
		if err := c.out.Flush(); err != nil {
			return err
		}
	}
	return sentence.File("read", "standard input", lines.Err())
}

// markLine does what one line asks, and says it.
func markLine(ctx context.Context, d *desk.Desk, clip club.ID, faults map[string]club.ID, line string) (string, error) {
	frame, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	code, note, _ := strings.Cut(strings.TrimSpace(rest), " ")
	switch frame {
	case "undo":
		ch, err := d.Library.Undo(ctx)
		return "undone: " + ch.Label, err
	case "redo":
		ch, err := d.Library.Redo(ctx)
		return "done again: " + ch.Label, err
	case "look":
		return lookLine(ctx, d, clip, faults, strings.Fields(rest))
	}
	n, err := strconv.Atoi(frame)
	if err != nil {
		return "", &club.Problem{Say: fmt.Sprintf("%q is not a frame: write the frame's number, the code of the fault, and a note if you like.", frame)}
	}
	fault, ok := faults[club.Fold(code)]
	if !ok {
		return "", noFault(code)
	}
	m, err := d.Marks.AddNoted(ctx, clip, n, fault, note)
	return fmt.Sprintf("marked: %d %s %s", m.Frame, code, m.ID), err
}

// lookLine says that a turn was looked through.
func lookLine(ctx context.Context, d *desk.Desk, clip club.ID, faults map[string]club.ID, words []string) (string, error) {
	if len(words) == 0 {
		return "", &club.Problem{Say: "Write a frame of the turn after look, and the codes that were looked for, or none for all."}
	}
	frame, err := strconv.Atoi(words[0])
	if err != nil {
		return "", &club.Problem{Say: fmt.Sprintf("%q is not a frame: write the number of a frame in the turn that was looked through.", words[0])}
	}
	var chosen []club.ID
	for _, code := range words[1:] {
		fault, ok := faults[club.Fold(code)]
		if !ok {
			return "", noFault(code)
		}
		chosen = append(chosen, fault)
	}
	led, err := d.Library.OfClip(ctx, clip)
	if err != nil {
		return "", err
	}
	for _, t := range led.Turns {
		if t.Covers(frame) {
			l, err := d.Looks.Through(ctx, t.ID, chosen)
			return fmt.Sprintf("looked through: %d to %d %s", l.First, l.Last, l.ID), err
		}
	}
	return "", &club.Problem{Say: fmt.Sprintf("No turn covers frame %d: nothing can be looked through there.", frame)}
}

func noFault(code string) error {
	return &club.Problem{Say: fmt.Sprintf("There is no fault with the code %q: write one of those under Club.", code)}
}

// clipNamed finds the one clip with that id or name.
func clipNamed(ctx context.Context, d *desk.Desk, name string) (club.ID, error) {
	all, err := d.Sessions.List(ctx, session.Page{})
	if err != nil {
		return "", err
	}
	var found []club.ID
	for _, s := range all.Sessions {
		for _, c := range s.Clips {
			if string(c.ID) == name {
				return c.ID, nil
			}
			if c.Name == name || filepath.Base(c.Path) == name {
				found = append(found, c.ID)
			}
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return "", &club.Problem{Say: fmt.Sprintf("There is no clip called %q in this library: add it first.", name)}
	}
	return "", &club.Problem{Say: fmt.Sprintf("There are %d clips called %q: give the id of one.", len(found), name)}
}

package main

import (
	"fmt"
	"io"
	"os"
	"slices"

	"strokeledger/internal/alike"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/redact"
)

type summaryCmd struct {
	Player      string `help:"Only this player: name, alias or id." placeholder:"P"`
	From        string `help:"From this day, year-month-day." placeholder:"D"`
	To          string `help:"To this day, included." placeholder:"D"`
	Format      string `help:"text, html, csv, xlsx or json." enum:"text,html,csv,xlsx,json" default:"text"`
	Table       string `help:"CSV: the table, faults, marks, strokes, looks or measures." enum:"faults,marks,strokes,looks,measures" default:"faults"`
	Separator   string `help:"CSV: comma, or semicolon with decimal commas." enum:"comma,semicolon" default:"comma"`
	Mark        bool   `name:"byte-order-mark" help:"CSV: begin with the mark by which spreadsheets tell UTF-8." default:"true" negatable:""`
	Out         string `help:"File to write; without it the summary is printed." type:"path" placeholder:"F"`
	Unconsented bool   `help:"Show pictures, and what is measured in them, of players too of whom no consent to film is on record."`
	Names       bool   `help:"Every format: show full names, and notes, in place of aliases or initials."`
}

// Run prints or writes the fault summary.
func (s *summaryCmd) Run(c *command) error {
	q := summary.Query{Names: s.Names, Unconsented: s.Unconsented}
	var err error
	if q.From, q.To, err = period(s.From, s.To); err != nil {
		return err
	}
	csv := s.Format == string(publish.CSV)
	if !csv && (s.Table != "faults" || s.Separator != "comma" || !s.Mark) {
		return wrongUse("--table, --separator and --no-byte-order-mark belong to CSV: add --format csv.")
	}
	if s.Format == string(publish.XLSX) && s.Out == "" {
		return wrongUse("A workbook cannot be printed: say with --out where it goes.")
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	if q.Players, err = playersNamed(cat, s.Player); err != nil {
		return err
	}
	write := func(w io.Writer) error {
		if csv {
			return d.Documents.Table(c.ctx, q, publish.TableForm{Which: s.Table, Semicolon: s.Separator == "semicolon", NoMark: !s.Mark}, w)
		}
		return d.Documents.Export(c.ctx, q, publish.Format(s.Format), w)
	}
	if s.Out == "" {
		return write(c.out)
	}
	if err := d.Documents.WriteOf(c.ctx, q, s.Format, s.Out, func(f *os.File) error { return write(f) }); err != nil {
		return err
	}
	fmt.Fprintln(c.out, s.Out)
	return nil
}

// playersNamed is the player of a name, nobody for none.
func playersNamed(cat club.Catalogue, name string) ([]club.ID, error) {
	if name == "" {
		return nil, nil
	}
	p, err := playerNamed(cat, name)
	return []club.ID{p.ID}, err
}

// playerNamed finds the one player with that id, name or alias, whatever the accents where
// nobody is called just that, or the initials that documents show; those who have left
// count only where nobody else is meant.
func playerNamed(cat club.Catalogue, name string) (club.Player, error) {
	found := playersRead(cat, name, club.Fold)
	if len(found) == 0 {
		found = playersRead(cat, name, alike.New().Key)
	}
	if len(found) == 0 { // as documents call them that show no names
		for id, alias := range redact.Aliases(cat.Players) {
			if club.Fold(alias) == club.Fold(name) {
				found = append(found, cat.Players[slices.IndexFunc(cat.Players, func(p club.Player) bool { return p.ID == id })])
			}
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return club.Player{}, &club.Problem{Say: fmt.Sprintf("There are %d players with the name or alias %q: give --player the id of one, which --format json shows as player_id.", len(found), name)}
	case len(cat.Players) == 0:
		return club.Player{}, &club.Problem{Say: "There is no player in this library yet: add one first."}
	}
	return club.Player{}, &club.Problem{Say: fmt.Sprintf("There is no player called %q in this library: look at the club screen for the name or alias.", name)}
}

// playersRead finds those with that id, or with the name or alias as read says that they
// read.
func playersRead(cat club.Catalogue, name string, read func(string) string) []club.Player {
	var active, retired []club.Player
	is := read(name)
	for _, p := range cat.Players {
		switch {
		case string(p.ID) == name:
			return []club.Player{p}
		case is == read("") || is != read(p.Name) && is != read(p.Alias):
		case p.Retired:
			retired = append(retired, p)
		default:
			active = append(active, p)
		}
	}
	if len(active) > 0 {
		return active
	}
	return retired
}

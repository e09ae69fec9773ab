package main

import (
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/publish"
)

type reelCmd struct {
	Player      string  `required:"" help:"Whose film: name, alias or id." placeholder:"P"`
	Fault       string  `help:"Only marks of this fault: its code." placeholder:"CODE"`
	Good        bool    `help:"The longest stretches of good strokes in place of marks."`
	From        string  `help:"From this day, year-month-day." placeholder:"D"`
	To          string  `help:"To this day, included." placeholder:"D"`
	Most        int     `help:"At most so many pieces: the latest marks (20), or the longest stretches (5)." placeholder:"N"`
	Lead        float64 `help:"Seconds before the moment." default:"1.5"`
	Follow      float64 `help:"Seconds after it." default:"1"`
	Slow        int     `help:"How many times slower the moment is repeated." default:"4"`
	Silent      bool    `help:"Leave the sound of the clips out: it may hold voices."`
	CutOut      bool    `help:"Show the part round the player in place of the whole picture."`
	Names       bool    `help:"Show the player's full name instead of alias or initials."`
	Unconsented bool    `help:"Make the film also where no consent to it is on record."`
	Out         string  `required:"" help:"File to write, MP4." type:"path" placeholder:"F.mp4"`
}

// Run writes a film of a player's marks, or of good strokes.
func (r *reelCmd) Run(c *command) error {
	if r.Good && r.Fault != "" {
		return wrongUse("A film of good strokes shows no fault: leave out --good or --fault.")
	}
	q := publish.ReelQuery{Good: r.Good, Names: r.Names, Silent: r.Silent, CutOut: r.CutOut, Unconsented: r.Unconsented, Most: r.Most, Lead: r.Lead, Follow: r.Follow, Slow: r.Slow}
	var err error
	if q.From, q.To, err = period(r.From, r.To); err != nil {
		return err
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	p, err := playerNamed(cat, r.Player)
	if err != nil {
		return err
	}
	q.Player = p.ID
	if r.Fault != "" {
		if q.Fault, err = faultCoded(cat, r.Fault); err != nil {
			return err
		}
	}
	progress := newBar(c.say)
	done, err := d.Documents.Reel(c.ctx, q, r.Out, func(done, total int) { progress.show(done, total, "pictures") })
	progress.end()
	if err != nil {
		return err
	}
	if done.Say != "" {
		fmt.Fprintln(c.say, done.Say)
	}
	fmt.Fprintln(c.out, done.Path)
	return nil
}

// faultCoded finds the fault with a code; a retired one counts where no other has
// it.
func faultCoded(cat club.Catalogue, code string) (club.ID, error) {
	var retired club.ID
	for _, f := range cat.Faults {
		switch {
		case club.Fold(f.Code) != club.Fold(code):
		case !f.Retired:
			return f.ID, nil
		default:
			retired = f.ID
		}
	}
	if retired == "" {
		return "", &club.Problem{Say: fmt.Sprintf("There is no fault with the code %q in this library: look at the club screen for its code.", code)}
	}
	return retired, nil
}

// period reads the two days of --from and --to, each of which may be left out.
func period(from, to string) (first, last club.Date, err error) {
	for _, day := range []struct {
		text string
		to   *club.Date
	}{{from, &first}, {to, &last}} {
		if day.text == "" {
			continue
		}
		if *day.to, err = dayOf(day.text); err != nil {
			return "", "", err
		}
	}
	if first != "" && last != "" && first > last {
		return "", "", wrongUse("The period ends before it starts: swap --from and --to.")
	}
	return first, last, nil
}

// dayOf reads a day that somebody has typed.
func dayOf(text string) (club.Date, error) {
	day, err := club.ParseDate(text)
	if p, ok := club.AsProblem(err); ok {
		return "", wrongUse("%s", p.Say)
	}
	return day, err
}

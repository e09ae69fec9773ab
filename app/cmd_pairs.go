package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/beside"
	"strokeledger/internal/desk/pictures"
	"strokeledger/internal/picture"
)

type pairsCmd struct {
	JSON bool `help:"Print them as JSON."`
}

// Run lists the pairs of pictures that are kept.
func (p *pairsCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	all, err := d.Pictures.Pairs(c.ctx)
	if err != nil {
		return err
	}
	if p.JSON {
		return asJSON(c, append([]pictures.Listed{}, all...))
	}
	if len(all) == 0 {
		fmt.Fprintln(c.say, "No pair of pictures is kept in this library.")
	}
	for _, o := range all {
		fmt.Fprintln(c.out, pairInWords(o))
	}
	return nil
}

func pairInWords(p pictures.Listed) string {
	side := func(m pictures.Shot) string { return fmt.Sprintf("%s of %s, frame %d", m.Clip, m.Date, m.Frame) }
	return onLine(fmt.Sprintf("%s: %s beside %s", p.Name, side(p.Left), side(p.Right)))
}

type keepPairCmd struct {
	Pair        string `arg:"" help:"What the pair is called."`
	Left        string `required:"" help:"The picture at the left: the name or id of a clip, @ and the frame." placeholder:"CLIP@N"`
	Right       string `required:"" help:"The picture at the right, likewise." placeholder:"CLIP@N"`
	MirrorLeft  bool   `help:"Mirror the picture at the left, beside what is kept for its clip."`
	MirrorRight bool   `help:"Mirror the picture at the right."`
}

// Run keeps a new pair of pictures.
func (p *keepPairCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	pair := picture.Pair{Name: p.Pair, Seen: picture.WholeView(), OtherSeen: picture.WholeView(), Divided: 0.5}
	pair.Seen.Mirror, pair.OtherSeen.Mirror = p.MirrorLeft, p.MirrorRight
	for _, of := range []struct {
		text  string
		clip  *club.ID
		frame *int
	}{{p.Left, &pair.ClipID, &pair.Frame}, {p.Right, &pair.OtherID, &pair.OtherFrame}} {
		at := strings.LastIndexByte(of.text, '@')
		n, err := strconv.Atoi(of.text[at+1:])
		if at < 0 || err != nil {
			return &club.Problem{Say: fmt.Sprintf("%q is no picture of a clip: write the clip, @ and the number of a frame.", of.text)}
		}
		if *of.clip, err = clipNamed(c.ctx, d, of.text[:at]); err != nil {
			return err
		}
		*of.frame = n
	}
	_, err = d.Pictures.KeepPair(c.ctx, pair)
	return err
}

type pairCmd struct {
	Pair        string  `arg:"" help:"A pair: its name or id."`
	Page        string  `help:"Page with both pictures to write, HTML." type:"path" placeholder:"F.html"`
	Film        string  `help:"Film of both, beside each other, to write, MP4." type:"path" placeholder:"F.mp4"`
	Lead        float64 `help:"Seconds of the film before the two frames." default:"1.5"`
	Follow      float64 `help:"Seconds after them." default:"1"`
	Slow        int     `help:"How many times slower the moment is repeated." default:"4"`
	Silent      bool    `help:"Leave the sound of the clip out: it may hold voices."`
	Names       bool    `help:"Show the pair's name, and players' in place of alias or initials."`
	Unconsented bool    `help:"Write it also where no consent to film a player is on record."`
	Remove      bool    `help:"Remove the pair."`
}

// Run tells one pair of pictures, writes a page or a film of it, or removes it.
func (p *pairCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	pair, err := p.named(c.ctx, d)
	if err != nil {
		return err
	}
	q := beside.Query{Pair: pair.Pair, Names: p.Names, Silent: p.Silent, Unconsented: p.Unconsented, Lead: p.Lead, Follow: p.Follow, Slow: p.Slow}
	if p.Page != "" {
		if err := d.Beside.WritePage(c.ctx, q, p.Page); err != nil {
			return err
		}
		fmt.Fprintln(c.out, p.Page)
	}
	if p.Film != "" {
		if err := p.film(c, d, q); err != nil {
			return err
		}
	}
	switch {
	case p.Remove:
		return d.Pictures.RemovePair(c.ctx, pair.ID)
	case p.Page == "" && p.Film == "":
		fmt.Fprintln(c.out, pairInWords(pair))
	}
	return nil
}

// named finds a pair by its name or id.
func (p *pairCmd) named(ctx context.Context, d *desk.Desk) (found pictures.Listed, err error) {
	all, err := d.Pictures.Pairs(ctx)
	if err != nil {
		return found, err
	}
	n := 0
	for _, o := range all {
		if string(o.ID) == p.Pair {
			return o, nil
		}
		if club.Fold(o.Name) == club.Fold(p.Pair) {
			found = o
			n++
		}
	}
	switch n {
	case 0:
		return found, &club.Problem{Say: fmt.Sprintf("There is no pair called %q in this library: the command pairs lists them.", p.Pair)}
	case 1:
		return found, nil
	}
	return found, &club.Problem{Say: fmt.Sprintf("There are %d pairs called %q: give the id of one, which pairs --json tells.", n, p.Pair)}
}

func (p *pairCmd) film(c *command, d *desk.Desk, q beside.Query) error {
	progress := newBar(c.say)
	done, err := d.Beside.Film(c.ctx, q, p.Film, func(done, total int) { progress.show(done, total, "pictures") })
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

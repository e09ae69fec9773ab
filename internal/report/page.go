package report

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/report/drawn"
	"strokeledger/internal/report/plain"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/reading"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

// page is what the template shows. Names, labels and cues are still raw in it;
// the template shortens and escapes them.
type page struct {
	Title    string // the one player's name, "" for a team
	Period   string
	Made     []string
	Aliases  bool
	Pictures bool
	Empty    bool
	Minutes  bool // some turns have no strokes
	Team     *section
	Grid     *grid
	Players  []section
	Codes    []group.FaultLine
	Sample   chartRow
	How      []string
}

// section is one player, or the team.
type section struct {
	ID       string // anchor inside the file
	Heading  string // name of the player; "" where the head of the page says it
	Tiles    []tile
	Looked   string // what nobody has looked through, and who looked else
	Meaning  string // of which faults marks from before mean something else
	Note     string // why some faults are counted per minute
	Balance  string // regular against irregular practice, in one sentence
	WorkOn   *advice.WorkOn
	Cards    []card
	All      block
	Methods  *methodChart
	Drills   []block
	Measures *measures // what is measured of the strokes; nil: nothing
}

type tile struct{ Value, Label string }

// card is one of a player's most frequent faults.
type card struct {
	group.FaultLine
	Picture  template.URL
	Caption  string
	Figures  []string
	InWords  string
	Width    int // of the whole row of cards, for the layout
	HasStill bool
	Drawn    *drawn.Layer // over the picture
	Trend    string       // one sentence
	Measured string       // what is measured of it
}

// block is one group: its facts, streak and faults.
type block struct {
	group.Group
	Seen    string
	Note    string
	Streak  streakRow
	Strokes *chart
	Minutes *chart
	Loose   []string // faults with marks that enter no rate
	Clean   string   // faults in use that were not marked
	Unseen  string   // faults in use that nobody has looked for, without marks
}

// grid is the players against the team's most frequent faults.
type grid struct {
	Faults []group.FaultLine
	Rows   []gridRow
}

type gridRow struct {
	Name  string
	ID    string
	Cells []gridCell
}

type gridCell struct {
	Rate, Of string
	Bar      string // width of the shading
}

func newPage(d Document) (page, error) {
	s := d.Summary
	if !d.ShowNames {
		s = s.Aliased()
	}
	p := page{
		Period: periodText(s.From, s.To, s.Team.All), Aliases: !d.ShowNames,
		Empty: s.Team.All.Turns == 0, Minutes: s.Team.All.UnloggedTurns > 0,
		Made: d.Origin.Lines(), How: []string{howStroke, howInterval, howDepend},
		Sample: strokeRow(group.FaultLine{}, *rate.ShareOf(7, 52), scaleTo(0.3)),
	}
	if p.Minutes {
		p.How = append(p.How, howMinute)
	}
	for _, f := range s.Team.All.Faults {
		if f.Marks > 0 || !f.Retired {
			p.Codes = append(p.Codes, f)
		}
	}
	for i, sheet := range s.Players {
		sec, err := newSection(sheet, d.Stills)
		if err != nil {
			return page{}, err
		}
		sec.ID = fmt.Sprintf("player-%d", i+1)
		if len(s.Players) > 1 {
			sec.Heading = sheet.Name
		}
		for _, c := range sec.Cards {
			p.Pictures = p.Pictures || c.HasStill
		}
		p.Players = append(p.Players, sec)
	}
	switch {
	case p.Empty:
	case len(s.Players) == 1:
		p.Title = s.Players[0].Name
	default:
		team, err := newSection(s.Team, nil)
		if err != nil {
			return page{}, err
		}
		team.ID = "team"
		p.Team = &team
		p.Grid = newGrid(s, p.Players)
	}
	return p, nil
}

func newSection(s tally.Sheet, stills map[club.ID]Still) (section, error) {
	sec := section{Tiles: tiles(s.All), Looked: plain.Text(s.All.Looked.Say, mostSay), Meaning: plain.Text(s.Redefined, mostSay), Note: unloggedText(s.All), All: newBlock(s.All, nil)}
	if s.PlayerID != "" {
		sec.Balance, sec.WorkOn = s.Balance.Say, plainWork(s.WorkOn)
		cards, err := newCards(s.All, stills, s.Measured)
		if err != nil {
			return section{}, err
		}
		sec.Cards = cards
	}
	sec.Methods = newMethodChart(s)
	sec.Measures = newMeasures(s.Measured)
	// One scale for all drills, so that they can be compared by eye.
	var highs []float64
	for _, g := range s.Drills {
		highs = append(highs, shareHighs(g)...)
	}
	common := scaleOver(highs)
	for _, g := range s.Drills {
		sec.Drills = append(sec.Drills, newBlock(g, &common))
	}
	return sec, nil
}

// plainWork is what to work on with sentences that are safe to show: they name faults.
func plainWork(w *advice.WorkOn) *advice.WorkOn {
	if w == nil {
		return nil
	}
	safe := *w
	safe.Say, safe.Ladder = plain.Text(w.Say, mostSay), plain.Text(w.Ladder, mostSay)
	safe.Faults = slices.Clone(w.Faults)
	for i := range safe.Faults {
		safe.Faults[i].Why = plain.Text(w.Faults[i].Why, mostSay)
	}
	return &safe
}

func tiles(g group.Group) []tile {
	list := []tile{
		{fmt.Sprint(g.Sessions), noun(g.Sessions, "session")},
		{fmt.Sprint(g.Turns), noun(g.Turns, "turn")},
		{fmt.Sprint(g.Strokes), noun(g.Strokes, "stroke") + " logged"},
	}
	if g.Strokes > 0 {
		list = append(list, tile{wording.Percent(float64(g.Good)/float64(g.Strokes), 0) + " %", "of them good"})
	}
	if g.UnloggedTurns > 0 {
		list = append(list, tile{fmt.Sprintf("%.1f", g.UnloggedSeconds/60), "minutes without logged strokes"})
	}
	return list
}

func noun(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

func newCards(g group.Group, stills map[club.ID]Still, m *reading.Sheet) ([]card, error) {
	var cards []card
	for _, f := range top(g) {
		c := card{FaultLine: f, Figures: figures(f), InWords: verdict.InWords(f.PerStroke), Measured: measuredIn(m, f.Code)}
		if f.Trend != nil {
			c.Trend = f.Trend.Say
		}
		for _, id := range candidates(f) {
			still, ok := stills[id]
			if !ok {
				continue
			}
			source, err := still.source()
			if err != nil {
				return nil, err
			}
			c.Picture, c.Caption, c.HasStill = source, still.Caption, true
			if c.Drawn, err = drawn.On(still.JPEG, still.Drawn); err != nil {
				return nil, err
			}
			break
		}
		cards = append(cards, c)
	}
	return cards, nil
}

func newBlock(g group.Group, s *scale) block {
	b := block{Group: g, Seen: seenText(g), Note: unloggedText(g), Streak: newStreakRow(g.Streak)}
	b.Strokes, b.Minutes = strokeChart(g, s), minuteChart(g)
	var clean, unseen []string
	for _, f := range g.Faults {
		code := plain.Text(f.Code, 8)
		switch {
		case f.Marks == 0 && nobodyLooked(f):
			unseen = append(unseen, code)
		case f.Marks == 0 && f.PerStroke == nil && f.PerMinute == nil:
			// It cannot happen in this drill.
		case f.Marks == 0:
			clean = append(clean, code+cleanText(f))
		case nobodyLooked(f):
			b.Loose = append(b.Loose, fmt.Sprintf("%s: %s.", code, unseenText(f)))
		}
		if f.Unplaced > 0 {
			b.Loose = append(b.Loose, fmt.Sprintf("%s: %s on no stroke that could have it, in no rate.", code, plural(f.Unplaced, "mark")))
		}
	}
	b.Clean, b.Unseen = someOf(clean), someOf(unseen)
	return b
}

// cleanText says how much of a fault that was not marked was looked at.
func cleanText(f group.FaultLine) string {
	var parts []string
	if f.PerStroke != nil {
		text := fmt.Sprintf("0 of %d", f.PerStroke.N)
		if _, _, high := f.PerStroke.Percents(); high != "" {
			text += ", at most " + high + " %"
		}
		parts = append(parts, text)
	}
	if f.Say != "" {
		parts = append(parts, f.Say)
	}
	if parts == nil {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

// mostListed is how many faults without marks a block names.
const mostListed = 12

func someOf(list []string) string {
	// The last one takes no more room than "and 1 more".
	if n := len(list) - mostListed; n > 1 {
		list = append(list[:mostListed-1:mostListed-1], fmt.Sprintf("%s and %d more", list[mostListed-1], n))
	}
	return strings.Join(list, ", ")
}

// newGrid is nil where no fault was marked on a stroke.
func newGrid(s tally.Summary, sections []section) *grid {
	g := new(grid)
	for _, f := range s.Team.All.Faults {
		if f.PerStroke != nil && f.PerStroke.X > 0 && len(g.Faults) < 6 {
			g.Faults = append(g.Faults, f)
		}
	}
	if len(g.Faults) == 0 {
		return nil
	}
	for i, p := range s.Players {
		row := gridRow{Name: p.Name, ID: sections[i].ID}
		lines := map[club.ID]group.FaultLine{}
		for _, f := range p.All.Faults {
			lines[f.FaultID] = f
		}
		for _, f := range g.Faults {
			share := lines[f.FaultID].PerStroke
			if share == nil {
				// A retired fault stands only with those who have marks of it.
				row.Cells = append(row.Cells, gridCell{Rate: "–", Of: lines[f.FaultID].Say})
				continue
			}
			rate, _, _ := share.Percents()
			row.Cells = append(row.Cells, gridCell{Rate: rate + " %", Of: fmt.Sprintf("%d of %d", share.X, share.N), Bar: percent(share.Rate)})
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}

package agreement

import (
	"cmp"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
)

// Reading is what one coach saw in one turn: its strokes as this coach judged them, and
// marks and looks of this reading alone.
type Reading struct {
	club.TurnRecord
	// Judged says that outcome and side of the strokes and the ready moments are this
	// reading's own, as in a blind look; else they are those of the ledger.
	Judged bool
}

// Pair is one turn as two read it; the strokes have the same IDs.
type Pair struct{ First, Second Reading }

// Figure is a coefficient with its interval, where there is one.
type Figure struct {
	Value float64 `json:"value"`
	// Range is its 95 % interval over turns, nil where too few turns, or nothing that
	// differs, give none.
	Range *interval.Interval `json:"range"`
}

// Line is how two agree on one fault, or on all together.
type Line struct {
	FaultID club.ID `json:"fault_id"` // empty: all together
	Code    string  `json:"code"`
	Label   string  `json:"label"`
	Counts
	Turns int    `json:"turns"` // in which both looked for it
	Say   string `json:"say"`   // in words
	Note  string `json:"note"`  // what to think of the coefficients, or why there are none
	// The coefficients are nil where the fault was said by neither, or too rarely.
	Share    *Figure `json:"share"`
	Positive *Figure `json:"positive"`
	Negative *Figure `json:"negative"`
	Kappa    *Figure `json:"kappa"`
	AC1      *Figure `json:"ac1"`
	// How far apart the two put the same fault on the same stroke, second less first.
	Frames *Middle `json:"frames"`
	Millis *Middle `json:"millis"`
}

// Taken is how often the second said another code where the first said one.
type Taken struct {
	First  string `json:"first"`
	Second string `json:"second"` // "": none
	N      int    `json:"n"`      // strokes
	Of     int    `json:"of"`     // strokes on which the first said that code
	interval.Interval
}

// Report is how far two readings of the same turns agree.
type Report struct {
	Turns   int     `json:"turns"`   // that both looked through, for some fault
	Strokes int     `json:"strokes"` // in them, at which both looked
	All     Line    `json:"all"`
	Faults  []Line  `json:"faults"` // in order of the catalogue
	Codes   []Taken `json:"codes"`  // same and other codes, the most frequent first
	// Of strokes that were judged twice, nil where none were.
	Outcome *Line   `json:"outcome"` // that they were missed
	Side    *Line   `json:"side"`    // that they were forehands
	Ready   *Limits `json:"ready"`   // ready moments apart, seconds
	// What differs stroke by stroke, the most costly first.
	Disagreements []Disagreement `json:"disagreements"`
}

// Disagreement is one stroke of which two said different faults.
type Disagreement struct {
	ClipID   club.ID   `json:"clip_id"`
	TurnID   club.ID   `json:"turn_id"`
	PlayerID club.ID   `json:"player_id"`
	StrokeID club.ID   `json:"stroke_id"`
	Date     club.Date `json:"date"`
	Frame    int       `json:"frame"`
	From     int       `json:"from"` // the stretch that shows the stroke: frames, inside the turn
	To       int       `json:"to"`
	Picture  float64   `json:"picture"` // seconds for which one stands
	Both     []club.ID `json:"both"`    // faults that both said
	First    []Said    `json:"first"`
	Second   []Said    `json:"second"`
	Cost     int       `json:"cost"` // weights of the faults that differ
}

// Said is a fault that one of two said of a stroke, with the marks that say it.
type Said struct {
	FaultID club.ID   `json:"fault_id"`
	Marks   []club.ID `json:"marks"`
}

// Words are how the two are called in sentences.
type Words struct{ First, Second string }

// fewestSaid is how many strokes the fault must have been said of by either before a
// coefficient is told: below it one stroke more or less turns it over.
const fewestSaid = 5

// Compare says how far the two readings agree, turn by turn, over the faults of the
// catalogue. Only looks that a coach has said, none that is assumed, make a stroke
// looked at. Intervals are drawn with the seed. The order of the pairs matters to the
// intervals alone; nothing given is changed.
func Compare(c club.Catalogue, pairs []Pair, names Words, seed uint64) Report {
	m := newMatcher(c)
	for i := range pairs {
		m.add(&pairs[i])
	}
	r := Report{Turns: m.turns, Strokes: m.strokes, All: Line{Label: "All faults together"}, Faults: []Line{}, Codes: m.codes(), Disagreements: m.disagreements()}
	all := make([]Counts, len(pairs))
	for _, f := range c.Faults {
		line := Line{FaultID: f.ID, Code: f.Code, Label: f.Label}
		for i := range pairs {
			all[i].Add(m.counts[i][f.ID])
		}
		line.fill(m.turnsOf(f.ID), names, seed)
		if line.Units() == 0 {
			continue
		}
		line.Frames, line.Millis = middles(m.frames[f.ID]), middles(m.millis[f.ID])
		r.Faults = append(r.Faults, line)
	}
	r.All.fill(all, names, seed)
	r.All.Frames, r.All.Millis = middles(m.frames[""]), middles(m.millis[""])
	r.Outcome = judged(m.outcome, "Missed", "Strokes that were missed", names, seed)
	r.Side = judged(m.side, "Forehand", "Strokes that were forehands", names, seed)
	if l, ok := LimitsOf(m.ready); ok {
		r.Ready = &l
	}
	return r
}

// Strokes are those at which both looked for every fault in use that could have come, with
// what differs or without; From and To are the stroke's own frame. They come in the order
// of the pairs.
func Strokes(c club.Catalogue, pairs []Pair) []Disagreement {
	m := newMatcher(c)
	for i := range pairs {
		m.add(&pairs[i])
	}
	return m.whole
}

// Stretch is the part of a turn that shows a stroke as long as a pass does: first and last
// frame.
func Stretch(t *club.TurnRecord, frame int) (from, to int) {
	if t.Picture <= 0 {
		return frame, frame
	}
	return max(t.First, frame-int(0.4/t.Picture)), min(t.Last, frame+int(0.6/t.Picture))
}

func judged(turns []Counts, code, label string, names Words, seed uint64) *Line {
	line := Line{Code: code, Label: label}
	line.fill(turns, names, seed)
	if line.Units() == 0 {
		return nil
	}
	return &line
}

// fill works a line out from the counts of its turns.
func (l *Line) fill(turns []Counts, names Words, seed uint64) {
	turns = slices.DeleteFunc(slices.Clone(turns), func(c Counts) bool { return c.Units() == 0 })
	for _, c := range turns {
		l.Counts.Add(c)
	}
	l.Turns = len(turns)
	if l.Either() >= fewestSaid {
		for to, of := range map[**Figure]Coefficient{&l.Share: Counts.Share, &l.Positive: Counts.Positive, &l.Negative: Counts.Negative, &l.Kappa: Counts.Kappa, &l.AC1: Counts.AC1} {
			if v, ok := of(l.Counts); ok {
				*to = &Figure{Value: v}
				if r, ok := Around(turns, of, seed); ok {
					(*to).Range = &r
				}
			}
		}
	}
	l.Say, l.Note = l.words(names), l.note()
}

func middles(apart []float64) *Middle {
	if len(apart) == 0 {
		return nil
	}
	m := MiddleOf(slices.Clone(apart))
	return &m
}

// codes tells of each code of the first what the second said.
func (m *matcher) codes() []Taken {
	all := []Taken{}
	for key, n := range m.taken {
		t := Taken{First: key.first, Second: key.second, N: n, Of: m.said[key.first]}
		t.Interval, _ = interval.Wilson(n, t.Of)
		all = append(all, t)
	}
	slices.SortFunc(all, func(a, b Taken) int {
		return cmp.Or(b.N-a.N, cmp.Compare(a.First, b.First), cmp.Compare(a.Second, b.Second))
	})
	return all
}

// disagreements puts what differs in order: by the weights of the faults, then those
// faults first that differ most often, since settling one of them tells most of the
// next, then by day.
func (m *matcher) disagreements() []Disagreement {
	often := func(d Disagreement) (n int) {
		for _, s := range append(slices.Clone(d.First), d.Second...) {
			n = max(n, m.differ[s.FaultID])
		}
		return n
	}
	slices.SortStableFunc(m.apart, func(a, b Disagreement) int {
		return cmp.Or(b.Cost-a.Cost, often(b)-often(a), cmp.Compare(a.Date, b.Date), cmp.Compare(a.ClipID, b.ClipID), a.Frame-b.Frame)
	})
	return m.apart
}

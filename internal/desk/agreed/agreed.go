// Package agreed tells how far coaches agree on what both have looked through, and
// settles where they do not.
package agreed

import (
	"cmp"
	"context"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/agreement"
)

// Coaches compares what coaches say. It is safe for concurrent use.
type Coaches struct {
	lib *library.Library
}

// New is for the coaches of a library.
func New(lib *library.Library) *Coaches { return &Coaches{lib: lib} }

// Query chooses whom to compare, and on which turns.
type Query struct {
	FirstID  club.ID   `json:"first_id"`
	SecondID club.ID   `json:"second_id"` // the same coach: with the own second looks
	From     club.Date `json:"from"`      // both days included, an empty one is open
	To       club.Date `json:"to"`
}

// Report is how far two coaches agree.
type Report struct {
	agreement.Report
	First  string `json:"first"`
	Second string `json:"second"`
	Blind  int    `json:"blind"` // of the turns, those that the second looked at without seeing the first's marks
	// Convention is the usual word for kappa over all faults, "" where there is none;
	// see agreement.Convention.
	Convention string `json:"convention"`
	// Decided are the decisions on strokes of which the two said different faults.
	Decided []standard.Decision `json:"decided"`
}

// seed is that of all intervals, so that the same marks always give the same figures.
const seed = 1986

// Compare says how far two coaches agree on the turns that both have looked through. Of
// a turn at which the second has looked blind it takes that look; else, of two coaches,
// what both have said openly.
func (x *Coaches) Compare(ctx context.Context, q Query) (r Report, err error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return r, err
	}
	first, err := library.Find(cat.Coaches, q.FirstID, idOfCoach, "coach")
	if err != nil {
		return r, err
	}
	second, err := library.Find(cat.Coaches, q.SecondID, idOfCoach, "coach")
	if err != nil {
		return r, err
	}
	n, err := x.notes(ctx)
	if err != nil {
		return r, err
	}
	if err := checkDays(q.From, q.To); err != nil {
		return r, err
	}
	turns, err := x.lib.Record(ctx, store.Filter{From: q.From, To: q.To, Raw: true})
	if err != nil {
		return r, err
	}
	var pairs []agreement.Pair
	for i := range turns {
		if p, ok := n.pair(&turns[i], q.FirstID, q.SecondID); ok {
			pairs = append(pairs, p)
			if p.Second.Judged {
				r.Blind++
			}
		}
	}
	r.First, r.Second = first.Name, second.Name
	if first.ID == second.ID {
		r.First, r.Second = "the first look", "the second look"
	}
	r.Report = agreement.Compare(cat, pairs, agreement.Words{First: r.First, Second: r.Second}, seed)
	if r.All.Kappa != nil {
		r.Convention = agreement.Convention(r.All.Kappa.Value)
	}
	r.Decided = []standard.Decision{}
	for _, d := range n.decisions {
		if d.FirstID == q.FirstID && d.SecondID == q.SecondID {
			r.Decided = append(r.Decided, d)
		}
	}
	return r, nil
}

// Several is how far all coaches agree who have looked through the same turns: two or
// more, with gaps.
type Several struct {
	Coaches []string            `json:"coaches"` // who have looked through turns that another has too
	Faults  []agreement.Several `json:"faults"`
}

// CompareAll says how far all coaches agree on what at least two of them have looked
// through, each with the own last blind look at a turn or else what was said openly.
func (x *Coaches) CompareAll(ctx context.Context, from, to club.Date) (s Several, err error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return s, err
	}
	n, err := x.notes(ctx)
	if err != nil {
		return s, err
	}
	if err := checkDays(from, to); err != nil {
		return s, err
	}
	turns, err := x.lib.Record(ctx, store.Filter{From: from, To: to, Raw: true})
	if err != nil {
		return s, err
	}
	shared := make([]bool, len(cat.Coaches))
	var all [][]*agreement.Reading
	for i := range turns {
		readings, who := make([]*agreement.Reading, len(cat.Coaches)), []int{}
		for k, c := range cat.Coaches {
			if r, ok := n.reading(&turns[i], c.ID, ""); ok {
				readings[k] = &r
				who = append(who, k)
			}
		}
		if len(who) < 2 {
			continue
		}
		all = append(all, readings)
		for _, k := range who {
			shared[k] = true
		}
	}
	s.Coaches = []string{}
	for k, c := range cat.Coaches {
		if shared[k] {
			s.Coaches = append(s.Coaches, c.Name)
		}
	}
	s.Faults = agreement.CompareSeveral(cat, all, seed)
	return s, nil
}

// checkDays returns a *club.Problem where one of some days is none; empty ones are open.
func checkDays(days ...club.Date) error {
	for _, day := range days {
		if _, err := club.ParseDate(string(day)); day != "" && err != nil {
			return err
		}
	}
	return nil
}

func idOfCoach(c club.Coach) club.ID { return c.ID }

// notes are what is known beside the turns.
type notes struct {
	looks     []standard.BlindLook // finished, the latest first
	judged    map[club.ID]map[club.ID]standard.Judgement
	decisions []standard.Decision
	added     map[club.ID]bool // marks that decisions put
}

func (x *Coaches) notes(ctx context.Context) (n notes, err error) {
	if n.looks, err = store.All[standard.BlindLook](ctx, x.lib.Library); err != nil {
		return n, err
	}
	n.looks = slices.DeleteFunc(n.looks, standard.BlindLook.Open)
	slices.SortFunc(n.looks, func(a, b standard.BlindLook) int { return cmp.Or(b.Made.Compare(a.Made), cmp.Compare(b.ID, a.ID)) })
	judged, err := store.All[standard.Judgement](ctx, x.lib.Library)
	if err != nil {
		return n, err
	}
	n.judged = map[club.ID]map[club.ID]standard.Judgement{}
	for _, j := range judged {
		if n.judged[j.BlindID] == nil {
			n.judged[j.BlindID] = map[club.ID]standard.Judgement{}
		}
		n.judged[j.BlindID][j.StrokeID] = j
	}
	if n.decisions, err = store.All[standard.Decision](ctx, x.lib.Library); err != nil {
		return n, err
	}
	n.added = map[club.ID]bool{}
	for _, d := range n.decisions {
		n.added[d.AddedID] = d.AddedID != ""
	}
	return n, nil
}

// pair is a turn as two coaches have read it, where both have.
func (n *notes) pair(t *club.TurnRecord, first, second club.ID) (p agreement.Pair, ok bool) {
	if p.First, ok = n.openly(t, first); !ok {
		return p, false
	}
	p.Second, ok = n.reading(t, second, first)
	if ok && first == second && !p.Second.Judged {
		return p, false
	}
	return p, ok
}

// reading is a turn as a coach has read it: in the last blind look at it, compared with
// that coach if one is given, else openly.
func (n *notes) reading(t *club.TurnRecord, coach, with club.ID) (agreement.Reading, bool) {
	for _, b := range n.looks {
		if b.CoachID == coach && (with == "" || b.FirstID == with) && slices.Contains(b.Turns, t.ID) {
			if r, ok := n.part(t, coach, b.ID); ok {
				r.Judged = true
				r.Strokes = slices.Clone(t.Strokes)
				for i, s := range r.Strokes {
					if j, said := n.judged[b.ID][s.ID]; said {
						r.Strokes[i] = j.On(s)
					} else {
						r.Strokes[i] = standard.Unjudged(s)
					}
				}
				return r, true
			}
		}
	}
	return n.openly(t, coach)
}

func (n *notes) openly(t *club.TurnRecord, coach club.ID) (agreement.Reading, bool) {
	return n.part(t, coach, "")
}

// part is what a coach has entered in a turn, openly or in a blind look; it is not ok
// where the coach has not said to have looked.
func (n *notes) part(t *club.TurnRecord, coach, blind club.ID) (r agreement.Reading, ok bool) {
	r.TurnRecord = *t
	r.Marks, r.Looks = nil, nil
	for _, m := range t.Marks {
		if m.CoachID == coach && m.BlindID == blind && !n.added[m.ID] {
			r.Marks = append(r.Marks, m)
		}
	}
	for _, l := range t.Looks {
		if l.CoachID == coach && l.BlindID == blind && !l.Assumed {
			r.Looks = append(r.Looks, l)
		}
	}
	return r, len(r.Looks) > 0
}

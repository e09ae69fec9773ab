// Package trial tests a coach against strokes of which the team knows what is there.
package trial

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/agreed"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/agreement"
	"strokeledger/internal/tally/trial"
	"strokeledger/internal/tally/wording"
)

// Trials are the tests of a library's coaches. They are safe for concurrent use.
type Trials struct {
	lib    *library.Library
	agreed *agreed.Coaches
}

// New are the tests of a library's coaches.
func New(lib *library.Library, coaches *agreed.Coaches) *Trials {
	return &Trials{lib: lib, agreed: coaches}
}

// Strokes is how many strokes a test has, where there are so many.
const Strokes = 20

// Test is one test, of the coach who marks or of another.
type Test struct {
	ID      club.ID       `json:"id"`
	CoachID club.ID       `json:"coach_id"`
	Made    time.Time     `json:"made"`
	IsOpen  bool          `json:"is_open"`
	IsMine  bool          `json:"is_mine"` // of the coach who marks
	Seed    int64         `json:"seed"`
	Strokes []Stroke      `json:"strokes"`
	Given   int           `json:"given"`  // answers
	Result  *trial.Result `json:"result"` // nil while it goes on
}

// Stroke is one stroke of a test.
type Stroke struct {
	ClipID   club.ID   `json:"clip_id"`
	StrokeID club.ID   `json:"stroke_id"`
	From     int       `json:"from"` // the stretch that shows it: frames
	To       int       `json:"to"`
	Picture  float64   `json:"picture"` // seconds for which one stands
	Gone     bool      `json:"gone"`    // the stroke is not in the library any more
	Said     []club.ID `json:"said"`
	Given    bool      `json:"given"`
	Right    []club.ID `json:"right"` // what is settled; empty while the test goes on
}

// List lists the tests of all coaches, the latest first.
func (x *Trials) List(ctx context.Context) ([]Test, error) {
	rows, err := store.All[standard.Trial](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return nil, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	at := places{lib: x.lib, ledgers: map[club.ID]store.Ledger{}, clips: map[club.ID]club.Clip{}}
	slices.SortFunc(rows, func(a, b standard.Trial) int { return cmp.Or(b.Made.Compare(a.Made), cmp.Compare(a.ID, b.ID)) })
	tests := make([]Test, len(rows))
	for i, r := range rows {
		t := Test{ID: r.ID, CoachID: r.CoachID, Made: r.Made, IsOpen: r.Open(), IsMine: r.CoachID == coach, Seed: r.Seed, Strokes: []Stroke{}}
		var answers []trial.Answer
		for _, a := range r.Answers {
			s := Stroke{ClipID: a.ClipID, StrokeID: a.StrokeID, Said: a.Said, Given: a.Given, Right: []club.ID{}}
			if !t.IsOpen {
				s.Right = a.Right
			}
			if a.Given {
				t.Given++
			}
			if t.IsMine { // nobody else looks at the strokes
				if err := at.find(ctx, &s); err != nil {
					return nil, err
				}
			}
			t.Strokes, answers = append(t.Strokes, s), append(answers, trial.Answer{Right: a.Right, Said: a.Said})
		}
		if !t.IsOpen {
			r := trial.Score(cat.Faults, answers)
			t.Result = &r
		}
		tests[i] = t
	}
	return tests, nil
}

// places finds where strokes lie, each clip read once.
type places struct {
	lib     *library.Library
	ledgers map[club.ID]store.Ledger
	clips   map[club.ID]club.Clip
}

func (p *places) find(ctx context.Context, s *Stroke) (err error) {
	led, read := p.ledgers[s.ClipID]
	if !read {
		if p.clips[s.ClipID], err = p.lib.Clip(ctx, s.ClipID); err != nil {
			return err
		}
		if led, err = p.lib.OfClip(ctx, s.ClipID); err != nil {
			return err
		}
		p.ledgers[s.ClipID] = led
	}
	s.Gone = true
	for _, k := range led.Strokes {
		if k.ID != s.StrokeID {
			continue
		}
		for _, t := range led.Turns {
			if t.Covers(k.Frame) {
				r := library.TurnRecord(p.clips[s.ClipID], led, t)
				s.From, s.To = agreement.Stretch(&r, k.Frame)
				s.Picture, s.Gone = r.Picture, false
			}
		}
	}
	return nil
}

// Begin begins a test of a coach, who is the one who marks from then on, on strokes at
// which this coach has not looked: Strokes of them, or as many as there are. What was
// marked in their turns is hidden from this coach until the test ends. What could be undone
// before cannot any more.
func (x *Trials) Begin(ctx context.Context, coach club.ID, seed int64) error {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	switch c, err := library.Find(cat.Coaches, coach, func(c club.Coach) club.ID { return c.ID }, "coach"); {
	case err != nil:
		return err
	case c.Retired:
		return &club.Problem{Field: "coach", Say: "This coach is retired: bring the coach back first, or pick another."}
	}
	if err := x.free(ctx, coach); err != nil {
		return err
	}
	pool, err := x.agreed.Settled(ctx, coach)
	if err != nil {
		return err
	}
	faults := make([][]club.ID, len(pool))
	for i, s := range pool {
		faults[i] = s.Faults
	}
	t := standard.Trial{ID: x.lib.NewID(), CoachID: coach, Seed: seed, Made: x.lib.Now().UTC().Truncate(time.Microsecond)}
	for _, i := range trial.Draw(faults, Strokes, seed) {
		t.Answers = append(t.Answers, standard.Answer{ClipID: pool[i].ClipID, StrokeID: pool[i].StrokeID, Right: append([]club.ID{}, pool[i].Faults...), Said: []club.ID{}})
	}
	if len(t.Answers) == 0 {
		return &club.Problem{Say: "There is no settled stroke that you have not looked at: two other looks must say the same of it, or somebody must have settled it."}
	}
	if _, err := x.lib.DoAs(ctx, coach, fmt.Sprintf("begin a test of %s", wording.Count(len(t.Answers), "stroke")), store.Put(t)); err != nil {
		return err
	}
	if err := x.lib.SetCoach(ctx, coach); err != nil {
		return err
	}
	return x.lib.ClearUndo(ctx)
}

// free refuses a coach of whom a second look or a test goes on.
func (x *Trials) free(ctx context.Context, coach club.ID) error {
	looks, err := store.All[standard.BlindLook](ctx, x.lib.Library)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(looks, func(b standard.BlindLook) bool { return b.Open() && b.CoachID == coach }) {
		return &club.Problem{Say: "A second look of this coach goes on: finish or leave it before a test begins."}
	}
	tests, err := store.All[standard.Trial](ctx, x.lib.Library)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(tests, func(t standard.Trial) bool { return t.Open() && t.CoachID == coach }) {
		return &club.Problem{Say: "A test of this coach goes on already: finish it, or leave it."}
	}
	return nil
}

// Answer says which faults the coach who marks saw on a stroke of the test that goes on;
// none says that it is without.
func (x *Trials) Answer(ctx context.Context, stroke club.ID, faults []club.ID) error {
	t, err := x.open(ctx)
	if err != nil {
		return err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	for _, f := range faults {
		if _, err := library.Find(cat.Faults, f, func(f club.Fault) club.ID { return f.ID }, "fault"); err != nil {
			return err
		}
	}
	i := slices.IndexFunc(t.Answers, func(a standard.Answer) bool { return a.StrokeID == stroke })
	if i < 0 {
		return &club.Problem{Field: "stroke", Say: "This stroke is not in your test: answer one of those that it shows."}
	}
	t.Answers[i].Said, t.Answers[i].Given = append([]club.ID{}, faults...), true
	_, err = x.lib.Do(ctx, fmt.Sprintf("answer stroke %d of the test", i+1), store.Put(t))
	return err
}

// Finish ends the test of the coach who marks, which shows what is settled. It cannot be
// undone.
func (x *Trials) Finish(ctx context.Context) error {
	t, err := x.open(ctx)
	if err != nil {
		return err
	}
	left := 0
	for _, a := range t.Answers {
		if !a.Given {
			left++
		}
	}
	if left > 0 {
		return &club.Problem{Say: fmt.Sprintf("%s not answered yet: answer them first, or leave the test.", map[bool]string{true: "One stroke is", false: fmt.Sprintf("%d strokes are", left)}[left == 1])}
	}
	at := x.lib.Now().UTC().Truncate(time.Microsecond)
	t.Finished = &at
	if _, err := x.lib.DoAs(ctx, t.CoachID, "finish the test", store.Put(t)); err != nil {
		return err
	}
	return x.lib.ClearUndo(ctx)
}

// Leave gives the test of the coach who marks up; nothing of it is kept.
func (x *Trials) Leave(ctx context.Context) error {
	t, err := x.open(ctx)
	if err != nil {
		return err
	}
	if _, err := x.lib.DoAs(ctx, t.CoachID, "leave the test", store.Remove[standard.Trial](t.ID)); err != nil {
		return err
	}
	return x.lib.ClearUndo(ctx)
}

// open is the test of the coach who marks that goes on.
func (x *Trials) open(ctx context.Context) (t standard.Trial, err error) {
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return t, err
	}
	rows, err := store.All[standard.Trial](ctx, x.lib.Library)
	if err != nil {
		return t, err
	}
	for _, r := range rows {
		if r.Open() && r.CoachID == coach {
			return r, nil
		}
	}
	return t, &club.Problem{Say: "No test of the coach who marks goes on: begin one first."}
}

// Package standard is what keeps a team to one meaning of each fault: second looks at
// turns without seeing the first, decisions where two coaches differ, definitions with
// their history and model pictures, and tests of a new coach. It holds values and their
// rules only.
package standard

import (
	"fmt"
	"slices"
	"time"
	"unicode/utf8"

	"strokeledger/internal/club"
)

// BlindLook is a second look at some turns. Until it is finished its coach sees of them
// what this look has entered, and nothing else; and nobody else sees or counts what it
// has entered.
type BlindLook struct {
	ID      club.ID `json:"id"`
	CoachID club.ID `json:"coach_id"` // who looks
	// FirstID is the coach with whom it will be compared: another, or the same one with
	// what was marked before.
	FirstID  club.ID    `json:"first_id"`
	Turns    []club.ID  `json:"turns"` // at least one
	Drawn    string     `json:"drawn"` // how they were chosen, in words
	Made     time.Time  `json:"made"`  // UTC
	Finished *time.Time `json:"finished,omitempty"`
}

// Judgement is how the coach of a blind look saw one stroke; a stroke without one was
// seen as good, of the side that the drill's pattern says.
type Judgement struct {
	ID       club.ID      `json:"id"`
	BlindID  club.ID      `json:"blind_id"`
	ClipID   club.ID      `json:"clip_id"`
	StrokeID club.ID      `json:"stroke_id"`
	Side     club.Side    `json:"side,omitempty"`
	Outcome  club.Outcome `json:"outcome"`
	Ready    *club.Moment `json:"ready,omitempty"`
}

// Choice is what was decided on a stroke of which two coaches said different faults.
type Choice string

// The choices.
const (
	BothRight    Choice = "both"    // what either said was there
	FirstRight   Choice = "first"   // what only the first said was there, what only the second said was not
	SecondRight  Choice = "second"  // the other way round
	Neither      Choice = "neither" // nothing of what only one said was there
	AnotherFault Choice = "another" // as Neither, and another fault was there
)

// Decision settles one stroke of which two readings said different faults. Rates count
// as it says; the agreement of the two stays that of before.
type Decision struct {
	ID       club.ID   `json:"id"`
	ClipID   club.ID   `json:"clip_id"`
	StrokeID club.ID   `json:"stroke_id"`
	FirstID  club.ID   `json:"first_id"`  // coach
	SecondID club.ID   `json:"second_id"` // coach
	BlindID  club.ID   `json:"blind_id"`  // the second's blind look; empty: none
	CoachID  club.ID   `json:"coach_id"`  // who decided
	Choice   Choice    `json:"choice"`
	Faults   []club.ID `json:"faults"`             // there, all told
	Dropped  []club.ID `json:"dropped"`            // marks that do not count
	AddedID  club.ID   `json:"added_id,omitempty"` // the mark that AnotherFault put
	Made     time.Time `json:"made"`               // UTC
}

// Definition is what a fault means from a moment on: the last one is in force, the
// others are its history.
type Definition struct {
	ID      club.ID   `json:"id"`
	FaultID club.ID   `json:"fault_id"`
	CoachID club.ID   `json:"coach_id"` // who wrote it
	Counts  string    `json:"counts"`   // what counts
	Not     string    `json:"not"`      // what does not
	Older   Older     `json:"older,omitempty"`
	Made    time.Time `json:"made"` // UTC
}

// Older is what a coach said, at a change of a definition, of marks from before it.
type Older string

// What is said of them; nothing where there were none.
const (
	OlderSame    Older = "same"    // they still mean the same
	OlderOther   Older = "other"   // only marks from then on are what the definition says
	OlderUnknown Older = "unknown" // nobody can say
)

// Model is a picture that shows what a fault is, or what it is not.
type Model struct {
	ID      club.ID   `json:"id"`
	FaultID club.ID   `json:"fault_id"`
	ClipID  club.ID   `json:"clip_id"`
	CoachID club.ID   `json:"coach_id"`
	Frame   int       `json:"frame"`
	Ticks   int64     `json:"ticks"`
	Is      bool      `json:"is"`
	Made    time.Time `json:"made"` // UTC
}

// Trial is a coach's own test against strokes that are settled. Until it is finished its
// coach sees nothing of what was marked in the turns of its strokes.
type Trial struct {
	ID       club.ID    `json:"id"`
	CoachID  club.ID    `json:"coach_id"`
	Answers  []Answer   `json:"answers"` // a stroke each
	Seed     int64      `json:"seed"`    // with which they were drawn
	Made     time.Time  `json:"made"`    // UTC
	Finished *time.Time `json:"finished,omitempty"`
}

// Open reports whether the test goes on.
func (t Trial) Open() bool { return t.Finished == nil }

// Answer is one stroke of a trial.
type Answer struct {
	ClipID   club.ID   `json:"clip_id"`
	StrokeID club.ID   `json:"stroke_id"`
	Right    []club.ID `json:"right"` // faults that are there, as settled when it was made
	// Said are the faults that the coach saw; Given says that this is the answer.
	Said  []club.ID `json:"said"`
	Given bool      `json:"given"`
}

// Rows are all of these of a library, or those that belong to some turns. No list is nil.
type Rows struct {
	BlindLooks  []BlindLook  `json:"blind_looks"`
	Judgements  []Judgement  `json:"judgements"`
	Decisions   []Decision   `json:"decisions"`
	Definitions []Definition `json:"definitions"`
	Models      []Model      `json:"models"`
	Trials      []Trial      `json:"trials"`
}

// NoRows are none of them, no list nil.
func NoRows() Rows {
	return Rows{[]BlindLook{}, []Judgement{}, []Decision{}, []Definition{}, []Model{}, []Trial{}}
}

// Of are those of the rows that belong to some strokes and turns, on those clips. What
// belongs to no turn stays: definitions. Trials go, since they mix players.
func (r Rows) Of(turns []club.Turn, strokes []club.Stroke) Rows {
	played, struck := map[club.ID]bool{}, map[club.ID]bool{}
	for _, t := range turns {
		played[t.ID] = true
	}
	for _, s := range strokes {
		struck[s.ID] = true
	}
	of := NoRows()
	of.Definitions = append(of.Definitions, r.Definitions...)
	for _, b := range r.BlindLooks {
		b.Turns = slices.DeleteFunc(slices.Clone(b.Turns), func(t club.ID) bool { return !played[t] })
		if len(b.Turns) > 0 {
			of.BlindLooks = append(of.BlindLooks, b)
		}
	}
	for _, j := range r.Judgements {
		if struck[j.StrokeID] {
			of.Judgements = append(of.Judgements, j)
		}
	}
	for _, d := range r.Decisions {
		if struck[d.StrokeID] {
			of.Decisions = append(of.Decisions, d)
		}
	}
	for _, m := range r.Models {
		if slices.ContainsFunc(turns, func(t club.Turn) bool { return t.ClipID == m.ClipID && t.Covers(m.Frame) }) {
			of.Models = append(of.Models, m)
		}
	}
	return of
}

func problem(field, say string, args ...any) error {
	return &club.Problem{Field: field, Say: fmt.Sprintf(say, args...)}
}

// Check returns a *club.Problem where the blind look breaks a rule.
func (b BlindLook) Check() error {
	if b.CoachID == "" || b.FirstID == "" {
		return problem("coach", "Say which coach looks a second time, and with whom that is compared.")
	}
	if len(b.Turns) == 0 {
		return problem("turns", "No turn was chosen for the second look: choose others.")
	}
	if len(b.Turns) != len(slices.Compact(slices.Sorted(slices.Values(b.Turns)))) {
		return problem("turns", "Each turn of a second look is named once.")
	}
	return nil
}

// Open reports whether the look goes on.
func (b BlindLook) Open() bool { return b.Finished == nil }

// Check returns a *club.Problem where the judgement breaks a rule.
func (j Judgement) Check() error {
	if j.BlindID == "" || j.StrokeID == "" {
		return problem("", "A judgement names its blind look and its stroke: look at the stroke again.")
	}
	return j.On(club.Stroke{}).Check()
}

// On is a stroke as it was judged.
func (j Judgement) On(s club.Stroke) club.Stroke {
	s = Unjudged(s)
	if s.Source == "" {
		s.Source = club.ByHand
	}
	s.Side, s.Outcome, s.Ready = j.Side, j.Outcome, j.Ready
	if j.Ready != nil && s.Frame == 0 {
		s.Frame = j.Ready.Frame - 1 // of no stroke yet
	}
	return s
}

// Unjudged is a stroke as somebody sees it who knows nothing of how it was judged.
func Unjudged(s club.Stroke) club.Stroke {
	s.Side, s.Outcome, s.Ready = "", club.Good, nil
	return s
}

// Check returns a *club.Problem where the decision breaks a rule.
func (d Decision) Check() error {
	if !slices.Contains([]Choice{BothRight, FirstRight, SecondRight, Neither, AnotherFault}, d.Choice) {
		return problem("choice", "Decide: both, first, second, neither, or the code of another fault.")
	}
	if d.StrokeID == "" || d.FirstID == "" || d.SecondID == "" {
		return problem("", "A decision names its stroke and the two coaches: open the list anew.")
	}
	if (d.Choice == AnotherFault) != (d.AddedID != "") {
		return problem("choice", "Say which other fault it was.")
	}
	return nil
}

// Check returns a *club.Problem where the definition breaks a rule.
func (d Definition) Check() error {
	if d.FaultID == "" {
		return problem("fault", "Say which fault this defines.")
	}
	if !slices.Contains([]Older{"", OlderSame, OlderOther, OlderUnknown}, d.Older) {
		return problem("older", "Say whether older marks still mean the same: same, other or unknown.")
	}
	for field, text := range map[string]string{"counts": d.Counts, "not": d.Not} {
		if utf8.RuneCountInString(text) > club.MaxNote {
			return problem(field, "The definition is too long: keep each part to %d characters.", club.MaxNote)
		}
	}
	return nil
}

// Check returns a *club.Problem where the model breaks a rule.
func (m Model) Check() error {
	if m.FaultID == "" {
		return problem("fault", "Say which fault this picture shows.")
	}
	if m.Frame < 0 {
		return problem("frame", "Frames are counted from 0: pick one inside the clip.")
	}
	return nil
}

// Check returns a *club.Problem where the trial breaks a rule.
func (t Trial) Check() error {
	if t.CoachID == "" {
		return problem("coach", "Say who is tested.")
	}
	if len(t.Answers) == 0 {
		return problem("", "There is no settled stroke to be tested on: settle disagreements first.")
	}
	return nil
}

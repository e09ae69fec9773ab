package club

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// DefaultStreakTarget is the streak that opens the next drill: ten good strokes
// in a row (common practice, no source).
const DefaultStreakTarget = 10

// Limits of what a field takes, so that no screen or document breaks.
const (
	MaxName = 200   // characters in a name or label
	MaxNote = 10000 // characters in a note or cue
)

// Reactions of coaches, seconds: choosing among some keys takes about 0.4 s (Hick
// WE (1952) Q J Exp Psychol 4:11-26 for the law; the value is a usual one, no
// source, and each coach's own is measured).
const (
	UsualReaction = 0.4
	maxReaction   = 3
)

// Coach is someone who marks. Retired coaches keep their marks.
type Coach struct {
	ID      ID     `json:"id"`
	Name    string `json:"name"`
	Retired bool   `json:"retired,omitempty"`
	// Reaction is how long the coach takes from seeing a fault to pressing its key
	// while a clip plays, in seconds, at most 3; 0: UsualReaction.
	Reaction float64 `json:"reaction,omitempty"`
}

// ReactionSeconds is the coach's own reaction, or the usual one.
func (c Coach) ReactionSeconds() float64 {
	if c.Reaction > 0 {
		return c.Reaction
	}
	return UsualReaction
}

// Player is someone who is filmed. Alias is shown instead of the name where a
// document leaves the team.
type Player struct {
	ID      ID     `json:"id"`
	Name    string `json:"name"`
	Alias   string `json:"alias,omitempty"`
	Hand    Hand   `json:"hand"`
	Group   string `json:"group,omitempty"`
	Note    string `json:"note,omitempty"`
	Retired bool   `json:"retired,omitempty"`
	// Consent to being filmed: from and until when, and who gave it (for a child
	// usually a parent or guardian). No from: none is on record.
	ConsentFrom  Date   `json:"consent_from,omitempty"`
	ConsentUntil Date   `json:"consent_until,omitempty"` // empty: until it is taken back
	ConsentBy    string `json:"consent_by,omitempty"`
	DeleteAfter  Date   `json:"delete_after,omitempty"` // the day after which the player's film and rows should go; empty: none set
}

// Drill is one exercise of the club's ladder.
type Drill struct {
	ID        ID        `json:"id"`
	Name      string    `json:"name"`
	Method    Method    `json:"method"`
	Pattern   Pattern   `json:"pattern"`
	Placement Placement `json:"placement"`
	Ball      Ball      `json:"ball"`
	Rung      int       `json:"rung"`   // place on the ladder, 1 is the lowest
	Streak    int       `json:"streak"` // good strokes in a row that open the next rung
	Note      string    `json:"note,omitempty"`
	Retired   bool      `json:"retired,omitempty"`
}

// Fault is one recurring stroke fault as this team defines it.
type Fault struct {
	ID      ID     `json:"id"`
	Code    string `json:"code"` // short, unique: "LATE"
	Label   string `json:"label"`
	Phase   Phase  `json:"phase"`
	Sides   Sides  `json:"sides"`
	Cue     string `json:"cue,omitempty"` // what the coach says
	Weight  int    `json:"weight"`        // 1 to 3, 3 matters most
	Key     string `json:"key"`           // one small letter or digit, "" for none; the review bench takes no letters for itself
	Retired bool   `json:"retired,omitempty"`
	// Measure is what shows this fault when it is less than Limit, in the measure's unit;
	// empty: nothing that is measured does. A Limit of 0 is none yet.
	Measure Measure `json:"measure,omitempty"`
	Limit   float64 `json:"limit,omitempty"`
}

// Pattern is the order of strokes in a drill, one letter a stroke, F forehand
// and B backhand, repeated from the start when it ends ("FFB"). The empty
// Pattern is free.
type Pattern string

// Side is the side of the i-th stroke of a turn, counted from 0; empty in a free
// pattern.
func (p Pattern) Side(i int) Side {
	if p == "" || i < 0 {
		return ""
	}
	if p[i%len(p)] == 'B' {
		return Backhand
	}
	return Forehand
}

// Check returns a *Problem where the coach breaks a rule.
func (c Coach) Check() error {
	if err := checkName("name", c.Name); err != nil {
		return err
	}
	if !(c.Reaction >= 0 && c.Reaction <= maxReaction) {
		return problem("reaction", "The reaction is a number of seconds from 0 to %d; 0 is the usual %.1f.", maxReaction, UsualReaction)
	}
	return nil
}

// Check returns a *Problem where the player breaks a rule.
func (p Player) Check() error {
	if err := checkName("name", p.Name); err != nil {
		return err
	}
	if p.Hand != RightHand && p.Hand != LeftHand {
		return problem("hand", "Say which hand holds the racket: right or left.")
	}
	if err := checkLength("alias", p.Alias, MaxName); err != nil {
		return err
	}
	if err := checkLength("group", p.Group, MaxName); err != nil {
		return err
	}
	if err := p.checkConsent(); err != nil {
		return err
	}
	return checkNote("note", p.Note)
}

// Check returns a *Problem where the drill breaks a rule.
func (d Drill) Check() error {
	if err := checkName("name", d.Name); err != nil {
		return err
	}
	if strings.Trim(string(d.Pattern), "FB") != "" || len(d.Pattern) > 32 {
		return problem("pattern", "The stroke pattern takes only the letters F and B, at most 32: for example FFB, or nothing for free.")
	}
	if err := oneOf("method", d.Method, Methods()); err != nil {
		return err
	}
	if err := oneOf("placement", d.Placement, placements()); err != nil {
		return err
	}
	if err := oneOf("ball", d.Ball, balls()); err != nil {
		return err
	}
	if d.Rung < 1 || d.Rung > 99 {
		return problem("rung", "The rung is a whole number from 1 (lowest) to 99.")
	}
	if d.Streak < 1 || d.Streak > 1000 {
		return problem("streak", "The streak target is a whole number from 1 to 1000; %d is usual.", DefaultStreakTarget)
	}
	return checkNote("note", d.Note)
}

// Check returns a *Problem where the fault breaks a rule.
func (f Fault) Check() error {
	if f.Code == "" || utf8.RuneCountInString(f.Code) > 8 || strings.ContainsFunc(f.Code, unicode.IsSpace) {
		return problem("code", "The code is one to eight characters without spaces: for example LATE.")
	}
	if err := checkName("label", f.Label); err != nil {
		return err
	}
	if err := oneOf("phase", f.Phase, Phases()); err != nil {
		return err
	}
	if err := oneOf("sides", f.Sides, SidesWords()); err != nil {
		return err
	}
	if f.Weight < 1 || f.Weight > 3 {
		return problem("weight", "The weight is 1, 2 or 3; 3 matters most.")
	}
	if f.Key != "" {
		r, size := utf8.DecodeRuneInString(f.Key)
		if size != len(f.Key) || !(unicode.IsLetter(r) || unicode.IsDigit(r)) || f.Key != strings.ToLower(f.Key) {
			return problem("key", "The key is one small letter or digit.")
		}
	}
	if f.Measure == "" && f.Limit != 0 {
		return problem("limit", "A limit needs its measure: choose one, or leave the limit empty.")
	}
	if f.Measure != "" {
		of := slices.DeleteFunc(Measures(), func(m Measure) bool { return !m.OfFaults() })
		if err := oneOf("measure", f.Measure, of); err != nil {
			return err
		}
		if !(f.Limit == 0 || f.Limit >= MinLimit && f.Limit <= MaxLimit) {
			return problem("limit", "The limit is a number of %s from %d to %d, or empty.", f.Measure.Unit(), MinLimit, MaxLimit)
		}
	}
	return checkNote("cue", f.Cue)
}

func checkName(field, s string) error {
	if strings.TrimSpace(s) == "" {
		return problem(field, "The %s is empty: write one.", field)
	}
	return checkLength(field, s, MaxName)
}

func checkNote(field, s string) error { return checkLength(field, s, MaxNote) }

func checkLength(field, s string, most int) error {
	if utf8.RuneCountInString(s) > most {
		return problem(field, "The %s is too long: keep it to %d characters.", field, most)
	}
	return nil
}

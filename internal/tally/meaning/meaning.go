// Package meaning says where marks that are counted together were made under different
// definitions of their fault.
package meaning

import (
	"fmt"
	"strings"
	"time"
)

// Change is a change of a fault's definition after which it is not sure that older marks
// mean the same.
type Change struct {
	At    time.Time
	Other bool // older marks mean something else; else nobody can say
}

// Fault is one fault of a sheet.
type Fault struct {
	Code    string
	Changes []Change
	Marks   []time.Time // when those that are counted were made
	// First and Last are the days of training that are counted, as time.DateOnly.
	First, Last string
}

// Said is what a reader of a sheet has to know of one fault, empty for nothing.
type Said struct {
	Coach  string // with the fault's code and counts
	Family string // what goes on after the fault's name, in plain words
}

// Said tells what a reader of the sheet has to know. There is something to say of a fault
// that was marked where
//   - marks were made before a change: how many mean something else, or may, and that only
//     marks since then compare;
//   - none were, but the change lies between the first and the last day: what was looked
//     through before it was looked through for something else.
//
// Of several changes those count that say most: marks from before the last one with Other
// mean something else, whatever came after.
func (f Fault) Said() (all Said) {
	if len(f.Marks) == 0 {
		return all
	}
	var after time.Time // the last change that made older marks something else
	for _, c := range f.Changes {
		if c.Other && c.At.After(after) {
			after = c.At
		}
	}
	var unsure time.Time
	for _, c := range f.Changes {
		if !c.Other && c.At.After(after) && c.At.After(unsure) {
			unsure = c.At
		}
	}
	older := f.between(time.Time{}, after)
	all.add(f.say(after, older, fmt.Sprintf("mean%s something else: only marks since then compare", s(older))), after, "meant something else")
	all.add(f.say(unsure, f.between(after, unsure), "may mean something else, which nobody can say: only marks since then are sure to compare"), unsure, "may have meant something else")
	return all
}

// add puts a sentence for coaches behind what is said already; families get the first alone,
// which says most.
func (x *Said) add(coach string, at time.Time, meant string) {
	if coach == "" {
		return
	}
	x.Coach = strings.TrimSpace(x.Coach + " " + coach)
	if x.Family == "" {
		x.Family = fmt.Sprintf("The coaches changed what counts as this on %s: what was seen before %s.", at.Format("2 January 2006"), meant)
	}
}

func (f *Fault) say(at time.Time, older int, they string) string {
	day := at.Format(time.DateOnly)
	head := fmt.Sprintf("%s was defined on %s", f.Code, at.Format("2 January 2006"))
	switch n := len(f.Marks); {
	case at.IsZero():
		return ""
	case older == n && n > 1:
		return fmt.Sprintf("%s: all %d marks of it here are from before and %s.", head, n, they)
	case older == n:
		return fmt.Sprintf("%s: its one mark here is from before and %s.", head, they)
	case older > 0:
		return fmt.Sprintf("%s: %d of its %d marks here %s from before and %s.", head, older, n, map[bool]string{true: "is", false: "are"}[older == 1], they)
	case f.First < day && day <= f.Last:
		return head + ", between the first and the last of these days: what was not marked before may be marked since."
	}
	return ""
}

// between counts the marks from a moment on until before another.
func (f *Fault) between(from, until time.Time) (n int) {
	for _, m := range f.Marks {
		if !m.Before(from) && m.Before(until) {
			n++
		}
	}
	return n
}

func s(n int) string {
	if n == 1 {
		return "s"
	}
	return ""
}

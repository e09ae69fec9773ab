// Package club is the domain: who trains, what they train, which faults the
// team has defined, and what was seen on film. It holds values and their rules
// only; it knows no files, no clock and no screen.
//
// Frames are counted from 0 in presentation order. Ticks are whole units of the
// clip's rational time base, on the file's own clock; seconds are for showing.
package club

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"
)

// ID names one row for ever: a UUIDv7 in its usual text form, so that the work
// of two coaches can be brought together without renumbering.
type ID string

// NewID makes an ID that sorts by the time it was made.
func NewID() ID { return ID(uuid.Must(uuid.NewV7()).String()) }

// Problem is an error for people. Its text is one plain sentence that says what to do.
// Whoever knows what is wrong makes it; an error without one was not foreseen.
type Problem struct {
	// Code is what programs know it by, for [errors.Is]: an error value of the package
	// that made it. Nil: something that a person entered breaks a rule.
	Code  error
	Field string // of what was entered, as the domain names it; "" for the whole
	Say   string
	Cause error // what lies behind it, or nil
}

func (p *Problem) Error() string { return p.Say }

// Unwrap returns the code and the cause, as far as there are any.
func (p *Problem) Unwrap() []error {
	return slices.DeleteFunc([]error{p.Code, p.Cause}, func(err error) bool { return err == nil })
}

// Entered reports whether the problem is with what a person entered.
func (p *Problem) Entered() bool { return p.Code == nil }

// AsProblem reports whether err is, or wraps, a Problem.
func AsProblem(err error) (*Problem, bool) {
	var p *Problem
	ok := errors.As(err, &p)
	return p, ok
}

func problem(field, format string, args ...any) error {
	return &Problem{Field: field, Say: fmt.Sprintf(format, args...)}
}

// Date is a calendar day in the club's place, written 2006-01-02. The empty
// Date means "not given"; Dates compare as strings.
type Date string

// ParseDate reads a day written as year-month-day.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil || t.Year() == 0 {
		return "", problem("date", "%q is not a day: write it as year-month-day, for example 2026-03-14.", s)
	}
	return Date(t.Format(time.DateOnly)), nil
}

// Between reports whether d lies in the closed period; an empty end is open.
func (d Date) Between(from, to Date) bool {
	return (from == "" || d >= from) && (to == "" || d <= to)
}

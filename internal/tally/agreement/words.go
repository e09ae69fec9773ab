package agreement

import (
	"fmt"

	"strokeledger/internal/tally/wording"
)

// words says a line as a coach would.
func (l *Line) words(names Words) string {
	what := l.Code
	if what == "" {
		what = "faults"
	}
	switch {
	case l.Units() == 0:
		return "No stroke that both have looked at."
	case l.Either() == 0:
		return fmt.Sprintf("Neither said %s on %s.", what, wording.Count(l.Units(), "stroke"))
	case l.First+l.Second == 0:
		return fmt.Sprintf("Of %d %s that either saw, both saw all.", l.Either(), what)
	}
	return fmt.Sprintf("Of %d %s that either saw, both saw %d; only %s saw %d, only %s %d.", l.Either(), what, l.Both, names.First, l.First, names.Second, l.Second)
}

// note says why there are no coefficients, or what their difference means.
func (l *Line) note() string {
	switch {
	case l.Units() == 0 || l.Either() == 0:
		return ""
	case l.Either() < fewestSaid:
		return fmt.Sprintf("Said too rarely for a coefficient: it takes %d strokes.", fewestSaid)
	case l.First+l.Second == 0:
		return "Nothing differs, so there is no interval; more strokes may show a difference."
	case l.Turns < fewestTurns:
		return fmt.Sprintf("No intervals: they take %d turns.", fewestTurns)
	case l.Kappa != nil && l.AC1 != nil && l.AC1.Value-l.Kappa.Value > 0.2:
		return "It is rare: kappa falls although the two seldom differ, AC1 beside it does not."
	}
	return ""
}

// Convention is the word that is usual for a kappa of that size, by a convention that
// its authors call arbitrary.
//
// Source: Landis JR, Koch GG (1977) "The measurement of observer agreement for
// categorical data", Biometrics 33:159-174, table 2.
func Convention(kappa float64) string {
	switch {
	case kappa < 0:
		return "poor"
	case kappa <= 0.2:
		return "slight"
	case kappa <= 0.4:
		return "fair"
	case kappa <= 0.6:
		return "moderate"
	case kappa <= 0.8:
		return "substantial"
	}
	return "almost perfect"
}

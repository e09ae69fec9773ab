package contrast

import (
	"fmt"

	"strokeledger/internal/tally/interval"
)

// Test is one test of "no difference" or "no trend". Many are made in one
// summary; Survives says whether this one may be called a change all the same.
type Test struct {
	P        float64 `json:"p"`        // two-sided
	Adjusted float64 `json:"adjusted"` // by Benjamini and Hochberg over the tests that Tested.Over names
	Survives bool    `json:"survives"` // Adjusted is at most Tested.Level, and the interval leaves "no difference" out
	Shown    bool    `json:"shown"`    // that it does
	// Because says why a test that does not survive does not, where the interval beside
	// it may be read otherwise: "the interval leaves 0 out, but 15 things were tested".
	// Empty where nobody would ask.
	Because string `json:"because"`
	trend   bool
	ratio   bool // "no difference" is 1
}

// because is Because among so many tests, once the test is adjusted.
func (t *Test) because(tests int) string {
	none := "0"
	if t.ratio {
		none = "1"
	}
	switch {
	case t.Survives, !t.Shown && t.Adjusted > falseDiscovery:
		return ""
	case !t.Shown:
		return "its test holds, but the interval does not leave " + none + " out"
	case t.P > falseDiscovery: // however many are tested
		return "the interval leaves " + none + " out, but its test does not hold"
	}
	return fmt.Sprintf("the interval leaves %s out, but %d things were tested", none, tests)
}

// Tested says how many tests one summary made; one that two sheets show counts
// once.
type Tested struct {
	Tests       int     `json:"tests"`
	Comparisons int     `json:"comparisons"` // of Tests
	Trends      int     `json:"trends"`      // of Tests
	Surviving   int     `json:"surviving"`
	Level       float64 `json:"level"` // 0.05: of the survivors at most one in twenty is false, on average
	// Over says in words which tests were corrected together. What is asked for
	// together is: alone, a player's test may survive that does not beside the whole
	// club's.
	Over string `json:"over"`
	Say  string `json:"say"` // what was tested and what holds, in words; empty without a test
}

// Describe fills in Say from the rest.
func (t *Tested) Describe() {
	many := func(n int, what string) string {
		switch n {
		case 0:
			return "no " + what
		case 1:
			return "one " + what
		}
		return fmt.Sprintf("%d %ss", n, what)
	}
	comparisons, trends := many(t.Comparisons, "comparison"), many(t.Trends, "trend")
	if t.Comparisons == 0 {
		comparisons, trends = trends, comparisons
	}
	holds := "None of them holds"
	switch {
	case t.Tests == 0:
		t.Say = ""
		return
	case t.Tests == 1 && t.Surviving == 0:
		holds = "It does not hold"
	case t.Tests == 1:
		holds = "It holds"
	case t.Surviving == 1:
		holds = "One of them holds"
	case t.Surviving > 1:
		holds = fmt.Sprintf("%d of them hold", t.Surviving)
	}
	t.Say = fmt.Sprintf("Of %s, %s and %s had enough turns and faults to be tested. %s after the correction for so many (Benjamini and Hochberg).", t.Over, comparisons, trends, holds)
	if t.Surviving > 0 {
		t.Say += " Of what holds, at most about one in twenty is chance all the same."
	}
}

// Adjust tells which of all tests survive; over is Tested.Over.
func Adjust(tests []*Test, over string) Tested {
	t := Tested{Tests: len(tests), Level: falseDiscovery, Over: over}
	p := make([]float64, len(tests))
	for i, test := range tests {
		p[i] = test.P
	}
	for i, adjusted := range interval.Adjust(p) {
		tests[i].Adjusted = adjusted
		if tests[i].Survives = adjusted <= falseDiscovery && tests[i].Shown; tests[i].Survives {
			t.Surviving++
		}
		tests[i].Because = tests[i].because(len(tests))
		if tests[i].trend {
			t.Trends++
		} else {
			t.Comparisons++
		}
	}
	t.Describe()
	return t
}

// falseDiscovery is the part of all changes shown that may be false (common
// practice).
const falseDiscovery = 0.05

// Package trial draws strokes for a coach's test, and says what the answers show.
package trial

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
	"strokeledger/internal/tally/wording"
)

// Draw draws up to n of some strokes by their faults, and returns their places: half of
// them without a fault and the rest going round the faults, so that rare ones come too, as
// far as there are some. They come in a drawn order. The same seed draws the same.
func Draw(faults [][]club.ID, n int, seed int64) []int {
	rng := rand.New(rand.NewPCG(uint64(seed), uint64(len(faults))))
	order := rng.Perm(len(faults))
	var clean []int
	by, codes := map[club.ID][]int{}, []club.ID{}
	for _, i := range order {
		if len(faults[i]) == 0 {
			clean = append(clean, i)
		}
		for _, f := range faults[i] {
			by[f] = append(by[f], i)
			if !slices.Contains(codes, f) {
				codes = append(codes, f)
			}
		}
	}
	slices.Sort(codes)
	rng.Shuffle(len(codes), func(i, j int) { codes[i], codes[j] = codes[j], codes[i] })
	drawn, taken := []int{}, map[int]bool{}
	take := func(i int) {
		if !taken[i] && len(drawn) < n {
			drawn, taken[i] = append(drawn, i), true
		}
	}
	for _, i := range clean[:min(len(clean), n/2)] {
		take(i)
	}
	for some := true; some && len(drawn) < n; { // one of each fault a round
		some = false
		for _, f := range codes {
			for len(by[f]) > 0 && taken[by[f][0]] {
				by[f] = by[f][1:]
			}
			if len(by[f]) > 0 {
				take(by[f][0])
				some = true
			}
		}
	}
	for _, i := range order { // where faults are few
		take(i)
	}
	rng.Shuffle(len(drawn), func(i, j int) { drawn[i], drawn[j] = drawn[j], drawn[i] })
	return drawn
}

// Answer is one stroke: what is settled, and what the coach saw.
type Answer struct{ Right, Said []club.ID }

// Line is what the coach saw of one fault.
type Line struct {
	FaultID club.ID `json:"fault_id"` // empty: strokes without a fault
	There   int     `json:"there"`    // strokes that have it
	Seen    int     `json:"seen"`     // of them, those of which the coach said so
	Extra   int     `json:"extra"`    // strokes that do not have it and of which the coach said so
	Say     string  `json:"say"`
	// Note says what is known of somebody with such answers, "" where nothing was there.
	Note string `json:"note"`
}

// Result is what the answers show.
type Result struct {
	Strokes int    `json:"strokes"`
	Same    int    `json:"same"` // on which the coach saw just what is settled
	Say     string `json:"say"`
	Lines   []Line `json:"lines"` // of the faults that were there or said, in order of the catalogue, then of strokes without
	// Cannot says what so few strokes cannot tell.
	Cannot string `json:"cannot"`
}

// Score says what the answers show, in words first. The range of what somebody sees who
// answers so is Wilson's, see package interval; it takes strokes for independent.
func Score(faults []club.Fault, answers []Answer) Result {
	r := Result{Strokes: len(answers), Lines: []Line{}}
	var absent []string
	for _, f := range faults {
		l := Line{FaultID: f.ID}
		for _, a := range answers {
			there, said := slices.Contains(a.Right, f.ID), slices.Contains(a.Said, f.ID)
			l.count(there, said)
		}
		switch {
		case l.There+l.Extra > 0:
			l.words(fmt.Sprintf("%d %s", l.There, f.Code), f.Code)
			r.Lines = append(r.Lines, l)
		case !f.Retired:
			absent = append(absent, f.Code)
		}
	}
	clean := Line{}
	for _, a := range answers {
		clean.count(len(a.Right) == 0, len(a.Said) == 0)
		if same(a.Right, a.Said) {
			r.Same++
		}
	}
	if clean.There > 0 {
		clean.Extra = 0 // a fault that was missed stands in the fault's line
		clean.Say = fmt.Sprintf("Of %s without a fault, you left %d without.", wording.Count(clean.There, "stroke"), clean.Seen)
		clean.note()
		r.Lines = append(r.Lines, clean)
	}
	r.Say = fmt.Sprintf("On %d of %s you saw just what is settled.", r.Same, wording.Count(r.Strokes, "stroke"))
	r.Cannot = fmt.Sprintf("%s are few, and were drawn so that each fault comes: they do not tell how often you would be right over a session, and a fault more or less changes each line.", wording.Count(r.Strokes, "stroke"))
	if r.Strokes == 1 {
		r.Cannot = "One stroke tells nothing of how often you would be right."
	}
	if len(absent) > 0 {
		r.Cannot += fmt.Sprintf(" Nothing is said of %s, which were not among them.", strings.Join(absent, ", "))
		if len(absent) == 1 {
			r.Cannot = strings.Replace(r.Cannot, "which were not", "which was not", 1)
		}
	}
	return r
}

func (l *Line) count(there, said bool) {
	switch {
	case there && said:
		l.There, l.Seen = l.There+1, l.Seen+1
	case there:
		l.There++
	case said:
		l.Extra++
	}
}

func (l *Line) words(counted, code string) {
	var say []string
	if l.There > 0 {
		say = append(say, fmt.Sprintf("Of %s, you saw %d.", counted, l.Seen))
	}
	switch {
	case l.Extra == 1:
		say = append(say, fmt.Sprintf("You said %s once where it is not.", code))
	case l.Extra > 1:
		say = append(say, fmt.Sprintf("You said %s %d times where it is not.", code, l.Extra))
	}
	l.Say = strings.Join(say, " ")
	l.note()
}

func (l *Line) note() {
	if in, ok := interval.Wilson(l.Seen, l.There); ok {
		l.Note = fmt.Sprintf("Somebody who sees anything from %.0f to %.0f of 100 may answer so.", 100*in.Low, 100*in.High)
	}
}

func same(a, b []club.ID) bool {
	return slices.Equal(slices.Compact(slices.Sorted(slices.Values(a))), slices.Compact(slices.Sorted(slices.Values(b))))
}

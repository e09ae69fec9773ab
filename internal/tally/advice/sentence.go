package advice

import (
	"fmt"

	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

// SentenceID names one of Sentences.
type SentenceID string

// Sentence is something that a sheet says from its numbers, and what they have to show
// before it does. Sentences of one subject are tried in order: each also asks that none
// before it may be said.
type Sentence struct {
	ID     SentenceID
	On     Subject
	Says   string // … stands for what differs
	Claims string
	When   string
	fault  func(*evidence) bool // of those on a fault
	sheet  func(*outlook) bool  // of those on a sheet
}

// Subject is what a sentence speaks of.
type Subject string

const (
	OnFault   Subject = "a fault"       // in Advice.Why and Say
	OnSheet   Subject = "the sheet"     // in WorkOn.Say
	OnTrend   Subject = "a trend"       // the end of Advice.Why
	OnBalance Subject = "the balance"   // the end of Balance.Say
	OnChance  Subject = "a rung"        // in Chance.Say
	OnCard    Subject = "a card"        // of the HTML document
	OnTries   Subject = "today's tries" // in Rung.Say
	OnNext    Subject = "the next rung" // in WorkOn.Ladder
	OnTest    Subject = "a test"        // in Test.Because, and with it in Comparison.Say, Trend.Say, Advice.Why and Say
)

const (
	noStrokes     SentenceID = "no-strokes"
	notLooked     SentenceID = "not-looked"
	cannotCome    SentenceID = "cannot-come"
	listed        SentenceID = "listed"
	whichUntold   SentenceID = "which-unknown"
	noneStandsOut SentenceID = "none-stands-out"
	holdUntold    SentenceID = "hold-unknown"
	notGood       SentenceID = "not-good"
	moveUp        SentenceID = "move-up"
	notPassed     SentenceID = "not-passed"
	atTheTop      SentenceID = "at-the-top"

	breaks       SentenceID = "breaks"
	moreOften    SentenceID = "more-often"
	thereAlready SentenceID = "there-already"
	freeAlone    SentenceID = "free-alone"
	noDifference SentenceID = "no-difference"
	whereUntold  SentenceID = "where-unknown"
)

// Terms are the words that the conditions of Sentences are written in.
func Terms() [][2]string {
	p := func(v float64) string { return wording.Percent(v, 0) + " %" }
	return [][2]string{
		{"often", fmt.Sprintf("at least %d strokes were looked at, and the interval of the rate lies above %s", verdict.EnoughStrokes, p(verdict.OftenAbove))},
		{"rare", fmt.Sprintf("at least %d strokes were looked at, fewer than %s with the fault, and the interval ends below %s", verdict.EnoughStrokes, p(verdict.OftenAbove), p(verdict.RareBelow))},
		{"known", fmt.Sprintf("often or rare; or at least %d strokes were looked at and the interval is at most %.0f points wide", verdict.EnoughStrokes, 100*verdict.Narrow)},
		{"a difference", "Compare calls it one: its test holds after the correction for all tests, and its interval leaves 0 out"},
		{"usual", fmt.Sprintf("how far the club's players differ could be fitted, the rate to expect is not above the club's, and the interval of the rate is at most %.0f points wide", 100*verdict.Wide)},
		{"n more strokes", fmt.Sprintf("in tens, as many as it takes until the fault is known (usual, a difference: until the interval is at most %.0f points wide), if its rate stays as it was seen and its turns as alike as the interval takes them to be; where there is no interval, with a correlation of %.1f inside a turn, and %d at least; at most %d", 100*verdict.Wide, rate.UsualCorrelation, verdict.EnoughStrokes, verdict.MostMissing)},
	}
}

// Sentences are all sentences of advice.
func Sentences() []Sentence {
	var (
		told = func(l *group.FaultLine) bool { return verdict.Conclusive(perStroke(l)) }
		seen = func(l *group.FaultLine) bool { return verdict.ComesOften(perStroke(l)) }
	)
	return []Sentence{
		{ID: noStrokes, On: OnSheet, Says: "No strokes are logged: without them nobody can say how often a fault comes. …",
			Claims: "nothing", When: "no strokes are logged",
			sheet: func(o *outlook) bool { return o.strokes == 0 }},
		{ID: notLooked, On: OnSheet, Says: "Nobody has looked through these strokes yet: until somebody does, nobody can say how often a fault comes.",
			Claims: "nothing", When: "some fault in use could have come on a stroke, and nobody has looked at one for any",
			sheet: func(o *outlook) bool { return o.looked == 0 && o.unlooked > 0 }},
		{ID: cannotCome, On: OnSheet, Says: "No fault in use can come on these strokes.",
			Claims: "nothing", When: "no stroke could have had a fault in use",
			sheet: func(o *outlook) bool { return o.looked == 0 }},
		{ID: listed, On: OnSheet, Says: "1. …",
			Claims: "the fault comes on more than one stroke in twenty, and the rate to expect is above the club's where it is known how far players differ",
			When:   "the fault is in use and often, in all drills or in those of a method; how far players differ could not be fitted, or the rate to expect is above the club's",
			sheet:  func(o *outlook) bool { return o.listed > 0 }},
		{ID: whichUntold, On: OnSheet, Says: "Cannot tell yet whether … often: film n more strokes.",
			Claims: "nothing", When: "of some fault in use it is neither known nor usual",
			sheet: func(o *outlook) bool { return o.open > 0 }},
		{ID: noneStandsOut, On: OnSheet, Says: "No fault stands out: none is known to come on more than one stroke in twenty and more often than is usual in the club.",
			Claims: "no fault in use is shown to come often beyond what is usual",
			When:   "every fault in use is known, and not often, or usual; and some is not rare, in all drills or, where all strokes of both methods were looked at, in those of one",
			sheet: func(o *outlook) bool {
				return !o.rare || o.method() == nil && !(o.methods[0].rare && o.methods[1].rare)
			}},
		{ID: holdUntold, On: OnSheet, Says: "No fault comes often. Cannot tell yet whether the strokes hold in … drills: film n more strokes of them.",
			Claims: "every fault in use is rare in all drills together",
			When:   "every fault in use is rare in all drills together; in one of the methods, some is not known or not all was looked at",
			sheet:  func(o *outlook) bool { return o.method() != nil }},
		{ID: notGood, On: OnSheet, Says: "No fault comes often in regular or in irregular drills. That the strokes hold is not shown: … of … regular ones and … of … irregular ones are good.",
			Claims: "every fault in use is rare in both methods",
			When:   "every fault in use is rare in both methods, all strokes looked at, and the interval of the part of good strokes reaches below " + wording.Percent(verdict.GoodFrom, 0) + " % in one",
			sheet:  func(o *outlook) bool { return !o.methods[0].holds() || !o.methods[1].holds() }},
		{ID: moveUp, On: OnSheet, Says: "The strokes hold in regular and in irregular drills: time to move up a rung.",
			Claims: "every fault in use is below one stroke in ten in both methods, more than seven strokes in ten are good in both, and every rung trained is passed",
			When:   "every fault in use is rare in both methods, all strokes looked at; the interval of the part of good strokes lies above " + wording.Percent(verdict.GoodFrom, 0) + " % in both; the ladder's next rung is above all that were trained",
			sheet:  func(o *outlook) bool { return o.next != nil && o.next.Rung > o.top }},
		{ID: notPassed, On: OnSheet, Says: "The strokes hold in regular and in irregular drills; the ladder has a rung that is not passed yet.",
			Claims: "the same, but for the rungs",
			When:   "the same, but the ladder's next rung is not above all that were trained",
			sheet:  func(o *outlook) bool { return o.next != nil }},
		{ID: atTheTop, On: OnSheet, Says: "The strokes hold in regular and in irregular drills, and the club's ladder has no higher rung.",
			Claims: "the same, and every rung is passed",
			When:   "the same, and every rung in use is passed",
			sheet:  func(*outlook) bool { return true }},

		{ID: breaks, On: OnFault, Says: "…: holds when the ball is known, breaks when it is not. More irregular practice at the same rung.",
			Claims: "the fault is below one stroke in ten in regular drills, and more frequent in irregular ones",
			When:   "the fault is rare in regular drills, and there is a difference towards irregular ones",
			fault:  func(e *evidence) bool { return e.moreIrregular() && verdict.Of(perStroke(e.regular)) == verdict.Rare }},
		{ID: moreOften, On: OnFault, Says: "…: more often when the ball is not known. More irregular practice at the same rung.",
			Claims: "the fault is more frequent in irregular drills",
			When:   "there is a difference towards irregular drills",
			fault:  func(e *evidence) bool { return e.moreIrregular() }},
		{ID: thereAlready, On: OnFault, Says: "…: it is there already when the ball is known. Back to regular practice …",
			Claims: "the fault comes on more than one stroke in twenty of regular drills",
			When:   "the fault is often in regular drills",
			fault:  func(e *evidence) bool { return seen(e.regular) }},
		{ID: freeAlone, On: OnFault, Says: "…: often in free play, in neither kind of drill. More free play, with the cue in mind.",
			Claims: "the fault comes on more than one stroke in twenty of free play, and is not shown to in regular or in irregular drills, although known there",
			When:   "the fault is often in free play, and known but not often in regular and in irregular drills",
			fault: func(e *evidence) bool {
				return seen(e.free) && told(e.regular) && told(e.irregular) && !seen(e.irregular)
			}},
		{ID: noDifference, On: OnFault, Says: "…. No difference is shown between regular and irregular drills: keep the cue in mind in both.",
			Claims: "Compare was made, and calls no difference",
			When:   "the fault is known in regular drills, not often; Compare was made and calls no difference, with an interval of at most " + fmt.Sprintf("%.0f", 100*verdict.Wide) + " points",
			fault:  func(e *evidence) bool { return told(e.regular) && e.alike() }},
		{ID: whereUntold, On: OnFault, Says: "…. Cannot tell yet whether …: film n more strokes of … drills.",
			Claims: "nothing", When: "always",
			fault: func(*evidence) bool { return true }},

		{ID: "worse", On: OnTrend, Says: "…; it is getting worse.",
			Claims: "the rate rises", When: "the trend is called one, and its interval lies above 0"},
		{ID: "better", On: OnTrend, Says: "…; it is getting better.",
			Claims: "the rate falls", When: "the trend is called one, and its interval lies below 0"},
		{ID: "balance", On: OnBalance, Says: "…: more … drills would bring it closer.",
			Claims: "the strokes that are logged lie more than 10 points off the club's wish",
			When:   fmt.Sprintf("they do, there are at least %d, and no advice on a fault asks for the other method", verdict.EnoughStrokes)},
		{ID: "chance", On: OnChance, Says: "At … good strokes, … turns of … would be clean (… to …).",
			Claims: "the chance for one rate of good strokes that stays as it is, with the ends of the interval of that rate",
			When:   fmt.Sprintf("at least %d strokes of the rung are logged", verdict.EnoughStrokes)},
		{ID: "chance-unknown", On: OnChance, Says: "Cannot tell yet how many turns would be clean: … film n more strokes.",
			Claims: "nothing", When: fmt.Sprintf("fewer are logged; n makes %d of them", verdict.EnoughStrokes)},
		{ID: "in-words", On: OnCard, Says: "about every third stroke",
			Claims: "the rate that was seen, rounded", When: fmt.Sprintf("at least %d strokes were looked at, 1 or more with the fault, and the interval is at most %.0f points wide", verdict.EnoughStrokes, 100*verdict.Wide)},
		{ID: "enough", On: OnTries, Says: "… tries today; the club suggests at most …: let it be for today.",
			Claims: "the tries of today have come to the club's limit", When: "they have; a drill that Work on next names says so too"},
		{ID: "next-rung", On: OnNext, Says: "The ladder's next rung is …: the ladder goes by good strokes in a row, this list by faults, and a stroke can be good with a fault.",
			Claims: "why the two name different drills", When: "the fault listed first names drills, and the ladder's next rung is none of them, or all are passed"},
		{ID: "many-tests", On: OnTest, Says: "…: the interval leaves 0 out, but … things were tested.",
			Claims: "why no difference, or no trend, is called one", When: "the interval leaves 0 out and the test holds alone, but not after the correction for all tests"},
		{ID: "test-fails", On: OnTest, Says: "…: the interval leaves 0 out, but its test does not hold.",
			Claims: "the same", When: "the interval leaves 0 out, and the test does not hold alone"},
		{ID: "interval-holds", On: OnTest, Says: "…: its test holds, but the interval does not leave 0 out.",
			Claims: "the same", When: "the test holds after the correction, and the interval holds 0 (of a ratio: 1)"},
	}
}

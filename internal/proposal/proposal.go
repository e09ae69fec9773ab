// Package proposal proposes turns and strokes from the contacts that were heard in a
// clip: the bursts of play and which pause parts them, and the strokes of a turn's
// player ([Strokes]).
//
// Times are seconds on clip time. The package knows no files and no frames; what it
// finds is entered only where a coach says so.
//
// How turns are found. Contacts that belong to play and follow each other closely are one
// exchange ([Exchanges]). Exchanges whose pauses are no longer than one limit are
// one burst ([Find]). The limit is learned from the clip's own pauses ([Learn]):
// inside a turn they last as long as it takes to bring the next ball, between turns
// as long as it takes the players to change.
package proposal

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/contact"
)

// Burst is a stretch of play: it begins a little before its first contact and ends
// a little after its last.
type Burst struct {
	From     float64
	To       float64
	First    float64 // its first contact
	Last     float64 // its last contact
	Contacts int     // of play
}

// Corrections are what a coach has said of single places, at moments between two
// contacts: there play goes on although it pauses, or ends although it does not.
// Where a moment of each lies between the same two contacts, play ends.
type Corrections struct {
	Joined []float64
	Parted []float64
}

// Where a burst begins before its first contact and ends after its last, seconds: a
// player takes about so long to toss and strike a ball, and so long passes until the
// ball of the last stroke is seen to be over. Our choice, without a source; a turn
// that is set by hand differs by as much from coach to coach.
const (
	lead = .6
	tail = .6
)

// Exchange is one ball in play, or balls fed one after the other, without a pause.
type Exchange struct {
	First, Last float64 // contacts
	Contacts    int
}

// Times and counts of play.
const (
	// Dead is after how long without a contact the ball is over, seconds. From racket
	// to bounce to racket it takes 0.1 to 0.4 s each as a rule, balls that are fed
	// follow each other within 1.2 s, and a high ball stays longer in the air.
	Dead = 1.5
	// sure is the least confidence of a contact of play: below it the detector does
	// not say what it was.
	sure = .5
	// fewest is how many contacts make an exchange: a ball that is fed, bounces and is
	// struck. What is less is noise, whatever it was taken for.
	fewest = 3
)

// Exchanges returns the exchanges among contacts in order of time. A sound that
// fits no play, or of which the detector is not sure, neither begins an exchange nor
// keeps one going.
func Exchanges(contacts []contact.Contact) []Exchange {
	return exchanges(contacts, nil)
}

// exchanges also cuts an exchange at each of the moments, in order of time; the parts
// may be shorter than any that is found by itself.
func exchanges(contacts []contact.Contact, parted []float64) (out []Exchange) {
	var run []Exchange // the parts of one exchange
	count, rackets, last := 0, 0, 0.
	end := func() {
		if count >= fewest && rackets > 0 {
			out = append(out, run...)
		}
		run, count, rackets = run[:0], 0, 0
	}
	for _, c := range contacts {
		if c.Kind == contact.Other || c.Confidence < sure {
			continue
		}
		if count > 0 && c.Seconds-last > Dead {
			end()
		}
		if count == 0 || between(parted, last, c.Seconds) {
			run = append(run, Exchange{First: c.Seconds})
		}
		part := &run[len(run)-1]
		part.Last = c.Seconds
		part.Contacts++
		if c.Kind == contact.Racket {
			rackets++
		}
		count, last = count+1, c.Seconds
	}
	end()
	return out
}

// Find returns the bursts among contacts in order of time, parted by pauses longer
// than pause, seconds. They never overlap, and a longer pause never gives more.
func Find(contacts []contact.Contact, pause float64, said Corrections) []Burst {
	said.Joined, said.Parted = sorted(said.Joined), sorted(said.Parted)
	var out []Burst
	for _, e := range exchanges(contacts, said.Parted) {
		if n := len(out); n > 0 {
			b := &out[n-1]
			goesOn := e.First-b.Last <= pause || between(said.Joined, b.Last, e.First)
			if goesOn && !between(said.Parted, b.Last, e.First) {
				b.Last, b.Contacts = e.Last, b.Contacts+e.Contacts
				continue
			}
		}
		out = append(out, Burst{First: e.First, Last: e.Last, Contacts: e.Contacts})
	}
	for i := range out {
		b := &out[i]
		b.From, b.To = b.First-lead, b.Last+tail
	}
	for i := 1; i < len(out); i++ { // near each other where a coach has parted them
		a, b := &out[i-1], &out[i]
		if a.To > b.From {
			at := (a.Last + b.First) / 2
			if j, _ := slices.BinarySearch(said.Parted, a.Last); j < len(said.Parted) && said.Parted[j] < b.First {
				at = said.Parted[j]
			}
			a.To, b.From = min(a.To, at), max(b.From, at)
		}
	}
	return out
}

func sorted(moments []float64) []float64 { return slices.Sorted(slices.Values(moments)) }

// between reports whether one of the moments, in order of time, lies after from and
// not after to.
func between(moments []float64, from, to float64) bool {
	i, found := slices.BinarySearch(moments, from)
	if found {
		i++
	}
	return i < len(moments) && moments[i] <= to
}

// Span returns the contacts from one time to before another, of contacts in order of
// time.
func Span(contacts []contact.Contact, from, to float64) []contact.Contact {
	at := func(t float64) int {
		i, _ := slices.BinarySearchFunc(contacts, t, func(c contact.Contact, t float64) int { return cmp.Compare(c.Seconds, t) })
		return i
	}
	a := at(from)
	return contacts[a:max(a, at(math.Max(from, to)))]
}

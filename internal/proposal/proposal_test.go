package proposal_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/contact"
	"strokeledger/internal/proposal"
)

// rally is contacts 0.4 s apart, a racket first and then every second one.
func rally(from float64, contacts int) (out []contact.Contact) {
	for i := range contacts {
		kind := contact.Bounce
		if i%2 == 0 {
			kind = contact.Racket
		}
		out = append(out, contact.Contact{Seconds: from + .4*float64(i), Kind: kind, Confidence: .9})
	}
	return out
}

func find(contacts []contact.Contact, pause float64, said proposal.Corrections) (counts []int) {
	slices.SortFunc(contacts, func(a, b contact.Contact) int { return int(1e6 * (a.Seconds - b.Seconds)) })
	for _, b := range proposal.Find(contacts, pause, said) {
		counts = append(counts, b.Contacts)
	}
	return counts
}

func TestBursts(t *testing.T) {
	play := slices.Concat(rally(1, 6), rally(6, 8), rally(20, 5)) // ends at 3, 8.8, 21.6
	none := proposal.Corrections{}
	require.Equal(t, []int{14, 5}, find(play, 5, none))
	require.Equal(t, []int{6, 8, 5}, find(play, 2, none))
	require.Equal(t, []int{19}, find(play, 12, none))
	require.Equal(t, []int{6, 13}, find(play, 5, proposal.Corrections{Joined: []float64{15}, Parted: []float64{4}}))
	require.Equal(t, []int{6, 4, 4, 5}, find(play, 2, proposal.Corrections{Parted: []float64{7.4}}), "in the midst of a rally")
	require.Equal(t, []int{6, 8, 5}, find(play, 2, proposal.Corrections{Joined: []float64{15}, Parted: []float64{16}}), "the last word is to part")

	b := proposal.Find(play, 5, none)
	require.InDelta(t, .4, b[0].From, 1e-9)
	require.InDelta(t, 9.4, b[0].To, 1e-9)
	b = proposal.Find(play, 2, proposal.Corrections{Parted: []float64{7.45}})
	require.Equal(t, []float64{7.45, 7.45}, []float64{b[1].To, b[2].From}, "both end where they were parted")
}

func TestNoiseIsNoPlay(t *testing.T) {
	none := proposal.Corrections{}
	one := func(at float64, kind contact.Kind, confidence float64) []contact.Contact {
		return []contact.Contact{{Seconds: at, Kind: kind, Confidence: confidence}}
	}
	play := slices.Concat(rally(1, 6), rally(20, 5))
	var claps, weak, bounces []contact.Contact
	for i := range 20 {
		claps = append(claps, one(3.2+.8*float64(i), contact.Other, .4)...)
		weak = append(weak, one(3.2+.8*float64(i), contact.Racket, .4)...)
	}
	for i := range 8 {
		bounces = append(bounces, one(6+.4*float64(i), contact.Bounce, .9)...)
	}
	require.Equal(t, []int{6, 5}, find(slices.Concat(play, claps), 5, none), "what fits no play")
	require.Equal(t, []int{6, 5}, find(slices.Concat(play, weak), 5, none), "what is not sure")
	require.Equal(t, []int{6, 5}, find(slices.Concat(play, one(7, contact.Racket, .9), one(12, contact.Bounce, .9)), 5, none), "single sounds")
	require.Equal(t, []int{6, 5}, find(slices.Concat(play, bounces), 5, none), "a ball patted on the table")
	require.Empty(t, find(claps, 5, none))
	require.Empty(t, find(nil, 5, none))
}

func TestLearn(t *testing.T) {
	sequence := func(pauses ...float64) proposal.Pause {
		at := 0.
		all := []proposal.Exchange{{First: 0, Last: 2}}
		for _, p := range pauses {
			at += p + 2
			all = append(all, proposal.Exchange{First: at, Last: at + 2})
		}
		return proposal.Learn(all)
	}
	require.Equal(t, proposal.Pause{Seconds: proposal.Usual}, proposal.Learn(nil))
	require.Equal(t, proposal.Pause{Seconds: proposal.Usual}, sequence(2, 3), "too short to learn from")

	p := sequence(2, 3, 2.5, 18, 2, 4, 3, 25, 2, 3, 20, 3)
	require.True(t, p.Learned && p.Sure)
	require.True(t, p.Seconds > 4 && p.Seconds < 18, "%v", p)

	p = sequence(2, 3, 5, 4, 7, 3, 9, 6, 12, 14, 10, 18, 5, 8)
	require.True(t, p.Learned)
	require.False(t, p.Sure, "one kind runs into the other")
}

// drawn is exchanges with pauses between them and noise among them, in order of time.
func drawn(t *rapid.T) (all []contact.Contact) {
	at := 0.
	for range rapid.IntRange(0, 20).Draw(t, "exchanges") {
		at += rapid.Float64Range(.5, 50).Draw(t, "pause")
		for i := range rapid.IntRange(1, 12).Draw(t, "contacts") {
			at += rapid.Float64Range(.05, 1).Draw(t, "after")
			c := contact.Contact{Seconds: at, Kind: contact.Racket, Confidence: .9}
			if i%2 == 1 {
				c.Kind = contact.Bounce
			}
			if rapid.IntRange(0, 5).Draw(t, "noise") == 0 {
				c.Kind = rapid.SampledFrom([]contact.Kind{contact.Racket, contact.Bounce, contact.Other}).Draw(t, "kind")
				c.Confidence = rapid.Float64Range(0, 1).Draw(t, "confidence")
			}
			all = append(all, c)
		}
	}
	return all
}

func TestBurstsProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := drawn(t)
		moments := func(name string) []float64 { return rapid.SliceOfN(rapid.Float64Range(0, 300), 0, 5).Draw(t, name) }
		said := proposal.Corrections{Joined: moments("joined"), Parted: moments("parted")}
		pause := rapid.Float64Range(proposal.Shortest, proposal.Longest).Draw(t, "pause")
		bursts := proposal.Find(all, pause, said)
		last, contacts := -1e9, 0
		for _, b := range bursts {
			require.LessOrEqual(t, last, b.From, "in order, without overlap")
			require.True(t, b.From <= b.First && b.First <= b.Last && b.Last <= b.To)
			require.Positive(t, b.Contacts)
			last, contacts = b.To, contacts+b.Contacts
		}
		longer := proposal.Find(all, pause+rapid.Float64Range(0, 60).Draw(t, "longer by"), said)
		require.LessOrEqual(t, len(longer), len(bursts), "a longer pause never gives more")
		sum := 0
		for _, b := range longer {
			sum += b.Contacts
		}
		require.Equal(t, contacts, sum, "no pause loses a contact")

		if len(bursts) > 1 {
			i := rapid.IntRange(0, len(bursts)-2).Draw(t, "join")
			a, b := bursts[i], bursts[i+1]
			parted := slices.DeleteFunc(slices.Clone(said.Parted), func(m float64) bool { return a.Last < m && m <= b.First })
			joined := proposal.Find(all, pause, proposal.Corrections{Joined: append(slices.Clone(said.Joined), (a.Last+b.First)/2), Parted: parted})
			require.Len(t, joined, len(bursts)-1)
			require.Equal(t, a.Contacts+b.Contacts, joined[i].Contacts, "a join keeps contacts")

			at := rapid.Float64Range(a.First, a.Last).Draw(t, "split")
			split := proposal.Find(all, pause, proposal.Corrections{Joined: said.Joined, Parted: append(slices.Clone(said.Parted), at)})
			sum := 0
			for _, o := range split {
				require.False(t, o.First < at && at < o.Last, "a split parts")
				sum += o.Contacts
			}
			require.Equal(t, contacts, sum, "a split keeps contacts")
		}
		p := proposal.Learn(proposal.Exchanges(all))
		require.True(t, p.Seconds >= proposal.Shortest && p.Seconds <= proposal.Longest, "%v", p)
	})
}

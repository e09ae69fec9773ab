package pairing

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/store"
)

// Found are two clips that show the same minutes, as far as their sound tells.
type Found struct {
	ClipID club.ID       `json:"clip_id"`
	Name   string        `json:"name"`
	OnID   club.ID       `json:"on_id"` // would keep the entries of both
	OnName string        `json:"on_name"`
	Fit    alignment.Fit `json:"-"`
	Say    string        `json:"say"`
	// What would become of the entries, as a sentence.
	Entries string `json:"entries"`
}

// Films lines up two files, clips or sounds alone; no library is needed. The error is a
// *club.Problem where they share no minutes.
func Films(ctx context.Context, first, second string, progress func(done, all float64)) (Found, error) {
	var sounds [2]alignment.Sound
	for i, path := range []string{first, second} {
		contacts, peaks, err := listening.Hear(ctx, path, progress)
		if err != nil {
			return Found{}, err
		}
		sounds[i] = soundOf(contacts, peaks)
	}
	f, err := alignment.Find(sounds[0], sounds[1])
	on, name := filepath.Base(first), filepath.Base(second)
	return Found{Name: name, OnName: on, Fit: f, Say: words(on, name, f)}, err
}

func soundOf(contacts []contact.Contact, peaks []float32) alignment.Sound {
	s := alignment.Sound{Peaks: peaks}
	for _, c := range contacts {
		s.Moments = append(s.Moments, c.Seconds)
		s.Play = append(s.Play, c.Kind != contact.Other)
	}
	return s
}

// sound listens to a clip of the library to its end, unless that was done before.
func (x *Pairings) sound(ctx context.Context, row club.Clip, progress func(done, all float64)) (s alignment.Sound, err error) {
	if err := x.listening.ListenToEnd(ctx, row, progress); err != nil {
		return s, err
	}
	return x.heard(ctx, row)
}

// heard is the sound of a clip that was listened to.
func (x *Pairings) heard(ctx context.Context, row club.Clip) (s alignment.Sound, err error) {
	contacts, _, err := x.listening.Contacts(ctx, row)
	if err != nil {
		return s, err
	}
	peaks, err := x.listening.Envelope(ctx, row.ID, 0, row.Seconds, int(math.Ceil(row.Seconds*alignment.PeaksPerSecond)))
	return soundOf(contacts, peaks), err
}

// Find lines up two clips of the library, listening to both first where nobody has yet.
// Nothing is kept: see Keep. The error is a *club.Problem where they show no minutes
// together.
func (x *Pairings) Find(ctx context.Context, a, b club.ID, progress func(done, all float64)) (Found, error) {
	one, err := x.lib.Clip(ctx, a)
	if err != nil {
		return Found{}, err
	}
	other, err := x.lib.Clip(ctx, b)
	if err != nil {
		return Found{}, err
	}
	if one.SessionID != other.SessionID || one.ID == other.ID {
		return Found{}, &club.Problem{Say: fmt.Sprintf("%s and %s are not two clips of one session: only these are lined up.", club.Isolated(one.Name), club.Isolated(other.Name))}
	}
	first, err := x.sound(ctx, one, progress)
	if err != nil {
		return Found{}, err
	}
	second, err := x.sound(ctx, other, progress)
	if err != nil {
		return Found{}, err
	}
	f, err := alignment.Find(first, second)
	if err != nil {
		return Found{}, err
	}
	return x.found(ctx, one, other, f)
}

// found is what is told of a fit, with the clip of more turns, or else the longer one, as
// the one that keeps the entries.
func (x *Pairings) found(ctx context.Context, on, clip club.Clip, f alignment.Fit) (Found, error) {
	a, err := x.lib.OfClip(ctx, on.ID)
	if err != nil {
		return Found{}, err
	}
	b, err := x.lib.OfClip(ctx, clip.ID)
	if err != nil {
		return Found{}, err
	}
	if len(b.Turns) > len(a.Turns) || len(b.Turns) == len(a.Turns) && clip.Seconds > on.Seconds {
		on, clip, f = clip, on, f.Turned()
	}
	out := Found{ClipID: clip.ID, Name: clip.Name, OnID: on.ID, OnName: on.Name, Fit: f, Say: words(on.Name, clip.Name, f)}
	_, out.Entries, err = x.plan(ctx, out)
	return out, err
}

// plan is what keeping it changes, and the sentence about it. The clips that are lined up
// with either are lined up with the one that keeps the entries.
func (x *Pairings) plan(ctx context.Context, f Found) (edits []store.Edit, say string, err error) {
	on, fit := f.OnID, f.Fit // from the clip to on
	if p, paired, err := x.pairing(ctx, f.OnID); err != nil {
		return nil, "", err
	} else if paired {
		on, fit = p.OnID, p.Fit().Then(fit)
	}
	led, err := x.lib.OfClip(ctx, f.ClipID)
	if err != nil {
		return nil, "", err
	}
	all := led.Pairings
	to := map[club.ID]alignment.Fit{}
	join := func(id club.ID, f alignment.Fit) {
		if id != on {
			to[id] = f
		}
	}
	root := f.ClipID
	if i := slices.IndexFunc(all, func(p alignment.Pairing) bool { return p.ClipID == f.ClipID }); i >= 0 {
		root = all[i].OnID
		fit = fit.Then(all[i].Fit().Turned())
	}
	join(root, fit)
	for _, p := range all {
		if root != on {
			join(p.ClipID, fit.Then(p.Fit()))
		}
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return nil, "", err
	}
	if len(to) == 0 {
		return nil, "", &club.Problem{Say: fmt.Sprintf("%s and %s are lined up already: nothing was changed.", club.Isolated(f.OnName), club.Isolated(f.Name))}
	}
	main, err := x.lib.OfClip(ctx, on)
	if err != nil {
		return nil, "", err
	}
	p := rowOf(root, on, coach, fit)
	m, err := x.mapping(ctx, p)
	if err != nil {
		return nil, "", err
	}
	side, err := x.lib.OfClip(ctx, root)
	if err != nil {
		return nil, "", err
	}
	j := joinEntries(main, side, m, on, x.lib.NewID)
	for id, f := range to {
		edits = append(edits, store.Put(rowOf(id, on, coach, f)))
	}
	return append(edits, j.edits...), j.say(f.OnName), nil
}

func (j joined) say(on string) string {
	count := func(n int, word string) string {
		if n == 1 {
			return "1 " + word
		}
		return fmt.Sprintf("%d %ss", n, word)
	}
	say := fmt.Sprintf("Entries are kept on %s from now on.", club.Isolated(on))
	if j.turns+j.strokes+j.marks+j.same > 0 {
		say = fmt.Sprintf("Entries are kept on %s from now on: %s, %s and %s move there.", club.Isolated(on), count(j.turns, "turn"), count(j.strokes, "stroke"), count(j.marks, "mark"))
	}
	if j.same > 0 {
		say += fmt.Sprintf(" %s that both have become one each.", count(j.same, "stroke"))
	}
	if j.stay == 1 {
		say += " 1 turn stays where it is, since the other clip does not show all of it, or has a turn of somebody else there."
	} else if j.stay > 1 {
		say += fmt.Sprintf(" %d turns stay where they are, since the other clip does not show all of them, or has turns of somebody else there.", j.stay)
	}
	return say
}

// Keep lines the two up, and puts their entries together, as one step of undo.
func (x *Pairings) Keep(ctx context.Context, f Found) (Group, error) {
	edits, _, err := x.plan(ctx, f)
	if err != nil {
		return Group{}, err
	}
	if _, err := x.lib.Do(ctx, fmt.Sprintf("line up %s with %s", club.Isolated(f.Name), club.Isolated(f.OnName)), edits...); err != nil {
		return Group{}, err
	}
	return x.Of(ctx, f.ClipID)
}

// Recognise looks for clips of a session that show the same minutes, each with each but
// those that are lined up already. Clips without sound are passed over. tell is called with
// what is done of all, pairs of clips.
func (x *Pairings) Recognise(ctx context.Context, session club.ID, tell func(done, all int)) ([]Found, error) {
	clips, err := x.ofSession(ctx, session)
	if err != nil {
		return nil, err
	}
	var heard []club.Clip
	all := len(clips)*(len(clips)-1)/2 + len(clips)
	for i, c := range clips {
		err := x.listening.ListenToEnd(ctx, c, func(float64, float64) {})
		var problem *club.Problem
		switch {
		case err == nil:
			heard = append(heard, c)
		case ctx.Err() != nil || !errors.As(err, &problem):
			return nil, err
		}
		tell(i+1, all)
	}
	done := all - len(heard)*(len(heard)-1)/2
	return x.compare(ctx, heard, func() { done++; tell(done, all) })
}

// mostHeard is for how many clips of one session Proposed compares each with each, so that it
// takes some seconds of a processor at most.
const mostHeard = 12

// Proposed is Recognise for the clips that somebody has listened to already: nothing is
// decoded, and no two clips are compared twice while the library is open. Of a session with
// many of them nothing is proposed.
func (x *Pairings) Proposed(ctx context.Context, session club.ID) ([]Found, error) {
	clips, err := x.ofSession(ctx, session)
	if err != nil {
		return nil, err
	}
	var heard []club.Clip
	for _, c := range clips {
		p, err := x.listening.Progress(ctx, c.ID)
		if err != nil {
			return nil, err
		}
		if p.State == listening.Finished {
			heard = append(heard, c)
		}
	}
	if len(heard) > mostHeard {
		return nil, nil
	}
	return x.compare(ctx, heard, func() {})
}

func (x *Pairings) ofSession(ctx context.Context, session club.ID) ([]club.Clip, error) {
	clips, err := x.lib.Clips(ctx)
	return slices.DeleteFunc(clips, func(c club.Clip) bool { return c.SessionID != session }), err
}

// outcome is what comparing two clips came to.
type outcome struct {
	fit  alignment.Fit
	same bool // they show the same minutes
}

// compare compares clips that were listened to, each with each but those that are lined up
// already.
func (x *Pairings) compare(ctx context.Context, clips []club.Clip, tell func()) (list []Found, err error) {
	on := map[club.ID]club.ID{} // the one that keeps the entries of each
	for _, c := range clips {
		on[c.ID] = c.ID
		if p, paired, err := x.pairing(ctx, c.ID); err != nil {
			return nil, err
		} else if paired {
			on[c.ID] = p.OnID
		}
	}
	sounds := map[club.ID]alignment.Sound{}
	for i, a := range clips {
		for _, b := range clips[i+1:] {
			tell()
			if on[a.ID] == on[b.ID] {
				continue
			}
			o, err := x.outcome(ctx, a, b, sounds)
			if err != nil {
				return nil, err
			}
			if !o.same {
				continue
			}
			one, err := x.found(ctx, a, b, o.fit)
			if err != nil {
				return nil, err
			}
			// A third camera is told of once, by the clip that keeps the entries.
			from, to := on[one.ClipID], on[one.OnID]
			for id, o := range on {
				if o == from {
					on[id] = to
				}
			}
			list = append(list, one)
		}
	}
	return list, nil
}

func (x *Pairings) outcome(ctx context.Context, a, b club.Clip, sounds map[club.ID]alignment.Sound) (o outcome, err error) {
	key := [2]string{a.Fingerprint, b.Fingerprint}
	x.mu.Lock()
	o, known := x.compared[key]
	x.mu.Unlock()
	if known {
		return o, nil
	}
	for _, c := range []club.Clip{a, b} {
		if _, ok := sounds[c.ID]; !ok {
			if sounds[c.ID], err = x.heard(ctx, c); err != nil {
				return o, err
			}
		}
	}
	if err := ctx.Err(); err != nil {
		return o, err
	}
	if o.fit, err = alignment.Find(sounds[a.ID], sounds[b.ID]); err == nil {
		o.same = true
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	x.compared[key] = o
	return o, nil
}

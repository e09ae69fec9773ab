package heard

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/seen"
	"strokeledger/internal/joined"
	"strokeledger/internal/measure"
	"strokeledger/internal/proposal"
	"strokeledger/internal/swing"
)

// looked is a turn that was looked at as well as listened to.
type looked struct {
	arms    *swing.Arms
	strokes []joined.Stroke
	player  contact.Who // who plays most of them, as the sound has it
	turned  bool        // rackets were taken for bounces
}

// Pictures are those to be looked at in a turn: one every [swing.Pace], as far as a sound
// comes near enough for them to tell of it, in order of frame.
func (v *Clip) Pictures(t club.Turn) (frames []int) {
	if t.First < 0 || t.Last >= v.Index.Len() {
		return nil // the scan has not come there yet
	}
	from, to := v.Index.Seconds(t.First), v.Index.Seconds(t.Last)
	const near = swing.Reach + 2*swing.Pace
	k := 0
	for i := 0; from+float64(i)*swing.Pace <= to; i++ {
		at := from + float64(i)*swing.Pace
		for k < len(v.sounds) && v.sounds[k].Seconds < at-near {
			k++
		}
		if k < len(v.sounds) && v.sounds[k].Seconds <= at+near {
			if n := min(max(v.FrameNear(at), t.First), t.Last); len(frames) == 0 || n > frames[len(frames)-1] {
				frames = append(frames, n)
			}
		}
	}
	return frames
}

// look reads what was seen in the clip, to be joined with what was heard of the turns that
// were looked at from end to end once somebody asks.
func (x *Reader) look(ctx context.Context, v *Clip, players []club.Player) error {
	if !slices.ContainsFunc(v.Ledger.Turns, func(t club.Turn) bool { return !t.Settled }) {
		return nil // nothing is proposed
	}
	by, err := x.footage.Chosen(ctx, v.Row)
	if err != nil {
		return err
	}
	found, err := seen.Of(ctx, x.lib.Library, v.Row, by)
	if err != nil || found.Empty() {
		return err
	}
	v.looked = sync.OnceValue(func() map[club.ID]looked { return x.joined.of(v, &found, players) })
	return nil
}

// kept is what was joined last, and what it was made from: a coach marks stroke after
// stroke in one clip, of which ten minutes take half a second. It is safe for concurrent use.
type kept struct {
	mu     sync.Mutex
	from   string
	looked map[club.ID]looked
}

func (k *kept) of(v *Clip, found *seen.Clip, players []club.Player) map[club.ID]looked {
	turns := v.toJoin(found, players)
	from := fmt.Sprint(v.Row.ID, v.Row.Fingerprint, found.Sum(), v.Certain, len(v.Contacts), len(v.sounds), v.known(), turns)
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.from != from {
		k.from, k.looked = from, v.join(found, turns)
	}
	return k.looked
}

// toJoin is a turn that was looked at from end to end.
type toJoin struct {
	id          club.ID
	first, last int
	racket      measure.Side
	player      contact.Who
	sure        bool
}

func (v *Clip) toJoin(found *seen.Clip, players []club.Player) (turns []toJoin) {
	hands := map[club.ID]measure.Side{}
	for _, p := range players {
		if p.Hand == club.LeftHand {
			hands[p.ID] = measure.Left
		}
	}
	for _, t := range v.Ledger.Turns {
		frames := v.Pictures(t)
		if len(frames) == 0 || v.Certain < v.End(t) || !found.HasAll(frames) {
			continue
		}
		player, _ := v.Player(t)
		turns = append(turns, toJoin{t.ID, t.First, t.Last, hands[t.PlayerID], player, found.Ruler != "" && found.First <= t.First && t.Last <= found.Last})
	}
	return turns
}

func (v *Clip) join(found *seen.Clip, of []toJoin) map[club.ID]looked {
	turns, arms := make([]joined.Turn, len(of)), make([]*swing.Arms, len(of))
	for i, t := range of {
		arms[i] = swing.Of(found.Bodies(v.Index, t.first, t.last), t.racket)
		turns[i] = joined.Turn{From: v.Index.Seconds(t.first), To: v.End(club.Turn{Last: t.last}), Player: t.player, Swing: arms[i].Contact, Sure: t.sure}
	}
	out := map[club.ID]looked{}
	for i, strokes := range joined.Strokes(turns, v.sounds, v.Contacts) {
		l := looked{arms: arms[i], strokes: strokes}
		l.player, l.turned = v.played(strokes, of[i].player)
		out[of[i].id] = l
	}
	return out
}

// played is who, as the sound has it, plays most of the strokes that were heard and seen,
// and whether most of them were taken for bounces.
func (v *Clip) played(strokes []joined.Stroke, usual contact.Who) (player contact.Who, turned bool) {
	rackets, bounces := map[contact.Who]int{}, map[contact.Who]int{}
	for _, s := range strokes {
		if s.Chance < proposal.UsualConfidence {
			continue
		}
		for _, c := range proposal.Span(v.Contacts, s.Seconds, math.Nextafter(s.Seconds, math.Inf(1))) {
			switch c.Kind {
			case contact.Racket:
				rackets[c.Who]++
			case contact.Bounce:
				bounces[c.TurnedWho]++
			}
		}
	}
	votes := rackets
	if bounces[contact.Near]+bounces[contact.Far] > rackets[contact.Near]+rackets[contact.Far] {
		votes, turned = bounces, true
	}
	switch near, far := votes[contact.Near], votes[contact.Far]; {
	case near > far:
		return contact.Near, turned
	case far > near:
		return contact.Far, turned
	}
	return usual, turned
}

// struck puts what was heard and seen of a turn into a play.
func (l *looked) struck(p *proposal.Play) {
	p.Player = l.player
	if l.turned {
		p.Contacts = contact.Turn(p.Contacts)
	}
	p.Struck = []contact.Contact{}
	for _, s := range l.strokes {
		p.Struck = append(p.Struck, contact.Contact{Seconds: s.Seconds, Kind: contact.Racket, Who: p.Player, Confidence: s.Chance})
	}
}

// surely is the chance of a side from which on it is proposed: below it nobody can tell.
const surely = .9

// side is the side that the joints show at a moment of a turn, with its chance; empty
// where they do not tell.
func (l *looked) side(at float64) (club.Side, float64) {
	side, chance, known := l.arms.Side(at)
	if !known || chance < surely {
		return "", 0
	}
	return side, chance
}

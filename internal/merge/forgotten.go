package merge

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
)

// forgotten asks of each player of theirs whom our library has forgotten. Where the
// player stays out, so does everything that shows the player: turns with the strokes,
// marks and looks in them, rulings, and the clips on which nobody else plays.
func (b *bringing) forgotten() error {
	for _, r := range b.theirs["player"] {
		if r.Gone || !b.Forgotten(b.keep("player", r.ID)) && !b.Forgotten(r.ID) {
			continue
		}
		if b.ask(Doubt{Key: "forgotten " + string(r.ID), Kind: "forgotten", Chosen: "out",
			Say: fmt.Sprintf("Your library has forgotten a player whom the file brings again: %s.", b.say.row("player", r)),
			Choices: []Choice{
				{"out", "Leave the player out, with turns, strokes, marks and films that show nobody else."},
				{"in", "Take the player in again."},
			}}) != "in" {
			b.refused[r.ID] = true
		}
	}
	for _, r := range b.theirs["player"] {
		if r.Gone && b.Forgotten(r.ID) { // what is left of a removed one tells a name too
			b.refused[r.ID] = true
		}
	}
	if len(b.refused) == 0 {
		return nil
	}
	return b.leaveOut()
}

// leaveOut takes what shows the refused players out of what theirs brings.
func (b *bringing) leaveOut() error {
	b.theirs = maps.Clone(b.theirs)
	stretches, others := map[club.ID][]club.Turn{}, map[club.ID][]club.Turn{} // by clip; of others only those that are there
	var kept []Row
	for _, r := range b.theirs["turn"] {
		t, err := read[club.Turn](r)
		if err != nil {
			return err
		}
		if !b.refused[t.PlayerID] {
			if !r.Gone {
				others[t.ClipID] = append(others[t.ClipID], t)
			}
			kept = append(kept, r)
			continue
		}
		stretches[t.ClipID] = append(stretches[t.ClipID], t)
	}
	b.theirs["turn"] = kept
	alone := func(clip club.ID) bool {
		return len(stretches[clip]) > 0 && len(others[clip]) == 0 && !b.have("clip", clip)
	}
	// What lies in a turn of somebody else belongs to that one, though a turn that was removed
	// once said otherwise.
	shows := func(clip club.ID, first, last int) bool {
		within := func(t club.Turn) bool { return t.First <= first && last <= t.Last }
		return alone(clip) || slices.ContainsFunc(stretches[clip], within) && !slices.ContainsFunc(others[clip], within)
	}
	strokes := map[club.ID]bool{} // that are left out
	for _, r := range b.theirs["stroke"] {
		s, err := read[club.Stroke](r)
		if err != nil {
			return err
		}
		strokes[r.ID] = shows(s.ClipID, s.Frame, s.Frame)
	}
	marks := map[club.ID]bool{}
	for _, r := range b.theirs["mark"] {
		m, err := read[club.Mark](r)
		if err != nil {
			return err
		}
		marks[r.ID] = strokes[m.StrokeID] || shows(m.ClipID, m.Frame, m.Frame)
	}
	ofStroke := func(r Row) (bool, error) {
		var on struct {
			Stroke club.ID `json:"stroke_id"`
			Clip   club.ID `json:"clip_id"`
		}
		err := json.Unmarshal(r.Image, &on)
		return strokes[on.Stroke] || alone(on.Clip), err
	}
	ofClip := func(r Row) (bool, error) { return alone(r.ID), nil }
	out := map[string]func(r Row) (bool, error){
		"player":     func(r Row) (bool, error) { return b.refused[r.ID], nil },
		"clip":       ofClip,
		"ruler":      ofClip,
		"adjustment": ofClip,
		"pairing": func(r Row) (bool, error) {
			p, err := read[alignment.Pairing](r)
			return alone(p.ClipID) || alone(p.OnID), err
		},
		"stroke":    func(r Row) (bool, error) { return strokes[r.ID], nil },
		"mark":      func(r Row) (bool, error) { return marks[r.ID], nil },
		"judgement": ofStroke,
		"decision":  ofStroke,
		"drawing": func(r Row) (bool, error) {
			d, err := read[picture.Drawing](r)
			return marks[d.MarkID] || shows(d.ClipID, d.Frame, d.Frame), err
		},
		"model": func(r Row) (bool, error) {
			s, err := read[standard.Model](r)
			return shows(s.ClipID, s.Frame, s.Frame), err
		},
		"pair": func(r Row) (bool, error) {
			p, err := read[picture.Pair](r)
			return shows(p.ClipID, p.Frame, p.Frame) || shows(p.OtherID, p.OtherFrame, p.OtherFrame), err
		},
		"look": func(r Row) (bool, error) { s, err := read[club.Look](r); return shows(s.ClipID, s.First, s.Last), err },
		"ruling": func(r Row) (bool, error) {
			s, err := read[club.Ruling](r)
			return b.refused[s.PlayerID], err
		},
	}
	if err := b.leaveTurnsOut(stretches); err != nil {
		return err
	}
	for table, leave := range out {
		var kept []Row
		for _, r := range b.theirs[table] {
			goes, err := leave(r)
			if err != nil {
				return err
			}
			if !goes {
				kept = append(kept, r)
			}
		}
		b.theirs[table] = kept
	}
	return nil
}

// leaveTurnsOut takes the turns that are left out from the second looks that name them.
func (b *bringing) leaveTurnsOut(left map[club.ID][]club.Turn) error {
	out := map[club.ID]bool{}
	for _, on := range left {
		for _, t := range on {
			out[t.ID] = true
		}
	}
	var looks []Row
	for _, r := range b.theirs["blind_look"] {
		l, err := read[standard.BlindLook](r)
		if err != nil {
			return err
		}
		l.Turns = slices.DeleteFunc(l.Turns, func(t club.ID) bool { return out[t] })
		if len(l.Turns) == 0 {
			continue
		}
		if r.Image, err = json.Marshal(l); err != nil {
			return err
		}
		looks = append(looks, r)
	}
	b.theirs["blind_look"] = looks
	return nil
}

// have reports whether our library has a row.
func (b *bringing) have(table string, id club.ID) bool {
	return slices.ContainsFunc(b.ours[table], func(r Row) bool { return !r.Gone && r.ID == b.keep(table, id) })
}

// SettingForgotten is the setting of a library that holds its list of the Forgotten.
const SettingForgotten = "forgotten players"

// Forgotten is the list of the players whom a library has forgotten, as it is kept: a
// salt and a salted hash of each player's ID, from which nobody can tell who it was.
type Forgotten string

// Add is the list with one more; the salt is used where there is none yet.
func (f Forgotten) Add(player club.ID, salt []byte) Forgotten {
	if f == "" {
		f = Forgotten(hex.EncodeToString(salt))
	}
	if f.Has(player) {
		return f
	}
	return f + " " + Forgotten(f.hash(player))
}

// Has reports whether a player is on the list.
func (f Forgotten) Has(player club.ID) bool {
	if f == "" {
		return false
	}
	return slices.Contains(strings.Fields(string(f))[1:], f.hash(player))
}

func (f Forgotten) hash(player club.ID) string {
	salt, _, _ := strings.Cut(string(f), " ")
	sum := sha256.Sum256([]byte(salt + " " + string(player)))
	return hex.EncodeToString(sum[:])
}

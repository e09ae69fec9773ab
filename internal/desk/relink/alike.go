package relink

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/store"
)

// Alike is a file that is not the film that was marked, byte for byte, but has
// the same length and sound: most likely that film, encoded anew.
type Alike struct {
	Path  string  `json:"path"`
	Name  string  `json:"name"`
	Moved int     `json:"moved"` // turns, strokes and marks that would get another frame number
	Most  float64 `json:"most"`  // seconds by which an entry would be off at most
	Say   string  `json:"say"`   // the whole of it in a sentence or two
}

// likeness is what the two films have to do with each other.
type likeness struct {
	Alike
	clip  club.Clip // the row as it would be
	edits []store.Edit
	index *clip.Index
	sound []byte
}

// The limits of likeness, chosen on re-encoded copies of the test clips: encoders
// pad the sound by up to a tenth of a second, and round frame times.
const (
	lengthApart = 0.25 // seconds
	soundAlike  = 0.9  // correlation of the two sound prints, at the best of a few shifts
)

// alike measures a file against the clip that it may be, or says that it is not.
func (x *Relinker) alike(ctx context.Context, row club.Clip, path, print string) (*likeness, error) {
	if known, found, err := x.lib.ClipByFingerprint(ctx, print); err != nil {
		return nil, err
	} else if found {
		return nil, &club.Problem{Field: "path", Say: fmt.Sprintf("%s is in the library already, as the clip %s: pick the file that %s is now.", club.Isolated(filepath.Base(path)), club.Isolated(known.Name), club.Isolated(row.Name))}
	}
	film, err := x.footage.OpenFile(ctx, path, print)
	if err != nil {
		return nil, err
	}
	defer film.Close()
	if err := film.Indexed(ctx); err != nil {
		return nil, err
	}
	a := &likeness{index: film.Index()}
	if math.Abs(a.index.EndSeconds()-row.Seconds) > lengthApart {
		return nil, notTheFilm(row, path)
	}
	if a.sound, err = soundPrint(ctx, film); err != nil {
		return nil, err
	}
	old, ok, err := x.lib.SoundPrint(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	if ok && !SoundsAlike(old, a.sound) {
		return nil, notTheFilm(row, path)
	}
	_, size, err := clip.Fingerprint(path)
	if err != nil {
		return nil, err
	}
	a.clip = footage.Measured(row.ID, row.SessionID, path, print, size, film.Info(), a.index)
	a.Path, a.Name = path, a.clip.Name
	a.clip = footage.Titled(a.clip, row)
	if err := x.move(ctx, row, a); err != nil {
		return nil, err
	}
	a.Say = a.words(row, ok)
	return a, nil
}

func (a *likeness) words(row club.Clip, bySound bool) string {
	by := "the same length and sound as"
	if !bySound {
		by = "the same length as"
	}
	say := fmt.Sprintf("%s has %s %s, but it is another file: most likely that film, encoded anew.", club.Isolated(a.Name), by, club.Isolated(row.Name))
	if !bySound {
		say += " The sounds could not be compared, because the old one is not on record."
	}
	if a.Moved == 0 {
		return say + " Every entry keeps its frame."
	}
	return say + fmt.Sprintf(" Its frames are others: %d entries would get the frame nearest to their moment, at most %.0f milliseconds off.", a.Moved, a.Most*1000)
}

// move works out where each entry of the old film stands in the new one.
func (x *Relinker) move(ctx context.Context, row club.Clip, a *likeness) error {
	led, err := x.lib.OfClip(ctx, row.ID)
	if err != nil {
		return err
	}
	a.edits = []store.Edit{store.Put(a.clip)}
	to := func(frame *int, ticks *int64) (moved bool) {
		at := row.Base.Seconds(*ticks - row.FirstTicks)
		n := footage.Nearest(a.index, at)
		a.Most = max(a.Most, math.Abs(a.index.Seconds(n)-at))
		moved = n != *frame
		*frame, *ticks = n, a.index.Ticks(n)
		return moved
	}
	count := func(moved ...bool) {
		for _, m := range moved {
			if m {
				a.Moved++
				return
			}
		}
	}
	for _, t := range led.Turns {
		if t.Anchor != nil {
			at, none := *t.Anchor, 0
			to(&none, &at)
			t.Anchor = &at
		}
		count(to(&t.First, &t.FirstTicks), to(&t.Last, &t.LastTicks))
		a.edits = append(a.edits, store.Put(t))
	}
	for _, s := range led.Strokes {
		moved := to(&s.Frame, &s.Ticks)
		if s.Ready != nil {
			r := *s.Ready
			moved = to(&r.Frame, &r.Ticks) || moved
			if s.Ready = &r; r.Frame <= s.Frame { // both fell on one picture
				s.Ready = nil
			}
		}
		count(moved)
		a.edits = append(a.edits, store.Put(s))
	}
	for _, m := range led.Marks {
		count(to(&m.Frame, &m.Ticks))
		a.edits = append(a.edits, store.Put(m))
	}
	for _, l := range led.Looks {
		count(to(&l.First, &l.FirstTicks), to(&l.Last, &l.LastTicks))
		a.edits = append(a.edits, store.Put(l))
	}
	for _, r := range led.Rulers {
		count(to(&r.Frame, &r.Ticks))
		a.edits = append(a.edits, store.Put(r))
	}
	for _, d := range led.Drawings {
		count(to(&d.Frame, &d.Ticks), to(&d.First, &d.FirstTicks), to(&d.Last, &d.LastTicks))
		a.edits = append(a.edits, store.Put(d))
	}
	return nil
}

// Adopt takes a file that is alike in the place of a clip's own, with every entry
// at its moment, as one change that can be undone; see Relink. What Alike said is
// worked out once more, so that nothing is taken over that the coach was not shown.
func (x *Relinker) Adopt(ctx context.Context, id club.ID, path string) (footage.ClipRow, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return footage.ClipRow{}, err
	}
	if path, err = filepath.Abs(path); err != nil {
		return footage.ClipRow{}, err
	}
	print, _, err := clip.Fingerprint(path)
	if err != nil {
		return footage.ClipRow{}, err
	}
	a, err := x.alike(ctx, row, path, print)
	if err != nil {
		return footage.ClipRow{}, err
	}
	raw, err := a.index.MarshalBinary()
	if err != nil {
		return footage.ClipRow{}, err
	}
	if err := errors.Join(x.lib.PutIndex(ctx, print, raw), x.lib.PutSoundPrint(ctx, print, a.sound)); err != nil {
		return footage.ClipRow{}, err
	}
	if err := x.footage.Unchoose(ctx, row, print); err != nil {
		return footage.ClipRow{}, err
	}
	if _, err := x.lib.Do(ctx, "take "+a.Name+" for "+row.Name, a.edits...); err != nil {
		return footage.ClipRow{}, err
	}
	x.footage.Replaced(id)
	return x.footage.Row(ctx, id)
}

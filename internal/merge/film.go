package merge

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"strokeledger/internal/club"
)

// move says from which film to which the rows of one side go.
type move struct {
	ours, theirs *club.Clip // the film that they lie on; nil: they stay
	film         Film
	onto         club.Clip
}

// from is the film that one side's rows lie on, nil where they stay.
func (m move) from(ours bool) *club.Clip {
	if ours {
		return m.ours
	}
	return m.theirs
}

// lengthApart is by how many seconds two films of one recording may differ: encoders
// pad the sound by up to a tenth of a second, and round frame times (the limit of *Find
// it…*, see package relink).
const lengthApart = 0.25

// films brings clips together: by their ID, by the film's fingerprint, and where the
// coach says so by likeness. Where the two sides have a clip's film encoded in different
// ways, the rows of the one whose film is given up go to the pictures of the same moments.
func (b *bringing) films() error {
	if err := b.gatherAll("clip"); err != nil {
		return err
	}
	clips, at, err := readAll[club.Clip](b.inOrder("clip"))
	if err != nil {
		return err
	}
	by := map[string]*item{}
	for i, c := range clips {
		if c.Fingerprint == "" || at[i].row.Gone {
			continue
		}
		if first := by[c.Fingerprint]; first != nil {
			if err := b.merge("clip", first, at[i]); err != nil {
				return err
			}
		} else {
			by[c.Fingerprint] = at[i]
		}
	}
	if err := b.likeness(clips, at); err != nil {
		return err
	}
	for _, it := range b.items["clip"] {
		if err := b.moving(it); err != nil {
			return err
		}
	}
	return nil
}

func (b *bringing) likeness(clips []club.Clip, at []*item) error {
	for i, theirs := range clips {
		if !at[i].onlyTheirs() || theirs.Fingerprint == "" {
			continue
		}
		for k, ours := range clips {
			if !at[k].onlyOurs() || ours.Fingerprint == "" || math.Abs(ours.Seconds-theirs.Seconds) > lengthApart || !b.Alike(ours, theirs) {
				continue
			}
			if b.ask(Doubt{Key: fmt.Sprintf("film %s %s", ours.ID, theirs.ID), Kind: "film",
				Say: fmt.Sprintf("Their clip %s has the length and the sound of your %s, but it is another file: is it the same film, encoded anew?", b.say.clip(theirs), b.say.clip(ours)),
				Choices: []Choice{
					{"same", "The same film: what they entered goes to the pictures of the same moments in yours."},
					{"apart", "Another film: it comes in as a clip of its own."},
				}}) != "same" {
				continue
			}
			mine := at[k].row
			if err := b.merge("clip", at[k], at[i]); err != nil {
				return err
			}
			one := at[k]
			if b.items["clip"][one.id()] != one {
				one = at[i]
			}
			if err := b.filmOf(one, mine); err != nil {
				return err
			}
			break
		}
	}
	return nil
}

// filmOf gives a clip the film of another row.
func (b *bringing) filmOf(it *item, from Row) error {
	f, err := split(it.row.Image)
	if err != nil {
		return err
	}
	of, err := split(from.Image)
	if err != nil {
		return err
	}
	for _, name := range append(slices.Clone(it.table.of["film"]), "path") {
		f[name] = of[name]
	}
	image, err := it.table.image(f)
	if err != nil {
		return err
	}
	return b.set(it, image)
}

// moving finds out whose rows of a clip lie on a film that is not the clip's any more.
func (b *bringing) moving(it *item) error {
	if len(it.ours) == 0 || len(it.theirs) == 0 || it.row.Gone {
		return nil
	}
	onto, err := read[club.Clip](it.row)
	if err != nil {
		return err
	}
	m := move{onto: onto}
	for rows, from := range map[*[]Row]**club.Clip{&it.ours: &m.ours, &it.theirs: &m.theirs} {
		for _, r := range *rows {
			c, err := read[club.Clip](r)
			if err != nil {
				return err
			}
			if !r.Gone && c.Fingerprint != "" && onto.Fingerprint != "" && c.Fingerprint != onto.Fingerprint {
				*from = &c
			}
		}
	}
	if m.ours != nil || m.theirs != nil {
		m.film = b.Film(onto)
		b.moves[onto.ID] = m
	}
	return nil
}

// moved is a row at the pictures of its moments in the film that its clip has now.
func (b *bringing) moved(t *Table, r Row, ours bool) (Row, error) {
	if t.move == nil || len(b.moves) == 0 {
		return r, nil
	}
	var on struct {
		Clip  club.ID `json:"clip_id"`
		Other club.ID `json:"other_id"`
	}
	if err := json.Unmarshal(r.Image, &on); err != nil {
		return r, err
	}
	clip, other := b.moves[on.Clip], b.moves[on.Other]
	if clip.from(ours) == nil && other.from(ours) == nil {
		return r, nil
	}
	image, err := t.move(r.Image, func(otherOne bool, frame *int, ticks *int64) {
		m := clip
		if otherOne {
			m = other
		}
		if from := m.from(ours); from != nil {
			*frame, *ticks = m.film.Nearest(from.Base.Seconds(*ticks - from.FirstTicks))
		}
	})
	r.Image = image
	return r, err
}

// Even is a film whose pictures all stand equally long: what is taken for it where
// its list of pictures is not known.
type Even struct{ Clip club.Clip }

// Nearest is as of [Film].
func (e Even) Nearest(seconds float64) (frame int, ticks int64) {
	if e.Clip.Frames < 1 || e.Clip.Seconds <= 0 {
		return 0, e.Clip.FirstTicks
	}
	n := min(max(0, int(math.Round(seconds/e.Clip.Picture()))), e.Clip.Frames-1)
	perTick := e.Clip.Base.Seconds(1)
	return n, e.Clip.FirstTicks + int64(math.Round(float64(n)*e.Clip.Picture()/perTick))
}

// readAll reads what items come to.
func readAll[T any](items []*item) ([]T, []*item, error) {
	all := make([]T, len(items))
	for i, it := range items {
		v, err := read[T](it.row)
		if err != nil {
			return nil, nil, err
		}
		all[i] = v
	}
	return all, items, nil
}

package pictures

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// Listed is a pair as lists show it.
type Listed struct {
	picture.Pair
	Left  Shot `json:"left"`
	Right Shot `json:"right"`
}

// Shot is a frame of a clip as people know it.
type Shot struct {
	ClipID  club.ID   `json:"clip_id"`
	Clip    string    `json:"clip"` // its name
	Date    club.Date `json:"date"`
	Players []string  `json:"players"` // at the frame, in order of turns; on a clip as a whole all of them
	Frame   int       `json:"frame"`   // -1: the clip as a whole
	// Model is the code of the fault whose model picture this is, empty for none; Is that it
	// shows the fault, and not what is none.
	Model string `json:"model"`
	Is    bool   `json:"is"`
}

// Pairs are all that are kept, by name.
func (x *Pictures) Pairs(ctx context.Context) ([]Listed, error) {
	rows, err := store.All[picture.Pair](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	m, err := x.moments(ctx)
	if err != nil {
		return nil, err
	}
	all := make([]Listed, len(rows))
	for i, p := range rows {
		all[i] = Listed{p, m.of(p.ClipID, p.Frame), m.of(p.OtherID, p.OtherFrame)}
	}
	slices.SortStableFunc(all, func(a, b Listed) int {
		return cmp.Or(cmp.Compare(club.Fold(a.Name), club.Fold(b.Name)), cmp.Compare(a.ID, b.ID))
	})
	return all, nil
}

// Choices are what can stand beside a picture: model pictures by code of their fault, then
// all clips, the latest first.
func (x *Pictures) Choices(ctx context.Context) ([]Shot, error) {
	m, err := x.moments(ctx)
	if err != nil {
		return nil, err
	}
	models, err := store.All[standard.Model](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	codes := map[club.ID]string{}
	for _, f := range cat.Faults {
		codes[f.ID] = f.Code
	}
	all := make([]Shot, 0, len(models)+len(m.clips))
	for _, o := range models {
		one := m.of(o.ClipID, o.Frame)
		one.Model, one.Is = codes[o.FaultID], o.Is
		all = append(all, one)
	}
	slices.SortStableFunc(all, func(a, b Shot) int { return cmp.Compare(a.Model, b.Model) })
	var clips []Shot
	for id := range m.clips {
		clips = append(clips, m.of(id, -1))
	}
	slices.SortFunc(clips, func(a, b Shot) int {
		return cmp.Or(cmp.Compare(b.Date, a.Date), cmp.Compare(a.Clip, b.Clip), cmp.Compare(a.ClipID, b.ClipID))
	})
	return append(all, clips...), nil
}

// KeepPair keeps a pair under its name: a new one without an ID, else in the place of the one
// that has it.
func (x *Pictures) KeepPair(ctx context.Context, p picture.Pair) (picture.Pair, error) {
	what := "change"
	if p.ID == "" {
		p.ID, what = club.NewID(), "keep"
	}
	p.Name = strings.TrimSpace(p.Name)
	if err := p.Check(); err != nil {
		return p, err
	}
	for _, of := range []struct {
		clip  club.ID
		frame int
		ticks *int64
	}{{p.ClipID, p.Frame, &p.Ticks}, {p.OtherID, p.OtherFrame, &p.OtherTicks}} {
		row, err := x.lib.Clip(ctx, of.clip)
		if err != nil {
			return p, err
		}
		if *of.ticks, err = x.footage.Ticks(ctx, row, of.frame); err != nil {
			return p, err
		}
	}
	var err error
	if p.CoachID, err = x.lib.Coach(ctx); err != nil {
		return p, err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("%s the pair %s", what, club.Isolated(p.Name)), store.Put(p))
	return p, err
}

// RemovePair takes a pair out of the library.
func (x *Pictures) RemovePair(ctx context.Context, id club.ID) error {
	p, err := store.Get[picture.Pair](ctx, x.lib.Library, id)
	if err != nil {
		return err
	}
	_, err = x.lib.Do(ctx, fmt.Sprintf("remove the pair %s", club.Isolated(p.Name)), store.Remove[picture.Pair](id))
	return err
}

// moments says what people call places in clips.
type moments struct {
	clips   map[club.ID]club.Clip
	dates   map[club.ID]club.Date // by session
	turns   map[club.ID][]club.Turn
	players map[club.ID]string
}

func (x *Pictures) moments(ctx context.Context) (m moments, err error) {
	m = moments{clips: map[club.ID]club.Clip{}, dates: map[club.ID]club.Date{}, players: map[club.ID]string{}}
	clips, err := x.lib.Clips(ctx)
	if err != nil {
		return m, err
	}
	ids := make([]club.ID, len(clips))
	for i, c := range clips {
		m.clips[c.ID], ids[i] = c, c.ID
	}
	sessions, err := x.lib.Library.Sessions(ctx)
	if err != nil {
		return m, err
	}
	for _, s := range sessions {
		m.dates[s.ID] = s.Date
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return m, err
	}
	for _, p := range cat.Players {
		m.players[p.ID] = p.Name
	}
	m.turns, err = x.lib.TurnsOf(ctx, ids)
	return m, err
}

func (m moments) of(clip club.ID, frame int) Shot {
	c := m.clips[clip]
	one := Shot{ClipID: clip, Clip: c.Name, Date: m.dates[c.SessionID], Frame: frame, Players: []string{}}
	for _, t := range m.turns[clip] {
		if name := m.players[t.PlayerID]; (frame < 0 || t.First <= frame && frame <= t.Last) && !slices.Contains(one.Players, name) {
			one.Players = append(one.Players, name)
		}
	}
	return one
}

// Package session is the training dates of a library with their clips: listing them,
// adding films, taking clips out.
package session

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/relink"
	"strokeledger/internal/store"
)

// Sessions are those of a library. They are safe for concurrent use.
type Sessions struct {
	lib     *library.Library
	footage *footage.Clips
	relink  *relink.Relinker
}

// New are the sessions of a library.
func New(lib *library.Library, clips *footage.Clips, relinker *relink.Relinker) *Sessions {
	return &Sessions{lib: lib, footage: clips, relink: relinker}
}

// SessionRow is one training date with its clips, as the sessions screen lists it.
type SessionRow struct {
	club.Session
	Clips   []footage.ListedClip `json:"clips"`
	Removed int                  `json:"removed"` // clips whose film is forgotten, and whose numbers were kept
}

// Page chooses a stretch of the sessions, the latest first. The zero Page is all of
// them.
type Page struct {
	UpTo  club.Date `json:"up_to"` // the last day on it; empty: the last that there is
	Count int       `json:"count"` // how many sessions at most; 0: all
	// Clip, if given, has to be on it: where its session is not among the latest,
	// the page begins with that. UpTo does not count then. A clip that is not in the
	// library is no clip.
	Clip club.ID `json:"clip"`
}

// LookedBy is how much of a clip one coach has said to have looked through.
type LookedBy struct {
	ClipID  club.ID `json:"clip_id"`
	CoachID club.ID `json:"coach_id"` // empty: it is not known who
	Turns   int     `json:"turns"`    // whole, for some fault at least
}

// SessionPage is a stretch of the sessions.
type SessionPage struct {
	Sessions []SessionRow `json:"sessions"` // the latest first, their clips in the order in which they were added
	Looked   []LookedBy   `json:"looked"`   // of these clips
	UpTo     club.Date    `json:"up_to"`    // the last day that was asked for; empty: the last that there is
	Earlier  int          `json:"earlier"`  // sessions before these
	Total    int          `json:"total"`    // sessions in the library
	First    club.Date    `json:"first"`    // of the earliest of all, empty where there is none
}

// List is a page of the sessions. It looks for no file: [place.Finder.Absent] does.
func (x *Sessions) List(ctx context.Context, p Page) (SessionPage, error) {
	if p.Clip == "" {
		return x.sessionsUpTo(ctx, p.UpTo, p.Count)
	}
	latest, err := x.sessionsUpTo(ctx, "", p.Count)
	if err != nil || latest.shows(p.Clip) {
		return latest, err
	}
	c, err := x.lib.Clip(ctx, p.Clip)
	if errors.Is(err, store.ErrUnknown) {
		return latest, nil
	} else if err != nil {
		return SessionPage{}, err
	}
	s, err := store.Get[club.Session](ctx, x.lib.Library, c.SessionID)
	if err != nil {
		return SessionPage{}, err
	}
	return x.sessionsUpTo(ctx, s.Date, p.Count)
}

func (p SessionPage) shows(clip club.ID) bool {
	return slices.ContainsFunc(p.Sessions, func(s SessionRow) bool {
		return slices.ContainsFunc(s.Clips, func(c footage.ListedClip) bool { return c.ID == clip })
	})
}

func (x *Sessions) sessionsUpTo(ctx context.Context, upTo club.Date, count int) (SessionPage, error) {
	found, err := x.lib.SessionPage(ctx, upTo, count)
	if err != nil {
		return SessionPage{}, err
	}
	p := SessionPage{Sessions: make([]SessionRow, len(found.Sessions)), Looked: []LookedBy{}, UpTo: upTo, Earlier: found.Earlier, Total: found.Total, First: found.First}
	at := make(map[club.ID]*SessionRow, len(found.Sessions))
	for i, s := range found.Sessions {
		p.Sessions[i] = SessionRow{Session: s, Clips: []footage.ListedClip{}}
		at[s.ID] = &p.Sessions[i]
	}
	for _, c := range found.Clips {
		if s := at[c.SessionID]; place.Filmless(c) {
			s.Removed++
		} else {
			listed := footage.Listed(c, found.Counts[c.ID])
			listed.Players = found.Players[c.ID]
			s.Clips = append(s.Clips, listed)
		}
	}
	for clip, by := range found.Looked {
		for coach, n := range by {
			p.Looked = append(p.Looked, LookedBy{clip, coach, n})
		}
	}
	slices.SortFunc(p.Looked, func(a, b LookedBy) int {
		return cmp.Or(cmp.Compare(a.ClipID, b.ClipID), cmp.Compare(a.CoachID, b.CoachID))
	})
	return p, nil
}

// Beside is the clip after another (by 1) or before it (by -1): in its session as they were
// added, then in the session of the next or the earlier day; empty where there is none.
// Clips without film are gone over.
func (x *Sessions) Beside(ctx context.Context, id club.ID, by int) (club.ID, error) {
	all, err := x.lib.SessionPage(ctx, "", 0)
	if err != nil {
		return "", err
	}
	day := make(map[club.ID]club.Date, len(all.Sessions))
	for _, s := range all.Sessions {
		day[s.ID] = s.Date
	}
	films := slices.DeleteFunc(all.Clips, func(c club.Clip) bool { return place.Filmless(c) && c.ID != id })
	slices.SortStableFunc(films, func(a, b club.Clip) int { return cmp.Compare(day[a.SessionID], day[b.SessionID]) })
	at := slices.IndexFunc(films, func(c club.Clip) bool { return c.ID == id })
	if at < 0 || at+by < 0 || at+by >= len(films) {
		return "", nil
	}
	return films[at+by].ID, nil
}

// Save changes the date or the note of a session.
func (x *Sessions) Save(ctx context.Context, s club.Session) (club.Session, error) {
	if err := s.Check(); err != nil {
		return s, err
	}
	sessions, err := x.lib.Sessions(ctx)
	if err != nil {
		return s, err
	}
	if _, err := library.Find(sessions, s.ID, func(s club.Session) club.ID { return s.ID }, "session"); err != nil {
		return s, err
	}
	for _, o := range sessions {
		if o.ID != s.ID && o.Date == s.Date {
			return s, &club.Problem{Field: "date", Say: "There is a session on " + string(s.Date) + " already: pick another day."}
		}
	}
	_, err = x.lib.Do(ctx, "change session "+string(s.Date), store.Put(s))
	return s, err
}

// RemoveClip takes a clip and all that was entered on it out of the library, in
// one change that can be undone; the file itself stays where it is.
func (x *Sessions) RemoveClip(ctx context.Context, id club.ID) (store.Change, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return store.Change{}, err
	}
	ch, err := x.lib.Do(ctx, "remove clip "+row.Name, store.Remove[club.Clip](id))
	if err == nil {
		x.footage.Reopen(id)
	}
	return ch, err
}

// Change gives a clip another title, the empty one its file's name again, and puts it into
// the session of a day, which is made where there is none: one change. A session that is left
// without clips and has no note goes. What is entered on the clip comes along.
func (x *Sessions) Change(ctx context.Context, id club.ID, title, day string) (club.Clip, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return row, err
	}
	date, err := club.ParseDate(day)
	if err != nil {
		return row, err
	}
	if row.Name = strings.TrimSpace(title); row.Name == "" {
		row.Name = filepath.Base(row.Path)
	}
	if utf8.RuneCountInString(row.Name) > club.MaxName {
		return row, &club.Problem{Field: "title", Say: fmt.Sprintf("The title is too long: keep it to %d characters.", club.MaxName)}
	}
	all, err := x.lib.SessionPage(ctx, "", 0)
	if err != nil {
		return row, err
	}
	left := row.SessionID
	var edits []store.Edit
	row.SessionID, edits = into(all.Sessions, date, x.lib.NewID, edits)
	edits = append(edits, store.Put(row))
	alone := !slices.ContainsFunc(all.Clips, func(c club.Clip) bool { return c.SessionID == left && c.ID != id })
	noteless := slices.ContainsFunc(all.Sessions, func(s club.Session) bool { return s.ID == left && s.Note == "" })
	if left != row.SessionID && alone && noteless {
		edits = append(edits, store.Remove[club.Session](left))
	}
	_, err = x.lib.Do(ctx, "change clip "+row.Name, edits...)
	return row, err
}

// into finds the session of a day, or adds an edit that makes it.
func into(sessions []club.Session, date club.Date, newID func() club.ID, edits []store.Edit) (club.ID, []store.Edit) {
	for _, s := range sessions {
		if s.Date == date {
			return s.ID, edits
		}
	}
	s := club.Session{ID: newID(), Date: date}
	return s.ID, append(edits, store.Put(s))
}

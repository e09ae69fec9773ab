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

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/relink"
	"strokeledger/internal/sentence"
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

// SessionPage is a stretch of the sessions.
type SessionPage struct {
	Sessions []SessionRow `json:"sessions"` // the latest first, their clips in the order in which they were added
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
	p := SessionPage{Sessions: make([]SessionRow, len(found.Sessions)), UpTo: upTo, Earlier: found.Earlier, Total: found.Total, First: found.First}
	at := make(map[club.ID]*SessionRow, len(found.Sessions))
	for i, s := range found.Sessions {
		p.Sessions[i] = SessionRow{Session: s, Clips: []footage.ListedClip{}}
		at[s.ID] = &p.Sessions[i]
	}
	for _, c := range found.Clips {
		if s := at[c.SessionID]; place.Filmless(c) {
			s.Removed++
		} else {
			s.Clips = append(s.Clips, footage.Listed(c, found.Counts[c.ID]))
		}
	}
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

// Added says what became of one file.
type Added struct {
	Path   string  `json:"path"`
	Name   string  `json:"name"`
	ClipID club.ID `json:"clip_id"` // empty where it could not be taken
	// Say is one plain sentence on a file that could not be taken, or that was known
	// already; empty where the file is new in the library.
	Say string `json:"say"`
}

// Add puts media files into the session of that day, which is made where
// there is none; each file that is taken is one change. progress, if not nil, is
// called before each file and once at the end. The error is for what stops the
// whole; a file that cannot be taken is told in its own row.
func (x *Sessions) Add(ctx context.Context, day string, paths []string, progress func(done, total int, name string)) ([]Added, error) {
	date, err := club.ParseDate(day)
	if err != nil {
		return nil, err
	}
	ctx, done, err := x.lib.Jobs.Begin(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	if progress == nil {
		progress = func(int, int, string) {}
	}
	out := make([]Added, len(paths))
	for i, path := range paths {
		progress(i, len(paths), filepath.Base(path))
		out[i] = Added{Path: path, Name: filepath.Base(path)}
		id, say, err := x.addClip(ctx, date, path)
		switch {
		case ctx.Err() != nil:
			return out[:i], ctx.Err()
		case err == nil:
			out[i].ClipID, out[i].Say = id, say
		case errors.Is(err, store.ErrBusy), errors.Is(err, store.ErrReadOnly), errors.Is(err, store.ErrFull),
			errors.Is(err, store.ErrDrive), errors.Is(err, store.ErrDamaged):
			return out[:i], err // an error of the library: the next file would fail too
		default:
			out[i].Say = sentence.Of(err)
		}
	}
	progress(len(paths), len(paths), "")
	return out, nil
}

// addClip takes one file. say is a remark on a file that was known already.
func (x *Sessions) addClip(ctx context.Context, date club.Date, path string) (id club.ID, say string, err error) {
	for range 3 {
		// Another window may have put in the same film, or made this day's session, a
		// moment ago: then the second look finds it.
		id, say, err = x.addOnce(ctx, date, path)
		if p, ok := club.AsProblem(err); !ok || p.Field != "fingerprint" && p.Field != "date" {
			break
		}
	}
	return id, say, err
}

func (x *Sessions) addOnce(ctx context.Context, date club.Date, path string) (id club.ID, say string, err error) {
	if path, err = filepath.Abs(path); err != nil {
		return "", "", err
	}
	print, size, err := clip.Fingerprint(path)
	if err != nil {
		return "", "", err
	}
	known, found, err := x.lib.ClipByFingerprint(ctx, print)
	if err != nil {
		return "", "", err
	}
	if found {
		return x.again(ctx, known, path)
	}
	c, err := x.footage.OpenFile(ctx, path, print)
	if err != nil {
		return "", "", err
	}
	defer c.Close()
	ix, err := x.footage.KeepIndex(ctx, c, print)
	if err != nil {
		return "", "", err
	}
	if err := x.relink.KeepSoundPrint(ctx, c, print); err != nil {
		return "", "", err
	}
	// A file that is still being copied is another one by now.
	if now, _, err := clip.Fingerprint(path); err != nil {
		return "", "", err
	} else if now != print {
		return "", "", &club.Problem{Field: "path", Say: fmt.Sprintf("%q changed while it was read: wait until it is copied, then add it again.", path)}
	}
	session, isNew, err := x.sessionOn(ctx, date)
	if err != nil {
		return "", "", err
	}
	row := footage.Measured(x.lib.NewID(), session.ID, path, print, size, c.Info(), ix)
	edits := []store.Edit{store.Put(row)}
	if isNew {
		edits = []store.Edit{store.Put(session), store.Put(row)}
	}
	_, err = x.lib.Do(ctx, "add clip "+row.Name, edits...)
	return row.ID, "", err
}

// again takes a file that the library knows: found again where it was missing,
// else left as it is.
func (x *Sessions) again(ctx context.Context, known club.Clip, path string) (club.ID, string, error) {
	if x.footage.InPlace(known) {
		return known.ID, fmt.Sprintf("This film is in the library already, as %s: nothing was added.", club.Isolated(known.Name)), nil
	}
	_, err := x.relink.MoveTo(ctx, known, path)
	return known.ID, "This film was in the library already, but its file had moved: it is found again, with all its marks.", err
}

func (x *Sessions) sessionOn(ctx context.Context, date club.Date) (s club.Session, isNew bool, err error) {
	sessions, err := x.lib.Sessions(ctx)
	if err != nil {
		return s, false, err
	}
	for _, s := range sessions {
		if s.Date == date {
			return s, false, nil
		}
	}
	return club.Session{ID: x.lib.NewID(), Date: date}, true, nil
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

package session

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// Added says what became of one file.
type Added struct {
	Path   string  `json:"path"`
	Name   string  `json:"name"`
	ClipID club.ID `json:"clip_id"` // empty where it could not be taken
	// Say is one plain sentence on a file that could not be taken, or that was known
	// already; empty where the file is new in the library.
	Say string `json:"say"`
}

// Add puts media files into the session of that day; see AddOn.
func (x *Sessions) Add(ctx context.Context, day string, paths []string, progress func(done, total int, name string)) ([]Added, error) {
	days := make([]string, len(paths))
	for i := range days {
		days[i] = day
	}
	if _, err := club.ParseDate(day); err != nil {
		return nil, err
	}
	return x.AddOn(ctx, days, paths, progress)
}

// AddOn puts media files into the sessions of their days, one day for each file; sessions
// are made where there are none. All of it is one change. progress, if not nil, is called
// before each file and once at the end. The error is for what stops the whole, and nothing
// is added then; a file that cannot be taken is told in its own row.
func (x *Sessions) AddOn(ctx context.Context, days, paths []string, progress func(done, total int, name string)) ([]Added, error) {
	if len(days) != len(paths) {
		return nil, &club.Problem{Field: "date", Say: "Each film needs its day: choose the films again."}
	}
	dates := make([]club.Date, len(days))
	for i, day := range days {
		var err error
		if dates[i], err = club.ParseDate(day); err != nil {
			return nil, err
		}
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
	var fresh []newFilm
	first := map[string]int{} // in which row a film stands
	for i, path := range paths {
		progress(i, len(paths), filepath.Base(path))
		out[i] = Added{Path: path, Name: filepath.Base(path)}
		row, say, err := x.measure(ctx, path)
		at, twice := first[row.Fingerprint]
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil && ofLibrary(err):
			return nil, err // the next file would fail too
		case err != nil:
			out[i].Say = sentence.Of(err)
		case say != "":
			out[i].ClipID, out[i].Say = row.ID, say
		case twice:
			out[i].ClipID, out[i].Say = out[at].ClipID, there(out[at].Name)
		default:
			first[row.Fingerprint] = i
			out[i].ClipID = row.ID
			fresh = append(fresh, newFilm{&out[i], row, dates[i]})
		}
	}
	progress(len(paths), len(paths), "")
	return out, x.keep(ctx, fresh)
}

// newFilm is a film that is new in the library.
type newFilm struct {
	told *Added
	row  club.Clip
	date club.Date
}

func ofLibrary(err error) bool {
	return errors.Is(err, store.ErrBusy) || errors.Is(err, store.ErrReadOnly) || errors.Is(err, store.ErrFull) ||
		errors.Is(err, store.ErrDrive) || errors.Is(err, store.ErrDamaged)
}

func there(name string) string {
	return fmt.Sprintf("This film is in the library already, as %s: nothing was added.", club.Isolated(name))
}

// keep puts films into the library in one change. Where a rule refuses that, each is tried by
// itself, and those that are refused say why.
func (x *Sessions) keep(ctx context.Context, films []newFilm) error {
	if len(films) == 0 {
		return nil
	}
	err := x.put(ctx, films)
	if _, refused := club.AsProblem(err); !refused || ofLibrary(err) {
		return err
	}
	for _, f := range films {
		for range 3 {
			// Another window may have put in the same film, or made this day's session, a
			// moment ago: then the second look finds it.
			if err = x.put(ctx, []newFilm{f}); err == nil {
				break
			}
			p, refused := club.AsProblem(err)
			if !refused || ofLibrary(err) {
				return err
			}
			f.told.ClipID, f.told.Say = "", sentence.Of(err)
			if known, found, e := x.lib.ClipByFingerprint(ctx, f.row.Fingerprint); e != nil {
				return e
			} else if found {
				if f.told.ClipID, f.told.Say, err = x.again(ctx, known, f.row.Path); err != nil {
					return err
				}
				break
			}
			if p.Field != "date" && p.Field != "fingerprint" {
				break
			}
		}
		if err == nil && f.told.ClipID == "" {
			f.told.ClipID, f.told.Say = f.row.ID, ""
		}
	}
	return nil
}

// put puts films into the library in one change, with the sessions that are missing.
func (x *Sessions) put(ctx context.Context, films []newFilm) error {
	sessions, err := x.lib.Sessions(ctx)
	if err != nil {
		return err
	}
	var edits []store.Edit
	made := map[club.Date]club.ID{}
	for _, f := range films {
		id, ok := made[f.date]
		if !ok {
			id, edits = into(sessions, f.date, x.lib.NewID, edits)
			made[f.date] = id
		}
		f.row.SessionID = id
		edits = append(edits, store.Put(f.row))
	}
	label := "add clip " + films[0].row.Name
	if len(films) > 1 {
		label = fmt.Sprintf("add %d clips", len(films))
	}
	_, err = x.lib.Do(ctx, label, edits...)
	return err
}

// measure reads what is to be known of one film. say is a remark on one that is in the
// library already, which is the row then.
func (x *Sessions) measure(ctx context.Context, path string) (row club.Clip, say string, err error) {
	if path, err = filepath.Abs(path); err != nil {
		return row, "", err
	}
	print, size, err := clip.Fingerprint(path)
	if err != nil {
		return row, "", err
	}
	known, found, err := x.lib.ClipByFingerprint(ctx, print)
	if err != nil {
		return row, "", err
	}
	if found {
		_, say, err := x.again(ctx, known, path)
		return known, say, err
	}
	c, err := x.footage.OpenFile(ctx, path, print)
	if err != nil {
		return row, "", err
	}
	defer c.Close()
	ix, err := x.footage.KeepIndex(ctx, c, print)
	if err != nil {
		return row, "", err
	}
	if err := x.relink.KeepSoundPrint(ctx, c, print); err != nil {
		return row, "", err
	}
	// A file that is still being copied is another one by now.
	if now, _, err := clip.Fingerprint(path); err != nil {
		return row, "", err
	} else if now != print {
		return row, "", &club.Problem{Field: "path", Say: fmt.Sprintf("%q changed while it was read: wait until it is copied, then add it again.", path)}
	}
	return footage.Measured(x.lib.NewID(), "", path, print, size, c.Info(), ix), "", nil
}

// again takes a file that the library knows: found again where it was missing,
// else left as it is.
func (x *Sessions) again(ctx context.Context, known club.Clip, path string) (club.ID, string, error) {
	if x.footage.InPlace(known) {
		return known.ID, there(known.Name), nil
	}
	_, err := x.relink.MoveTo(ctx, known, path)
	return known.ID, "This film was in the library already, but its file had moved: it is found again, with all its marks.", err
}

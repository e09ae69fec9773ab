// Package erase takes a player out of a library for good, with the films and documents
// that show nobody else.
package erase

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/burst"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/store"
)

// Eraser takes players out of a library. It is safe for concurrent use.
type Eraser struct {
	lib     *library.Library
	place   *place.Finder
	footage *footage.Clips
	bursts  *burst.Bursts
}

// New is for the players of a library.
func New(lib *library.Library, finder *place.Finder, clips *footage.Clips, bursts *burst.Bursts) *Eraser {
	return &Eraser{lib: lib, place: finder, footage: clips, bursts: bursts}
}

// Preview is what forgetting a player would take away, as a coach is shown it
// before.
type Preview struct {
	Player    club.Player `json:"player"`
	Turns     int         `json:"turns"`
	Strokes   int         `json:"strokes"`
	Marks     int         `json:"marks"`
	Rulings   int         `json:"rulings"`
	Steps     int         `json:"steps"`  // changes in the log: all of them go, of whomever they are
	Copies    int         `json:"copies"` // backups in the library's folder: all of them go
	Clips     []Clip      `json:"clips"`
	Notes     []Note      `json:"notes"`
	Documents []Document  `json:"documents"`
}

// Clip is one clip that shows the player.
type Clip struct {
	ID      club.ID   `json:"id"`
	Name    string    `json:"name"`
	Path    string    `json:"path"`
	Date    club.Date `json:"date"`
	Missing bool      `json:"missing"`
	Turns   int       `json:"turns"`  // of this player
	Others  []string  `json:"others"` // names of others who play on it; none: it shows this player alone
}

// Note is a text about others in which the player's name stands.
type Note struct {
	Where string `json:"where"`
	Text  string `json:"text"`
	Whole bool   `json:"whole"` // the whole name: it is taken out of a note in any case
	Note  bool   `json:"note"`  // a note; else the coach has to rename something
}

// Document is one file that was written and shows or names the player.
type Document struct {
	Path    string   `json:"path"`
	Format  string   `json:"format"`
	Made    string   `json:"made"` // day
	Missing bool     `json:"missing"`
	Others  []string `json:"others"` // names of others whom it shows

	written time.Time // as it was then; 1970 where nobody can say
	slow    bool      // its drive does not answer
}

// Preview looks for all that is kept about a player.
func (x *Eraser) Preview(ctx context.Context, player club.ID) (Preview, error) {
	t, err := x.lib.PlayerData(ctx, player)
	if err != nil {
		return Preview{}, err
	}
	names, err := x.lib.Names(ctx)
	if err != nil {
		return Preview{}, err
	}
	called := func(ids []club.ID) []string {
		out := []string{}
		for _, id := range ids {
			if id != player {
				out = append(out, names.Players[id])
			}
		}
		return out
	}
	f := Preview{
		Player: t.Player, Turns: t.Turns, Strokes: t.Strokes, Marks: t.Marks, Rulings: t.Rulings, Steps: t.Steps, Copies: len(t.Copies),
		Clips: []Clip{}, Notes: []Note{}, Documents: []Document{},
	}
	films := make([]club.Clip, len(t.Clips))
	for i, c := range t.Clips {
		films[i] = c.Clip
	}
	missing, err := x.place.Missing(ctx, films)
	if err != nil {
		return Preview{}, err
	}
	for _, c := range t.Clips {
		_, away := missing[c.Clip.ID]
		f.Clips = append(f.Clips, Clip{
			ID: c.Clip.ID, Name: c.Clip.Name, Path: c.Clip.Path, Date: names.Dates[c.Clip.SessionID],
			Missing: away || place.Filmless(c.Clip), Turns: c.Turns, Others: called(c.Others),
		})
	}
	for _, m := range t.Mentions {
		f.Notes = append(f.Notes, Note{Where: whereOf(m), Text: m.Text, Whole: m.Whole, Note: m.Note})
	}
	slow := map[string]bool{} // folders: whose drive hangs is not asked twice
	for _, e := range t.Exports {
		doc := Document{
			Path: e.Path, Format: e.Format, Made: e.Made.Local().Format("2006-01-02"), Others: called(e.Players), written: e.Made,
		}
		if e.Made.Unix() == 0 {
			doc.Made = ""
		}
		if dir := filepath.Dir(e.Path); !slow[dir] {
			_, err := clip.Size(ctx, e.Path)
			doc.Missing, slow[dir] = err != nil, errors.Is(err, clip.ErrSlow)
		}
		doc.slow = slow[filepath.Dir(e.Path)]
		doc.Missing = doc.Missing || doc.slow
		f.Documents = append(f.Documents, doc)
	}
	return f, nil
}

func whereOf(m store.Mention) string {
	switch m.Field {
	case "note":
		return "note of a " + m.Kind
	case "cue":
		return "cue of a fault"
	case "reason":
		return "reason of a ruling"
	case "path":
		return "folder of a clip"
	case "consent_by":
		return "who gave another player's consent"
	case "group_name":
		return "training group of another player"
	}
	return m.Field + " of a " + m.Kind
}

// Request says what goes with a player; see Preview for what there is.
type Request struct {
	PlayerID   club.ID   `json:"player_id"`
	Clips      []club.ID `json:"clips"`       // taken out of the library, with all that was entered on them
	Films      bool      `json:"films"`       // the files of these clips are deleted too
	Documents  []string  `json:"documents"`   // files that are deleted, of those that Preview lists
	Notes      bool      `json:"notes"`       // notes of others in which a part of the name stands are emptied
	KeepCounts bool      `json:"keep_counts"` // turns, strokes and marks stay as numbers of nobody
}

// Alone fills in what goes by default: the clips and the documents that show
// nobody else. The film files stay.
func (f Preview) Alone() Request {
	o := Request{PlayerID: f.Player.ID}
	for _, c := range f.Clips {
		if len(c.Others) == 0 {
			o.Clips = append(o.Clips, c.ID)
		}
	}
	for _, doc := range f.Documents {
		if len(doc.Others) == 0 {
			o.Documents = append(o.Documents, doc.Path)
		}
	}
	return o
}

// Forget takes a player out of the library for good; see store.Library.Forget. It
// returns, one sentence each, what it leaves to the coach: files that could not
// be deleted or that stay and show the player, names of files in which the
// player's name stands.
func (x *Eraser) Forget(ctx context.Context, o Request) (left []string, err error) {
	if x.lib.ReadOnly() {
		return nil, &club.Problem{Code: store.ErrReadOnly, Say: x.lib.Warning()}
	}
	f, err := x.Preview(ctx, o.PlayerID)
	if err != nil {
		return nil, err
	}
	author, err := x.lib.Coach(ctx)
	if err != nil {
		return nil, err
	}
	for _, id := range o.Clips {
		i := slices.IndexFunc(f.Clips, func(c Clip) bool { return c.ID == id })
		if i < 0 {
			return nil, &club.Problem{Field: "clips", Say: "One of these clips does not show the player any more: look again."}
		}
		x.footage.Replaced(id)
	}
	left = []string{}
	// Files first: where the program is ended in between, the library still tells of
	// the player, and forgetting can be done once more.
	for _, doc := range f.Documents {
		switch {
		case slices.Contains(o.Documents, doc.Path):
			left = doc.remove(left)
		case !doc.Missing || doc.slow:
			left = append(left, fmt.Sprintf("%q stays, and it shows or names the player: delete it yourself when nobody needs it any more.", doc.Path))
		}
	}
	if o.Films {
		for _, id := range o.Clips {
			row, err := x.lib.Clip(ctx, id)
			if err == nil {
				row, err = x.place.Locate(ctx, row)
			}
			if err != nil {
				return left, err
			}
			left = leave(left, row.Path, removeFilm(row))
		}
	}
	left = append(left, leftToRename(f, o)...)
	settings, err := x.bursts.SettingsWithout(ctx, o.PlayerID, o.Clips)
	if err != nil {
		return left, err
	}
	err = x.lib.Forget(ctx, author, store.Forgetting{Player: o.PlayerID, Clips: o.Clips, Notes: o.Notes, KeepCounts: o.KeepCounts, Settings: settings})
	return left, err
}

// removeFilm deletes a clip's file where it is the film that was marked.
func removeFilm(row club.Clip) error {
	print, _, err := clip.Fingerprint(row.Path)
	switch {
	case errors.Is(err, clip.ErrGone):
		return fs.ErrNotExist
	case err != nil: // nobody knows what it is
		return err
	case print != row.Fingerprint:
		return place.OtherFilm(row)
	}
	return os.Remove(row.Path)
}

// later is by how much a file's time may be after the one that was noted: some
// drives keep whole seconds, and two at a time.
const later = 5 * time.Second

// remove deletes a document where it is still the file that was written, and notes
// what stays.
func (doc Document) remove(left []string) []string {
	if doc.slow { // deleting would hang as well
		return leave(left, doc.Path, clip.ErrSlow)
	}
	info, err := os.Stat(doc.Path)
	if err == nil && info.ModTime().After(doc.written.Add(later)) {
		return append(left, fmt.Sprintf("%q was changed after this program wrote it, and stays: look into it, and delete it yourself if it shows the player.", doc.Path))
	}
	return leave(left, doc.Path, os.Remove(doc.Path))
}

// leave notes a file that could not be deleted; one that is not there is deleted.
func leave(left []string, path string, err error) []string {
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		return left
	}
	return append(left, fmt.Sprintf("%q could not be deleted: delete it yourself.", path))
}

// leftToRename names what carries the player's name and cannot be emptied.
func leftToRename(f Preview, o Request) (left []string) {
	for _, n := range f.Notes {
		gone := slices.ContainsFunc(f.Clips, func(c Clip) bool {
			return slices.Contains(o.Clips, c.ID) && (n.Text == c.Path || n.Text == c.Name)
		})
		if !n.Note && !gone {
			left = append(left, fmt.Sprintf("The player's name still stands in the %s, %q: rename it.", n.Where, filepath.ToSlash(n.Text)))
		}
	}
	return left
}

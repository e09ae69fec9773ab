package place

import (
	"context"
	"path/filepath"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
)

// InPlace reports whether a clip's file lies where it was, as far as a look at its
// size tells.
func InPlace(row club.Clip) bool {
	size, err := clip.Size(context.Background(), row.Path)
	return err == nil && size == row.Bytes
}

// Absent is a clip whose file cannot be used.
type Absent struct {
	ClipID club.ID `json:"clip_id"`
	Slow   bool    `json:"slow"` // nobody knows: its drive does not answer
}

// Absent tells which of these clips' files are not in place, or on a drive that
// does not answer: that takes [clip.Patience].
func (d *Finder) Absent(ctx context.Context, ids []club.ID) ([]Absent, error) {
	clips, err := d.lib.ClipsByID(ctx, ids)
	if err != nil {
		return []Absent{}, err
	}
	found, err := d.Missing(ctx, clips)
	if err != nil {
		return []Absent{}, err
	}
	out := make([]Absent, 0, len(found))
	for _, c := range clips {
		if f := found[c.ID]; f != Present {
			out = append(out, Absent{c.ID, f == Slow})
		}
	}
	return out, nil
}

// sizer asks for a folder's files and their lengths, as [clip.Finder] does.
type sizer interface {
	Files(ctx context.Context, folder string) ([]clip.File, error)
	Sizes(ctx context.Context, folder string, paths []string) ([]int64, error)
}

// Absence says where a clip's file is not.
type Absence int

const (
	Present Absence = iota
	Gone
	Slow
)

// Missing tells which clips' files are not in place; bare clips have none. Folders
// are looked at side by side: drives that do not answer cost one wait, not one a
// folder. The error is the context's.
func (d *Finder) Missing(ctx context.Context, clips []club.Clip) (map[club.ID]Absence, error) {
	folders := map[string][]club.Clip{}
	for _, c := range clips {
		if !Filmless(c) {
			folders[filepath.Dir(c.Path)] = append(folders[filepath.Dir(c.Path)], c)
		}
	}
	var mu sync.Mutex
	found := map[club.ID]Absence{}
	var looking sync.WaitGroup
	for folder, inFolder := range folders {
		looking.Go(func() {
			paths := make([]string, len(inFolder))
			for i, c := range inFolder {
				paths[i] = c.Path
			}
			sizes, _ := d.Files.Sizes(ctx, folder, paths)
			mu.Lock()
			defer mu.Unlock()
			for i, c := range inFolder {
				switch {
				case i >= len(sizes):
					found[c.ID] = Slow
				case sizes[i] != c.Bytes:
					found[c.ID] = Gone
				}
			}
		})
	}
	looking.Wait()
	return found, ctx.Err()
}

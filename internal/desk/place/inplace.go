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
func (x *Finder) InPlace(row club.Clip) bool {
	size, err := x.Drives.Size(context.Background(), row.Path)
	return err == nil && size == row.Bytes
}

// Absent is a clip whose file cannot be used.
type Absent struct {
	ClipID club.ID `json:"clip_id"`
	Slow   bool    `json:"slow"` // nobody knows: its drive does not answer
}

// Absent tells which of these clips' files are not in place, or on a drive that
// does not answer: that takes up to [clip.ReadTimeout].
func (x *Finder) Absent(ctx context.Context, ids []club.ID) ([]Absent, error) {
	clips, err := x.lib.ClipsByID(ctx, ids)
	if err != nil {
		return []Absent{}, err
	}
	found, err := x.Missing(ctx, clips)
	if err != nil {
		return []Absent{}, err
	}
	out := make([]Absent, 0, len(found))
	for _, c := range clips {
		if f, ok := found[c.ID]; ok {
			out = append(out, f)
		}
	}
	return out, nil
}

// sizer asks for a folder's files and their lengths, as [clip.Drives] does.
type sizer interface {
	Files(ctx context.Context, folder string) ([]clip.File, error)
	Sizes(ctx context.Context, folder string, paths []string) ([]int64, error)
}

// Missing are those of some clips whose files are not in place; a clip without a film
// has none. Folders are looked at side by side: drives that do not answer cost one
// wait, not one a folder. The error is the context's.
func (x *Finder) Missing(ctx context.Context, clips []club.Clip) (map[club.ID]Absent, error) {
	folders := map[string][]club.Clip{}
	for _, c := range clips {
		if !Filmless(c) {
			folders[filepath.Dir(c.Path)] = append(folders[filepath.Dir(c.Path)], c)
		}
	}
	var mu sync.Mutex
	found := map[club.ID]Absent{}
	var looking sync.WaitGroup
	for folder, inFolder := range folders {
		looking.Go(func() {
			paths := make([]string, len(inFolder))
			for i, c := range inFolder {
				paths[i] = c.Path
			}
			sizes, _ := x.Files.Sizes(ctx, folder, paths)
			mu.Lock()
			defer mu.Unlock()
			for i, c := range inFolder {
				switch {
				case i >= len(sizes):
					found[c.ID] = Absent{c.ID, true}
				case sizes[i] != c.Bytes:
					found[c.ID] = Absent{c.ID, false}
				}
			}
		})
	}
	looking.Wait()
	return found, ctx.Err()
}

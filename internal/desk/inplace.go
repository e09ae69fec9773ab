package desk

import (
	"context"
	"errors"
	"path/filepath"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
)

// inPlace reports whether a clip's file lies where it was, as far as a look at its
// size tells.
func inPlace(row club.Clip) bool {
	size, err := clip.Size(context.Background(), row.Path)
	return err == nil && size == row.Bytes
}

// absent tells which clips' files are not in place. Folders are looked at side by
// side, and one whose drive does not answer is not asked again: that costs one
// wait, not one a clip.
func absent(clips []club.Clip) map[club.ID]bool {
	folders := map[string][]club.Clip{}
	for _, c := range clips {
		if !bare(c) {
			folders[filepath.Dir(c.Path)] = append(folders[filepath.Dir(c.Path)], c)
		}
	}
	var mu sync.Mutex
	gone := map[club.ID]bool{}
	var looking sync.WaitGroup
	for _, inFolder := range folders {
		looking.Go(func() {
			hangs := false
			for _, c := range inFolder {
				here := false
				if !hangs {
					size, err := clip.Size(context.Background(), c.Path)
					hangs = errors.Is(err, clip.ErrSlow)
					here = err == nil && size == c.Bytes
				}
				mu.Lock()
				gone[c.ID] = !here
				mu.Unlock()
			}
		})
	}
	looking.Wait()
	return gone
}

package desk

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/sentence"
)

// Check looks for damage: the ledger's integrity and rows that point nowhere or
// past the end of their clip, which Repair may mend; and clips whose file is
// missing or no longer the film that was marked. Each finding is one sentence;
// none means sound.
func (d *Desk) Check(ctx context.Context) (ledger, files []string, err error) {
	rep, err := d.Library.Check(ctx)
	if err != nil {
		return nil, nil, err
	}
	clips, err := d.Library.Clips(ctx)
	if err != nil {
		return rep.Findings, nil, err
	}
	folders := sync.OnceValue(func() []string { return likelyFolders(clips) })
	for _, c := range clips {
		if bare(c) {
			continue
		}
		if !inPlace(c) {
			if c, err = d.locateIn(ctx, c, folders()); err != nil {
				return rep.Findings, files, err
			}
		}
		if say := fileTrouble(c); say != "" {
			files = append(files, say)
		}
	}
	return rep.Findings, files, nil
}

func fileTrouble(c club.Clip) string {
	switch print, _, err := clip.Fingerprint(c.Path); {
	case errors.Is(err, clip.ErrGone):
		return fmt.Sprintf("The file of clip %s is not at %q: put it back, or say on the sessions screen where it is.", club.Isolated(c.Name), c.Path)
	case err != nil:
		return sentence.Of(err)
	case print != c.Fingerprint:
		return sentence.Of(otherFilm(c))
	}
	return ""
}

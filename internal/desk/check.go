package desk

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Check looks for damage: the ledger's integrity and rows that point nowhere or
// past the end of their clip, which Repair may mend; and clips whose file is
// missing or no longer the film that was marked. Each finding is one sentence;
// none means sound.
func (d *Desk) Check(ctx context.Context) (ledger, files []string, err error) {
	rep, err := d.lib.Check(ctx)
	if err != nil {
		return nil, nil, err
	}
	clips, err := d.lib.Clips(ctx)
	if err != nil {
		return rep.Findings, nil, err
	}
	for _, c := range clips {
		if c, err = d.locate(ctx, c); err != nil {
			return rep.Findings, files, err
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
		return fmt.Sprintf("The file of clip %s is not at %q: put it back, or say on the sessions screen where it is.", c.Name, c.Path)
	case err != nil:
		return Sentence(err)
	case print != c.Fingerprint:
		return Sentence(otherFilm(c))
	}
	return ""
}

// Repair keeps what can be kept of the library in a folder in a new ledger, puts
// that in the place of the damaged one, which stays beside it under another name,
// and tells, one sentence each, what could not be kept. The library must not be
// open meanwhile.
func Repair(ctx context.Context, dir string) (said []string, err error) {
	file, rep, err := store.Repair(ctx, dir, store.Options{})
	if err != nil {
		return nil, err
	}
	return rep.Findings, store.Restore(ctx, dir, file, store.Options{})
}

// Backup writes the ledger to a file, in one piece, while others go on working.
func (d *Desk) Backup(ctx context.Context, file string) error {
	return FileError("write", file, d.lib.Backup(ctx, file))
}

// Restore puts a backup in the place of the ledger of a library, which must not
// be open; the backup is checked first, and what it replaces is kept beside it.
func Restore(ctx context.Context, dir, file string) error {
	return store.Restore(ctx, dir, file, store.Options{})
}

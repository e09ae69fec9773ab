package desk

import (
	"context"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
)

// Dir is the library's folder.
func (d *Desk) Dir() string { return d.dir }

// DropHeard forgets what was heard of a clip, as choosing another of its sounds does.
func (d *Desk) DropHeard(id club.ID) { d.heard.drop(id) }

// ForgetIndex spoils a clip's cached index, so that it is scanned anew.
func (d *Desk) ForgetIndex(ctx context.Context, id club.ID) error {
	row, err := d.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	return d.lib.PutIndex(ctx, row.Fingerprint, []byte("spoilt"))
}

// Hang makes the drives of some folders hang: looking for a file there is given up
// at once, as if it had been waited for.
func (d *Desk) Hang(folders ...string) { d.files = hanging{d.files, folders} }

type hanging struct {
	sizer
	folders []string
}

func (h hanging) Sizes(ctx context.Context, folder string, paths []string) ([]int64, error) {
	if slices.Contains(h.folders, folder) {
		return nil, clip.ErrSlow
	}
	return h.sizer.Sizes(ctx, folder, paths)
}

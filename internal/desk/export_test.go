package desk

import (
	"context"

	"strokeledger/internal/club"
)

// Dir is the library's folder.
func (d *Desk) Dir() string { return d.dir }

// ForgetIndex spoils a clip's cached index, so that it is scanned anew.
func (d *Desk) ForgetIndex(ctx context.Context, id club.ID) error {
	row, err := d.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	return d.lib.PutIndex(ctx, row.Fingerprint, []byte("spoilt"))
}

package desk

import "context"

// PackAhead begins to make ready in the background what summaries read, as far as
// it is not: the packed clips, and what each player showed on all dates. It ends
// with the desk. What it cannot do the next summary does, and says what is wrong.
func (d *Desk) PackAhead() {
	ctx, done, err := d.Library.Jobs.Begin(context.Background())
	if err != nil {
		return
	}
	go func() {
		defer done()
		if d.Library.PackAhead(ctx) == nil {
			_ = d.standAhead(ctx)
		}
	}()
}

// standAhead keeps the standings that are missing.
func (d *Desk) standAhead(ctx context.Context) error {
	kept, err := d.Library.Standings(ctx)
	if err != nil || d.Library.ReadOnly() {
		return err
	}
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return err
	}
	_, err = d.totals(ctx, cat, kept)
	return err
}

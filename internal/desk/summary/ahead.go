package summary

import "context"

// Prefetch begins to make ready in the background what summaries read, as far as
// it is not: the packed clips, and what each player showed on all dates. It ends
// with the desk. What it cannot do the next summary does, and says what is wrong.
func (d *Summaries) Prefetch() {
	ctx, done, err := d.lib.Jobs.Begin(context.Background())
	if err != nil {
		return
	}
	go func() {
		defer done()
		if d.lib.PackAhead(ctx) == nil {
			_ = d.prefetchStandings(ctx)
		}
	}()
}

// prefetchStandings keeps the standings that are missing.
func (d *Summaries) prefetchStandings(ctx context.Context) error {
	kept, err := d.lib.Standings(ctx)
	if err != nil || d.lib.ReadOnly() {
		return err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	_, err = d.totals(ctx, cat, kept)
	return err
}

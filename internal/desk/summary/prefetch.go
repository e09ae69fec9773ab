package summary

import "context"

// Prefetch begins to make ready in the background what summaries read, as far as
// it is not: the packed clips, and what each player showed on all dates. It ends
// with the library. What it cannot do the next summary does, and says what is wrong.
func (x *Summaries) Prefetch() {
	ctx, done, err := x.lib.Jobs.Begin(context.Background())
	if err != nil {
		return
	}
	go func() {
		defer done()
		if x.lib.PackAhead(ctx) == nil {
			_ = x.prefetchStandings(ctx)
		}
	}()
}

// prefetchStandings keeps the standings that are missing.
func (x *Summaries) prefetchStandings(ctx context.Context) error {
	kept, err := x.lib.Standings(ctx)
	if err != nil || x.lib.ReadOnly() {
		return err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	_, err = x.totals(ctx, cat, kept)
	return err
}

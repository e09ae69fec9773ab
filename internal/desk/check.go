package desk

import "context"

// Check looks for damage: the ledger's integrity and rows that point nowhere or
// past the end of their clip, which Repair may mend; and clips whose file is
// missing or no longer the film that was marked. Each finding is one sentence; none
// means that nothing is wrong.
func (d *Desk) Check(ctx context.Context) (ledger, files []string, err error) {
	rep, err := d.Library.Check(ctx)
	if err != nil {
		return nil, nil, err
	}
	files, err = d.Place.CheckFiles(ctx)
	return rep.Findings, files, err
}

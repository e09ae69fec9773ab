package desk

import (
	"context"

	"strokeledger/internal/club"
)

// Behind returns the marks of a fault in all that the query asks for, in order of
// date, clip and frame: what stands behind a number whose summary came without
// them.
func (d *Desk) Behind(ctx context.Context, q Query, fault club.ID) ([]club.ID, error) {
	s, err := d.Summary(ctx, q)
	if err != nil {
		return nil, err
	}
	for _, line := range s.Team.All.Faults {
		if line.FaultID == fault {
			return line.MarkIDs, nil
		}
	}
	return []club.ID{}, nil
}

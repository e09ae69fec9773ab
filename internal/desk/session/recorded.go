package session

import (
	"context"
	"path/filepath"
	"sync"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
)

// RecordedOn tells for each of these media files on which day it was recorded, by
// the camera's clock: in the zone that the camera wrote, else in the computer's. It
// is empty where the file does not say, or says what cannot be, and for those that
// are not read within [clip.ReadTimeout]. Folders are read side by side, so that a
// drive that does not answer hides no other. The error is the context's.
func (x *Sessions) RecordedOn(ctx context.Context, paths []string) ([]club.Date, error) {
	inTime, cancel := context.WithTimeout(ctx, clip.ReadTimeout)
	defer cancel()
	folders := map[string][]int{}
	for i, path := range paths {
		folders[filepath.Dir(path)] = append(folders[filepath.Dir(path)], i)
	}
	days := make([]club.Date, len(paths))
	now := x.lib.Now()
	var reading sync.WaitGroup
	for _, films := range folders {
		reading.Go(func() {
			for _, i := range films {
				// A file that cannot be read is told of when it is added.
				if at, err := clip.Recorded(inTime, paths[i]); err == nil {
					days[i] = trainingDay(at, now)
				}
			}
		})
	}
	reading.Wait()
	return days, ctx.Err()
}

// trainingDay is the day of a recording, empty where there is none or where it
// cannot be: a clock that was never set begins in 1904 or 1970, or on the first of
// January of the year in which the camera was made, and one set wrongly may run
// ahead. Some cameras write their own time as UTC, which may move a late evening to
// the next day (common practice, no source).
func trainingDay(at, now time.Time) club.Date {
	here := at
	if at.Location() == time.UTC {
		here = at.In(now.Location())
	}
	day := club.Date(here.Format(time.DateOnly))
	if at.Year() < 1990 || at.YearDay() == 1 || here.YearDay() == 1 || day > club.Date(now.Format(time.DateOnly)) {
		return ""
	}
	return day
}

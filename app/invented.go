package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// inventedClub finds the library of the invented club in a folder of its own below dir, or
// makes it. A folder in which the making was broken off is left alone.
func inventedClub(ctx context.Context, dir string, progress func(done, total int, name string)) (string, error) {
	const tries = 9
	for n := range tries {
		name := "invented-club"
		if n > 0 {
			name = fmt.Sprintf("invented-club-%d", n+1)
		}
		folder := filepath.Join(dir, name)
		if _, err := os.Stat(filepath.Join(folder, "library", "ledger.db")); err == nil {
			return filepath.Join(folder, "library"), nil
		}
		if left, err := os.ReadDir(folder); err == nil && len(left) > 0 {
			continue
		}
		return desk.MakeDemo(ctx, folder, 1, progress)
	}
	return "", &club.Problem{Say: fmt.Sprintf("The invented club could not be made, since earlier tries lie in %q: delete the folders invented-club there, then do this again.", dir)}
}

package desk_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
)

// BenchmarkMeasures prints what is measured of the strokes of invented clubs, beside
// the truth, a line a stroke. STROKELEDGER_JUDGES are their seeds.
func BenchmarkMeasures(b *testing.B) {
	seeds := strings.Fields(os.Getenv("STROKELEDGER_JUDGES"))
	if len(seeds) == 0 {
		seeds = []string{"201"}
	}
	for range b.N {
		for _, seed := range seeds {
			n, err := strconv.ParseInt(seed, 10, 64)
			require.NoError(b, err)
			judge(b, n)
		}
	}
}

func judge(b *testing.B, seed int64) {
	ctx, dir := context.Background(), b.TempDir()
	d, err := desk.Open(ctx, filepath.Join(dir, "library"), library.Options{Create: true})
	require.NoError(b, err)
	defer d.Close()
	invented := demo.Judge(seed)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(b, err)
	players := map[club.ID]club.ID{}
	for _, p := range invented.Catalogue.Players {
		saved, err := d.Catalogue.SavePlayer(ctx, club.Player{Name: p.Name, Hand: p.Hand})
		require.NoError(b, err)
		players[p.ID] = saved.ID
	}
	rng := rand.New(rand.NewPCG(uint64(seed), 4))
	for i, scene := range invented.Scenes {
		truth := invented.Truth().Clips[i]
		path := filepath.Join(dir, scene.File)
		require.NoError(b, film.WriteMeasured(ctx, scene, path))
		added, err := d.Sessions.Add(ctx, "2026-03-14", []string{path}, nil)
		require.NoError(b, err)
		id := added[0].ClipID
		for _, t := range truth.Turns {
			_, err := d.Turns.Save(ctx, club.Turn{ClipID: id, PlayerID: players[t.PlayerID], DrillID: cat.Drills[0].ID, First: t.First, Last: t.Last})
			require.NoError(b, err)
		}
		at := map[int]demo.TruthStroke{}
		for _, s := range truth.Strokes {
			_, err := d.Strokes.Add(ctx, id, s.Frame, s.Outcome)
			require.NoError(b, err)
			at[s.Frame] = s
		}
		p := clicked(scene, rng, 4)
		view, err := d.Rulers.Lay(ctx, id, p, true)
		if err != nil {
			fmt.Printf("# %s: %v\n", scene.File, err)
			continue
		}
		require.NoError(b, d.Measured.WatchToEnd(ctx, id, func(int, int) {}))
		all, err := d.Measured.Measures(ctx, id)
		require.NoError(b, err)
		faults := map[int]string{}
		for _, f := range truth.Faults {
			faults[truth.Strokes[f.Stroke].Frame] += f.Code + " "
		}
		for _, s := range all {
			true := at[s.Frame]
			back := 9.
			if true.BackShare != nil {
				back = *true.BackShare
			}
			fmt.Printf("%d,%d,%d,%s,%.0f,%v,%.1f,%.1f,%.2f,%.2f,%s", seed, i, s.Frame, s.PlayerID[:8], 100*view.Support, view.Good, 100*true.FeetLine, true.ElbowAngle, back, 100*true.Elbow/true.Trunk, strings.TrimSpace(faults[s.Frame]))
			for _, m := range club.Measures() {
				text := ",,"
				for _, v := range s.Values {
					if v.Measure == m {
						text = fmt.Sprintf(",%.1f,%.1f", v.At, v.Half)
					}
				}
				fmt.Print(text)
			}
			fmt.Println()
		}
	}
}

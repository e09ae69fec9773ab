package desk_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/measure"
)

// BenchmarkMeasures prints what is measured of the strokes of invented clubs, beside
// the truth, a line a stroke. STROKELEDGER_JUDGES are their seeds.
func BenchmarkMeasures(b *testing.B) {
	seeds := strings.Fields(os.Getenv("STROKELEDGER_JUDGES"))
	if len(seeds) == 0 {
		seeds = []string{"201"}
	}
	for range b.N {
		v, back := verdicts{}, returned{}
		for _, seed := range seeds {
			n, err := strconv.ParseInt(seed, 10, 64)
			require.NoError(b, err)
			judge(b, n, v, &back)
		}
		v.print("")
		back.print("")
	}
}

// verdicts are how suggestions lie beside the truth, by measure.
type verdicts map[club.Measure]*verdict

type verdict struct {
	// Outside the grey zone: faulty strokes, those suggested, clean ones, those suggested;
	// and strokes about which nothing is said.
	faulty, hits, clean, wrong, silent int
	// All strokes by the chance that they are beyond the limit, and how many of them are.
	all, beyond [10]int
	// The same of suggestions alone, by stretch of the chance.
	suggested, right [4]int
}

// stretches of chances end there.
func stretches() []float64 { return []float64{.7, .9, .97, 1.01} }

// judgedLimits are those that [measure.LimitOf] gives on clubs 101 to 105, that of the
// elbow on 101 to 110, each pair of them told by weights that were fitted to the rest.
func judgedLimits() map[club.Measure]float64 {
	return map[club.Measure]float64{club.FeetBehind: 44, club.ElbowDrop: 48, club.HandBack: 28}
}

// limited are the measures that have a limit.
func limited() []club.Measure {
	return slices.DeleteFunc(club.Measures(), func(m club.Measure) bool { return !m.OfFaults() })
}

func (v verdicts) add(s measured.Stroke, truth demo.TruthStroke, codes string) {
	late := math.Inf(1) // seconds after the limit
	if truth.Recovered != nil {
		late = *truth.Recovered - truth.Latest
	}
	is := map[club.Measure]bool{club.FeetBehind: strings.Contains(codes, "CLOSE"), club.ElbowDrop: strings.Contains(codes, "ELBOW"), club.HandBack: strings.Contains(codes, "LATE")}
	grey := map[club.Measure]bool{club.FeetBehind: math.Abs(truth.FeetLine-.45) <= .05, club.ElbowDrop: math.Abs(truth.ElbowAngle-40) <= 6, club.HandBack: math.Abs(late) <= .06*truth.Gap}
	for m, limit := range judgedLimits() {
		if v[m] == nil {
			v[m] = &verdict{}
		}
		k := v[m]
		i := slices.IndexFunc(s.Values, func(o measured.Value) bool { return o.Measure == m })
		if i < 0 {
			k.silent++
			continue
		}
		v := s.Values[i]
		chance, suggested := measure.Value{At: v.At, SD: v.Half / 1.96, Astray: v.Astray}.Beyond(limit)
		count := func(n *int, when bool) {
			if when {
				*n++
			}
		}
		tenth := min(9, int(10*chance))
		k.all[tenth]++
		count(&k.beyond[tenth], is[m])
		if suggested {
			at := slices.IndexFunc(stretches(), func(most float64) bool { return chance < most })
			k.suggested[at]++
			count(&k.right[at], is[m])
		}
		if grey[m] {
			continue
		}
		count(&k.faulty, is[m])
		count(&k.hits, is[m] && suggested)
		count(&k.clean, !is[m])
		count(&k.wrong, !is[m] && suggested)
	}
}

// print tells it as two tables.
func (v verdicts) print(so string) {
	fmt.Println(so + "| measure, limit | found of those beyond the grey zone (aim: 85 %) | suggested of the clean ones (aim: 3 %) | nothing said |\n" + so + "|---|---|---|---|")
	for _, m := range limited() {
		k := v[m]
		fmt.Printf(so+"| %s, %.0f | %s | %s | %d |\n", m, judgedLimits()[m], part(k.hits, k.faulty), part(k.wrong, k.clean), k.silent)
	}
	fmt.Println(so + "| suggestions with a chance of | less than 70 % | 70 to 90 % (aim: 70 to 90 % of them) | 90 to 97 % | 97 % and more |\n" + so + "|---|---|---|---|---|")
	for _, m := range limited() {
		k := v[m]
		fmt.Printf(so+"| %s: truly beyond |", m)
		for i, n := range k.suggested {
			fmt.Printf(" %s |", part(k.right[i], n))
		}
		fmt.Println()
	}
	fmt.Println(so + "| all strokes with a chance of | 0–10 | –20 | –30 | –40 | –50 | –60 | –70 | –80 | –90 | –100 % |\n" + so + "|---|---|---|---|---|---|---|---|---|---|---|")
	for _, m := range limited() {
		fmt.Printf(so+"| %s: truly beyond |", m)
		for i, n := range v[m].all {
			fmt.Printf(" %d of %d |", v[m].beyond[i], n)
		}
		fmt.Println()
	}
}

// returned is how the moments at which the hand is back lie beside the truth.
type returned struct {
	all, told, within int
	off               []float64 // ms, of those that are told and truly back
	late, hits        int       // beyond the grey zone, told or told to be after the limit
	clean, wrong      int
	never, neverTold  int // hands that are not back before the next stroke
}

func (k *returned) add(r *measured.Ready, truth demo.TruthStroke) {
	k.all++
	if r == nil {
		return
	}
	k.told++
	late := r.Never || r.Seconds > truth.Latest
	if truth.Recovered == nil {
		k.never++
		if r.Never {
			k.neverTold++
		}
	} else if !r.Never {
		off := 1000 * math.Abs(r.Seconds-*truth.Recovered)
		k.off = append(k.off, off)
		if off <= 1000*r.Half {
			k.within++
		}
	}
	switch after := truth.Recovered == nil || *truth.Recovered > truth.Latest; {
	case truth.Recovered != nil && math.Abs(*truth.Recovered-truth.Latest) <= .06*truth.Gap:
	case after:
		k.late++
		if late {
			k.hits++
		}
	default:
		k.clean++
		if late {
			k.wrong++
		}
	}
}

func (k *returned) print(so string) {
	slices.Sort(k.off)
	q := func(p float64) float64 {
		if len(k.off) == 0 {
			return 0
		}
		return k.off[int(p*float64(len(k.off)-1))]
	}
	fmt.Println(so + "| hand back, told of | off by, in the middle | 80 of 100 | 95 of 100 | within ± | late ones told so | those in time told late | of those never back told so |\n" + so + "|---|---|---|---|---|---|---|---|")
	fmt.Printf(so+"| %s | %.0f ms | %.0f ms | %.0f ms | %s | %s | %s | %s |\n", part(k.told, k.all), q(.5), q(.8), q(.95), part(k.within, len(k.off)), part(k.hits, k.late), part(k.wrong, k.clean), part(k.neverTold, k.never))
}

func part(x, n int) string {
	if n == 0 {
		return "–"
	}
	return fmt.Sprintf("%d of %d, %.0f %%", x, n, 100*float64(x)/float64(n))
}

func judge(b *testing.B, seed int64, v verdicts, back *returned) {
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
			v.add(s, true, faults[s.Frame])
			back.add(s.Ready, true)
			share := 9.
			if true.BackShare != nil {
				share = *true.BackShare
			}
			fmt.Printf("%d,%d,%d,%s,%.0f,%v,%.1f,%.1f,%.2f,%.2f,%s", seed, i, s.Frame, s.PlayerID[:8], 100*view.Support, view.Good, 100*true.FeetLine, true.ElbowAngle, share, 100*true.Elbow/true.Trunk, strings.TrimSpace(faults[s.Frame]))
			for _, m := range limited() {
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
		v.print("# ") // what is known so far
		back.print("# ")
	}
}

package clip_test

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
)

// oncePictured are pairs of which every picture is asked for:
// another layout of packets, a clock that goes back by less than a second, another
// codec, pictures before a key that lean on nothing, chained streams.
var oncePictured = [][2]string{
	{"a40_dup_pts.ts", "a10_paff_tff.MTS"}, {"a10_paff_tff.MTS", "a40_dup_pts.ts"},
	{"a09_mbaff_tff.ts", "pyramid.ts"}, {"slices.ts", "plain.ts"}, {"theora.ogv", "theora.ogv"}, {"cavlc.h264", "slices.ts"}, {"a30_open_gop.ts", "a30_open_gop.ts"},
}

func transport(path string) bool {
	return strings.EqualFold(filepath.Ext(path), ".ts") || strings.EqualFold(filepath.Ext(path), ".mts")
}

// Two files joined end to end: in whatever order pictures are asked for, each number
// has one. Some pairs are drawn; STROKELEDGER_PAIRS=all joins every two.
func TestFilmsJoinedEndToEnd(t *testing.T) {
	paths := allFilms(t)
	rnd := rand.New(rand.NewPCG(2028, 1))
	all := os.Getenv("STROKELEDGER_PAIRS") == "all"
	var pairs [][2]string
	for _, a := range paths {
		for _, b := range paths {
			// Matroska always: it is the kind that FFmpeg goes on reading behind the end.
			matroska := filepath.Ext(a) == ".mkv" && filepath.Ext(b) == ".mkv"
			if matroska || all || slices.Contains(oncePictured, [2]string{filepath.Base(a), filepath.Base(b)}) || rnd.IntN(30) == 0 {
				pairs = append(pairs, [2]string{a, b})
			}
		}
	}
	both := filepath.Join(t.TempDir(), "joined")
	for i, pair := range pairs {
		first, err := os.ReadFile(pair[0])
		require.NoError(t, err)
		second, err := os.ReadFile(pair[1])
		require.NoError(t, err)
		path := both + strconv.Itoa(i) + filepath.Ext(pair[0])
		require.NoError(t, os.WriteFile(path, append(first, second...), 0o600))
		told := filepath.Base(pair[0]) + " and " + filepath.Base(pair[1])
		every := all && transport(pair[0]) && transport(pair[1]) || slices.Contains(oncePictured, [2]string{filepath.Base(pair[0]), filepath.Base(pair[1])})
		oneNumberOnePicture(t, path, rnd, told, every)
		if filepath.Ext(pair[0]) == ".mkv" && filepath.Ext(pair[1]) == ".mkv" {
			c := openWhole(t, path)
			alone := openWhole(t, pair[0])
			require.Equal(t, alone.Index().Times(), c.Index().Times(), told)
			require.Len(t, notices(c, "only the first is shown"), 1, told)
			sound, _, err := c.Samples(context.Background(), -1, 100, 0)
			require.NoError(t, err)
			want, _, err := alone.Samples(context.Background(), -1, 100, 0)
			require.NoError(t, err)
			require.Equal(t, len(want), len(sound), "sound of %s", told)
			require.NoError(t, alone.Close())
			require.NoError(t, c.Close())
		}
		require.NoError(t, os.Remove(path))
	}
	t.Logf("%d pairs", len(pairs))
}

// oneNumberOnePicture asks for some pictures of a file, or for every one, in three
// orders.
func oneNumberOnePicture(t *testing.T, path string, rnd *rand.Rand, told string, every bool) {
	c, err := clip.Open(context.Background(), path, clip.Options{})
	if err != nil {
		return
	}
	require.NoError(t, c.Indexed(context.Background()), told)
	count := c.Index().Len()
	require.NoError(t, c.Close())
	some := []int{}
	for n := range count {
		some = append(some, n)
	}
	if !every {
		some = []int{0, max(0, count/2-1), count / 2, min(count/2+1, count-1), max(count-2, 0), count - 1}
		for range 8 {
			some = append(some, rnd.IntN(count))
		}
		slices.Sort(some)
	}
	seen := map[int]string{}
	for range 3 { // forwards, backwards, anyhow
		c, err := clip.Open(context.Background(), path, clip.Options{})
		require.NoError(t, err, told)
		require.NoError(t, c.Indexed(context.Background()), told)
		for _, n := range some {
			got := sum(t, c, n)
			if seen[n] == "" {
				seen[n] = got
			}
			if seen[n] != got {
				t.Errorf("%s: frame %d of %d is one picture and another", told, n, count)
				require.NoError(t, c.Close())
				return
			}
		}
		require.NoError(t, c.Close())
		if slices.Reverse(some); slices.IsSorted(some) {
			rnd.Shuffle(len(some), func(i, j int) { some[i], some[j] = some[j], some[i] })
		}
	}
}

package clip_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
)

// allFilms are those of the test tree, and some more kinds made of one of them.
func allFilms(t *testing.T) (paths []string) {
	for _, f := range cases(t) {
		if f.Outcome == "opens" {
			paths = append(paths, f.path())
		}
	}
	dir := t.TempDir()
	for name, how := range map[string]string{
		"fast.mp4":     "-c copy -movflags faststart",
		"pieces.mp4":   "-an -c:v libx264 -bf 3 -b_strategy 0 -g 30 -movflags frag_keyframe+empty_moov",
		"pyramid.mkv":  "-an -c:v libx264 -bf 3 -b_strategy 0 -g 30",
		"pyramid.ts":   "-an -c:v libx264 -bf 3 -b_strategy 0 -g 30",
		"pyramid.flv":  "-c:a aac -c:v libx264 -bf 3 -b_strategy 0 -g 30",
		"hevc.mkv":     "-an -c:v libx265 -x265-params log-level=0",
		"plain.avi":    "-c:v mpeg4 -bf 2 -q:v 4 -c:a mp2",
		"plain.mpg":    "-c:v mpeg2video -bf 2 -q:v 4 -c:a mp2",
		"plain.ts":     "-c:v mpeg2video -bf 2 -q:v 4 -c:a mp2",
		"slices.ts":    "-an -c:v libx264 -x264-params cabac=0:slices=4:bframes=0",
		"vp8.webm":     "-an -c:v libvpx",
		"theora.ogv":   "-an -c:v libtheora -q:v 6",
		"plain.wmv":    "-c:v wmv2 -c:a wmav2",
		"uneven.mp4":   "-c copy -movflags faststart",
		"lossless.mkv": "-an -c:v ffv1",
		"bare.h264":    "-an -c:v libx264 -bf 3 -b_strategy 0 -g 30",
		"cavlc.h264":   "-an -c:v libx264 -x264-params cabac=0",
		"bare.hevc":    "-an -c:v libx265 -x265-params log-level=0",
	} {
		from := cases(t)[0].path()
		if name == "uneven.mp4" {
			from = cases(t)[1].path()
		}
		path := filepath.Join(dir, name)
		out, err := exec.Command("ffmpeg", append(strings.Fields("-v error -y -i "+from+" "+how), path)...).CombinedOutput()
		require.NoError(t, err, string(out))
		paths = append(paths, path)
	}
	slices.Sort(paths)
	return paths
}

// sum tells pictures apart.
func sum(t *testing.T, c *clip.Clip, n int) string {
	img, err := c.Image(context.Background(), n)
	if err != nil {
		return err.Error()
	}
	return fmt.Sprintf("%x", sha256.Sum256(img.Pix))
}

func openWhole(t *testing.T, path string) *clip.Clip {
	c, err := clip.Open(context.Background(), path, clip.Options{})
	require.NoError(t, err, path)
	require.NoError(t, c.Indexed(context.Background()), path)
	return c
}

// A film that was cut off, anywhere: each picture that is counted is the one that
// the whole film has under that number, and where there are fewer it is told from
// which on. STROKELEDGER_CUTS=200 cuts each film as often.
func TestFilmsThatWereCutOff(t *testing.T) {
	times := 6
	if n, err := strconv.Atoi(os.Getenv("STROKELEDGER_CUTS")); err == nil {
		times = n
	}
	told := 0
	for _, path := range allFilms(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			whole, err := os.ReadFile(path)
			require.NoError(t, err)
			c := openWhole(t, path)
			require.Empty(t, notices(c, "broken off"), "it is whole")
			sums := make([]string, c.Index().Len())
			for n := range sums {
				sums[n] = sum(t, c, n)
			}
			require.NoError(t, c.Close())
			rnd := rand.New(rand.NewPCG(2027, uint64(len(whole))))
			cut := filepath.Join(t.TempDir(), "cut"+filepath.Ext(path))
			for range times {
				at := len(whole)/10 + rnd.IntN(len(whole)*9/10)
				if raw := filepath.Ext(path) == ".h264" || filepath.Ext(path) == ".hevc"; raw && bytes.Contains(whole[at-2:min(at+7, len(whole))], []byte{0, 0, 1}) {
					continue // between two pictures, but for stop bits: nobody can tell
				}
				require.NoError(t, os.WriteFile(cut, whole[:at], 0o600))
				c, err := clip.Open(context.Background(), cut, clip.Options{})
				if err != nil {
					require.Regexp(t, `^[^\n]+[.]$`, err.Error())
					continue
				}
				require.NoError(t, c.Indexed(context.Background()))
				count := c.Index().Len()
				for _, n := range rnd.Perm(count) {
					if n >= count-6 || n%10 == 0 {
						require.Equal(t, sums[n], sum(t, c, n), "cut at %d: frame %d of %d", at, n, count)
					}
				}
				note := notices(c, "broken off")
				require.Empty(t, notices(c, "damaged"), "cut at %d", at)
				if count < len(sums) && (len(note) > 0 || !betweenUnits(path, whole, at)) {
					require.Equal(t, []string{fmt.Sprintf("This film is broken off from frame %d on: its file ends there. Copy it from the camera again if it is whole there.", count)}, note, "cut at %d", at)
					told++
				}
				require.NoError(t, c.Close())
			}
		})
	}
	require.Greater(t, told, times*10)
}

// betweenUnits reports whether a transport stream was cut where a picture or a piece
// of sound begins: only what is missing of the order of pictures may tell then.
func betweenUnits(path string, film []byte, at int) bool {
	ext := filepath.Ext(path)
	return (ext == ".ts" || ext == ".MTS") && at+5 < len(film) &&
		(film[at] == 0x47 && film[at+1]&0x40 != 0 || film[at+4] == 0x47 && film[at+5]&0x40 != 0)
}

// notices are those with some words.
func notices(c *clip.Clip, words string) (found []string) {
	for _, n := range c.Info().Notices {
		if strings.Contains(n, words) {
			found = append(found, n)
		}
	}
	return found
}

// A film has as many pictures as it can show: most of what is in the part that is
// left of it, and all of it where only what follows the pictures is missing.
func TestLittleIsLostOfAFilmThatWasCutOff(t *testing.T) {
	for _, path := range allFilms(t) {
		whole, err := os.ReadFile(path)
		require.NoError(t, err)
		c := openWhole(t, path)
		all := c.Index().Len()
		require.NoError(t, c.Close())
		if all < 40 {
			continue
		}
		cut := filepath.Join(t.TempDir(), "cut"+filepath.Ext(path))
		require.NoError(t, os.WriteFile(cut, whole[:len(whole)-len(whole)/100], 0o600))
		c, err = clip.Open(context.Background(), cut, clip.Options{})
		if err != nil {
			continue // its header stood there
		}
		require.NoError(t, c.Indexed(context.Background()))
		require.GreaterOrEqual(t, c.Index().Len(), all-8, path)
		require.NoError(t, c.Close())
	}
}

// The kept index tells the same as the first.
func TestKeptIndexTellsThatAFilmIsBrokenOff(t *testing.T) {
	f := cases(t)[15]
	require.Equal(t, "a16", f.ID)
	c := f.open(t, clip.Options{})
	data, err := c.Index().MarshalBinary()
	require.NoError(t, err)
	var x clip.Index
	require.NoError(t, x.UnmarshalBinary(data))
	again := f.open(t, clip.Options{Index: &x})
	require.Equal(t, []string{"This film is broken off from frame 40 on: its file ends there. Copy it from the camera again if it is whole there."}, again.Info().Notices)
	require.Equal(t, c.Info(), again.Info())
}

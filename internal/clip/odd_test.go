package clip

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

// moving is a film in which no two pictures are alike.
func moving(size string, count string) []string {
	return []string{"-f", "lavfi", "-i", "testsrc2=r=25:s=" + size, "-frames:v", count, "-pix_fmt", "yuv420p"}
}

// film makes a clip with ffmpeg.
func film(t *testing.T, name string, args ...string) string {
	path := filepath.Join(t.TempDir(), name)
	ffmpeg(t, append(args, path)...)
	return path
}

// cut takes bytes off a file's start.
func cut(t *testing.T, path string, from int) string {
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	short := filepath.Join(t.TempDir(), filepath.Base(path))
	require.NoError(t, os.WriteFile(short, b[from:], 0o600))
	return short
}

// exact checks that a clip has so many pictures and gives each of them, wherever it
// comes from, as one decoder that goes through the file once, and in its order.
func exact(t *testing.T, path string, count int) { alike(t, path, count, 0) }

// alike is exact where so many pictures come out of the decoder after later ones, and
// where these notices are given.
func alike(t *testing.T, path string, count, late int, notices ...string) {
	ctx := context.Background()
	open := func() *Clip {
		c, err := Open(ctx, path, Options{})
		require.NoError(t, err)
		t.Cleanup(func() { c.Close() })
		require.NoError(t, c.Indexed(ctx))
		return c
	}
	c := open()
	x := c.Index()
	require.Equal(t, count, x.Len())
	d, err := newDecoding(c.watch, path, c.stream, 1)
	require.NoError(t, err)
	defer d.close()
	view := av.NewView()
	defer view.Close()
	truth := make([][32]byte, count)
	last, before := -1, 0
	for {
		p, packet, err := d.next()
		if err != nil {
			require.ErrorIs(t, err, av.ErrEnd)
			break
		}
		if n := x.frame(packet); n >= 0 {
			require.Zero(t, truth[n], "frame %d twice", n)
			if n < last {
				before++
			}
			last = n
			img, err := view.RGBA(p, c.look)
			require.NoError(t, err)
			truth[n] = sha256.Sum256(img.Pix)
		}
		p.Close()
	}
	require.Equal(t, late, before, "pictures that come after later ones")
	require.NotContains(t, truth, [32]byte{}, "each picture comes out of the decoder")
	rnd := rand.New(rand.NewPCG(1, 2))
	walks := make([][]int, 3)
	for n := range count {
		walks[0] = append(walks[0], n)
		walks[1] = append(walks[1], count-1-n)
		walks[2] = append(walks[2], rnd.IntN(count))
	}
	for i, walk := range walks {
		c := open()
		for _, n := range walk {
			img, err := c.Image(ctx, n)
			require.NoError(t, err)
			require.Equal(t, truth[n], sha256.Sum256(img.Pix), "frame %d, walk %d", n, i)
		}
		require.ElementsMatch(t, notices, c.Info().Notices)
	}
}

// The pictures' size stands at the start of a group only, and FFmpeg gives up
// looking for it after some five seconds.
func TestFilmCutInALongGroup(t *testing.T) {
	path := film(t, "long.ts", append(moving("64x48", "450"), "-c:v", "libx264", "-preset", "veryfast",
		"-x264-params", "keyint=400:min-keyint=400:scenecut=0:bframes=0")...)
	path = cut(t, path, 188*100)
	c, err := Open(context.Background(), path, Options{})
	require.NoError(t, err)
	defer c.Close()
	require.Equal(t, [2]int{64, 48}, [2]int{c.Info().Width, c.Info().Height})
	exact(t, path, 50)
}

func TestFilmWithoutItsHeadersIsRefused(t *testing.T) {
	whole := film(t, "open.mp4", append(moving("64x48", "60"), "-c:v", "libx264", "-x264-params", "keyint=20:open-gop=1")...)
	path := film(t, "headless.ts", "-ss", "1.3", "-i", whole, "-c", "copy")
	_, err := Open(context.Background(), path, Options{})
	require.ErrorIs(t, err, ErrNoVideo)
	require.Regexp(t, sentence, err.Error())
}

// What leans on a group that was cut off is no picture, however much of that group
// is left.
func TestLeadingPicturesAfterALongRest(t *testing.T) {
	path := film(t, "open.ts", append(moving("64x48", "260"), "-c:v", "libx265", "-preset", "ultrafast",
		"-x265-params", "log-level=none:keyint=120:min-keyint=120:scenecut=0:open-gop=1:bframes=4")...)
	exact(t, cut(t, path, 188*20), 140)
}

func TestRawStreams(t *testing.T) {
	for _, name := range []string{"bare.h264", "bare.hevc"} {
		coder := map[string]string{".h264": "libx264", ".hevc": "libx265"}[filepath.Ext(name)]
		exact(t, film(t, name, append(moving("64x48", "60"), "-c:v", coder, "-preset", "ultrafast", "-g", "15", "-bf", "2")...), 60)
	}
}

// Dirac's packets are others after a move.
func TestContainerThatCannotMove(t *testing.T) {
	exact(t, film(t, "dirac.mkv", append(moving("192x112", "12"), "-c:v", "vc2")...), 12)
}

// Pictures that build themselves up over many: of the entries at 20, 40, 60 and 80
// the last gives wrong ones without forerunners, though the stream says otherwise.
func TestGradualRefresh(t *testing.T) {
	for _, b := range []string{"0", "3"} {
		exact(t, film(t, "gradual.mp4", append(moving("192x112", "117"), "-c:v", "libx264", "-preset", "veryfast",
			"-x264-params", "intra-refresh=1:keyint=20:bframes="+b)...), 117)
	}
}

// With several threads the decoder tells of a damaged packet while it gives out the
// last pictures; those behind it are whole.
func TestLastPicturesOfAFilmThatWasCutOff(t *testing.T) {
	ctx := context.Background()
	path := film(t, "whole.mp4", append(moving("192x112", "60"), "-c:v", "libx264", "-preset", "veryfast", "-bf", "3", "-g", "25",
		"-movflags", "faststart")...)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	whole, err := Open(ctx, path, Options{})
	require.NoError(t, err)
	defer whole.Close()
	require.NoError(t, whole.Indexed(ctx))
	for _, packet := range whole.Index().packets[40:50] {
		size := packet.Pos + int64(packet.Size)/2
		require.NoError(t, os.WriteFile(path, b[:size], 0o600))
		c, err := Open(ctx, path, Options{Threads: 3})
		require.NoError(t, err)
		require.NoError(t, c.Indexed(ctx))
		d, err := newDecoding(c.watch, path, c.stream, 1)
		require.NoError(t, err)
		view := av.NewView()
		for {
			p, packet, err := d.next()
			if err != nil {
				break
			}
			want, err := view.RGBA(p, c.look)
			require.NoError(t, err)
			if n := c.Index().frame(packet); n >= 0 { // others are not whole, or their number is not sure
				got, err := c.Image(ctx, n)
				require.NoError(t, err)
				require.Equal(t, sha256.Sum256(want.Pix), sha256.Sum256(got.Pix), "packet %d of %d, %d bytes", packet, len(c.Index().packets), size)
			}
			p.Close()
		}
		view.Close()
		d.close()
		require.NoError(t, c.Close())
	}
}

// A clock too coarse for 3000 pictures a second gives the same time to three, and
// then nothing but the decoder tells their order.
func TestPicturesOfOneTime(t *testing.T) {
	path := film(t, "coarse.mkv", "-f", "lavfi", "-i", "testsrc2=r=3000:s=64x48", "-frames:v", "60", "-pix_fmt", "yuv420p",
		"-c:v", "libx264", "-preset", "veryfast", "-bf", "3", "-g", "30")
	alike(t, path, 60, 18)
}

// The decoder makes two pictures of one packet here, and the packet that is said to
// be a key picture gives none.
func TestFilmWithoutItsFirstPicture(t *testing.T) {
	ctx := context.Background()
	whole := film(t, "whole.avi", append(moving("64x48", "40"), "-c:v", "mpeg4", "-bf", "2", "-g", "600")...)
	path := film(t, "rest.avi", "-i", whole, "-c", "copy", "-bsf:v", `noise=amount=-1:drop=eq(n\,0)`)
	c, err := Open(ctx, path, Options{})
	require.NoError(t, err)
	defer c.Close()
	require.NoError(t, c.Indexed(ctx))
	require.Greater(t, c.Index().Len(), 30)
	for n := range c.Index().Len() {
		_, err := c.JPEG(ctx, n, 0)
		require.NoError(t, err, "frame %d", n)
	}
}

func TestOldCoders(t *testing.T) {
	exact(t, film(t, "phone.3gp", append(moving("176x144", "50"), "-c:v", "h263", "-g", "20")...), 50)
	exact(t, film(t, "plus.avi", append(moving("64x48", "50"), "-c:v", "h263p", "-g", "20")...), 50)
	exact(t, film(t, "theora.ogv", append(moving("192x112", "100"), "-c:v", "libtheora", "-g", "25")...), 100)
}

// The list of edits plays one second twice, from the middle of a group: the second
// time its key picture is decoded but not shown.
func TestEditsThatRepeat(t *testing.T) {
	path := film(t, "edits.mp4", append(moving("192x112", "100"), "-c:v", "libx264", "-preset", "veryfast", "-bf", "3", "-g", "25")...)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	list := bytes.Index(b, []byte("elst"))
	require.Positive(t, list)
	entry := binary.BigEndian.AppendUint32(nil, 1000)
	entry = binary.BigEndian.AppendUint32(entry, 12800*4/10+1024)
	entry = binary.BigEndian.AppendUint32(entry, 1<<16)
	for _, name := range []string{"moov", "trak", "edts", "elst"} {
		at := bytes.Index(b, []byte(name)) - 4
		binary.BigEndian.PutUint32(b[at:], binary.BigEndian.Uint32(b[at:])+12)
	}
	binary.BigEndian.PutUint32(b[list+8:], 2)
	b = slices.Replace(b, list+12, list+24, append(slices.Clone(entry), entry...)...)
	require.NoError(t, os.WriteFile(path, b, 0o600))
	alike(t, path, 50, 0, "The film's edit list puts 2 stretches together: they play here as FFmpeg reads them. Another program may show or number its pictures otherwise.")
}

package clip

import (
	"bytes"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A recipe from public reports (mpv-player/mpv#8829, androidx/media#320): the first
// 60 % of a transport stream, then the rest.
func TestRecordingThatGrows(t *testing.T) {
	for _, name := range []string{"a03_start_10s.ts", "a09_mbaff_tff.ts", "a14_video_late.mkv", "a25_fragmented.mp4"} {
		t.Run(name, func(t *testing.T) {
			ctx := context.Background()
			whole, err := os.ReadFile("../../testdata/clips/" + name)
			require.NoError(t, err)
			path := filepath.Join(t.TempDir(), name)
			cut := len(whole) * 6 / 10
			require.NoError(t, os.WriteFile(path, whole[:cut], 0o600))
			c, err := Open(ctx, path, Options{})
			require.NoError(t, err)
			defer c.Close()
			require.NoError(t, c.Indexed(ctx))
			before := c.Index()
			grown, err := c.Grown(ctx)
			require.NoError(t, err)
			require.False(t, grown)
			early, err := c.Image(ctx, 9)
			require.NoError(t, err)
			_, err = c.Image(ctx, before.Len()-1)
			require.NoError(t, err)

			file, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
			require.NoError(t, err)
			_, err = file.Write(whole[cut:])
			require.NoError(t, err)
			require.NoError(t, file.Close())
			grown, err = c.Grown(ctx)
			require.NoError(t, err)
			require.True(t, grown)

			kept, err := c.Rescan(ctx)
			require.NoError(t, err)
			t.Logf("%d pictures, %d kept, %d now", before.Len(), kept, c.Index().Len())
			require.GreaterOrEqual(t, kept, before.Len()-3, "numbers of what there was")
			want := scanned(t, "../../testdata/clips/"+name, true)
			require.Equal(t, want.ticks, c.Index().ticks)
			require.Equal(t, want.ticks[:kept], before.ticks[:kept])

			fresh, err := Open(ctx, path, Options{})
			require.NoError(t, err)
			defer fresh.Close()
			for n := c.Index().Len() - 1; n >= 0; n-- {
				got, err := c.Image(ctx, n)
				require.NoError(t, err)
				same, err := fresh.Image(ctx, n)
				require.NoError(t, err)
				require.Equal(t, same.Pix, got.Pix, "frame %d", n)
				if n == 9 {
					require.Equal(t, early.Pix, got.Pix)
				}
			}
		})
	}
}

func TestAnotherFileIsNotTheSameGrown(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.ts")
	for _, name := range []string{"a03_start_10s.ts", "a30_open_gop.ts"} {
		data, err := os.ReadFile("../../testdata/clips/" + name)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		if name == "a03_start_10s.ts" {
			c, err := Open(context.Background(), path, Options{})
			require.NoError(t, err)
			defer c.Close()
			defer func() {
				_, err = c.Rescan(context.Background())
				require.ErrorIs(t, err, ErrChanged)
				require.Equal(t, 75, c.Index().Len(), "as it was")
			}()
		}
	}
}

// huge moves what lies behind the file type box of an MP4 five gigabytes on, over
// a hole that takes no room on the disk, with offsets of 64 bits (ISO/IEC
// 14496-12, 8.1.2 and 8.7.5).
func huge(t *testing.T, from, to string) {
	data, err := os.ReadFile(from)
	require.NoError(t, err)
	const gap = 5 << 30
	start := int(binary.BigEndian.Uint32(data))
	at := bytes.Index(data, []byte("moov")) - 4
	require.Greater(t, at, 0)
	movie := wideOffsets(data[at:at+int(binary.BigEndian.Uint32(data[at:]))], gap)
	f, err := os.Create(to)
	require.NoError(t, err)
	defer f.Close()
	_, err = f.Write(data[:start])
	require.NoError(t, err)
	var free bytes.Buffer
	free.Write([]byte{0, 0, 0, 1, 'f', 'r', 'e', 'e'})
	require.NoError(t, binary.Write(&free, binary.BigEndian, uint64(gap)))
	_, err = f.WriteAt(free.Bytes(), int64(start))
	require.NoError(t, err)
	_, err = f.WriteAt(append(bytes.Clone(data[start:at]), movie...), int64(start)+gap)
	require.NoError(t, err)
}

// wideOffsets rewrites a box with its chunk offsets moved on.
func wideOffsets(box []byte, by uint64) []byte {
	name, body := string(box[4:8]), box[8:]
	var out []byte
	switch name {
	case "stco":
		name = "co64"
		out = append(out, body[:8]...)
		for i := 8; i < len(body); i += 4 {
			out = binary.BigEndian.AppendUint64(out, uint64(binary.BigEndian.Uint32(body[i:]))+by)
		}
	case "moov", "trak", "mdia", "minf", "stbl":
		for len(body) > 0 {
			size := binary.BigEndian.Uint32(body)
			out = append(out, wideOffsets(body[:size], by)...)
			body = body[size:]
		}
	default:
		out = body
	}
	return append(append(binary.BigEndian.AppendUint32(nil, uint32(8+len(out))), name...), out...)
}

func TestHugeFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "huge.mp4")
	huge(t, plainClip, path)
	st, err := os.Stat(path)
	require.NoError(t, err)
	require.Greater(t, st.Size(), int64(5<<30))
	_, size, err := Fingerprint(path)
	require.NoError(t, err)
	require.Equal(t, st.Size(), size)
	want, err := Open(context.Background(), plainClip, Options{})
	require.NoError(t, err)
	defer want.Close()
	c, err := Open(context.Background(), path, Options{})
	require.NoError(t, err)
	defer c.Close()
	require.NoError(t, c.Indexed(context.Background()))
	require.Equal(t, 75, c.Index().Len())
	for _, n := range []int{74, 0, 40} {
		a, err := c.Image(context.Background(), n)
		require.NoError(t, err)
		b, err := want.Image(context.Background(), n)
		require.NoError(t, err)
		require.Equal(t, b.Pix, a.Pix)
	}
	x, _, err := c.Samples(context.Background(), 1, 2, 0)
	require.NoError(t, err)
	y, _, err := want.Samples(context.Background(), 1, 2, 0)
	require.NoError(t, err)
	require.Equal(t, y, x)
}

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

// edited writes a film with another edit list: stretches of media, each with where
// it begins, how long it is, in ticks of the film and of the media, and its speed.
func edited(t *testing.T, list ...[3]uint32) string {
	whole, err := os.ReadFile(plainClip)
	require.NoError(t, err)
	elst := binary.BigEndian.AppendUint32(nil, uint32(16+12*len(list)))
	elst = append(elst, "elst\x00\x00\x00\x00"...)
	elst = binary.BigEndian.AppendUint32(elst, uint32(len(list)))
	for _, e := range list {
		for _, v := range e {
			elst = binary.BigEndian.AppendUint32(elst, v)
		}
	}
	at := bytes.Index(whole, []byte("edts")) - 4
	require.Positive(t, at)
	length := int(binary.BigEndian.Uint32(whole[at:]))
	edts := binary.BigEndian.AppendUint32(nil, uint32(8+len(elst)))
	edts = append(append(edts, "edts"...), elst...)
	grow := func(name string) { // the boxes around it
		i := bytes.Index(whole, []byte(name)) - 4
		binary.BigEndian.PutUint32(whole[i:], binary.BigEndian.Uint32(whole[i:])+uint32(len(edts)-length))
	}
	grow("moov")
	grow("trak")
	require.Less(t, bytes.Index(whole, []byte("mdat")), at, "else the places of its packets would have to move too")
	path := filepath.Join(t.TempDir(), "edited.mp4")
	require.NoError(t, os.WriteFile(path, append(append(append([]byte{}, whole[:at]...), edts...), whole[at+length:]...), 0o600))
	return path
}

func TestEditListsThatPlayersReadDifferently(t *testing.T) {
	const normal = 1 << 16
	for _, c := range []struct {
		list [][3]uint32
		want string
	}{
		{[][3]uint32{{3000, 1024, normal}}, ""},
		{[][3]uint32{{500, 0xffffffff, normal}, {2000, 1024, normal}}, ""}, // begins later
		{[][3]uint32{{1000, 1024, normal}, {1000, 13824, normal}, {500, 1024, normal}},
			"The film's edit list puts 3 stretches together: they play here as FFmpeg reads them. Another program may show or number its pictures otherwise."},
		{[][3]uint32{{3000, 1024, normal / 2}},
			"The film's edit list asks for another speed: it plays here as FFmpeg reads it, at the speed of its pictures. Another program may show or number its pictures otherwise."},
		{[][3]uint32{{1000, 1024, normal}, {1000, 13824, 0}},
			"The film's edit list asks for another speed: it plays here as FFmpeg reads it, at the speed of its pictures. Another program may show or number its pictures otherwise."},
	} {
		ctx := context.Background()
		clip, err := Open(ctx, edited(t, c.list...), Options{})
		require.NoError(t, err)
		require.NoError(t, clip.Indexed(ctx))
		_, err = clip.Image(ctx, clip.Index().Len()-1)
		require.NoError(t, err)
		var want []string
		if c.want != "" {
			want = []string{c.want}
		}
		require.Equal(t, want, clip.Info().Notices)
		data, err := clip.Index().MarshalBinary()
		require.NoError(t, err)
		var x Index
		require.NoError(t, x.UnmarshalBinary(data))
		again, err := Open(ctx, clip.path, Options{Index: &x})
		require.NoError(t, err)
		require.Equal(t, want, again.Info().Notices, "by the kept index")
		require.NoError(t, again.Close())
		require.NoError(t, clip.Close())
	}
}

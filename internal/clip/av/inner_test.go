package av

import (
	"fmt"
	"reflect"
	"testing"

	"github.com/asticode/go-astiav"
	"github.com/stretchr/testify/require"
)

// behind says what inner would find in a type: the C structure to which its first
// field points.
func behind(t reflect.Type) (string, error) {
	if t.Kind() != reflect.Struct || t.NumField() == 0 {
		return "", fmt.Errorf("%v has no fields", t)
	}
	f := t.Field(0)
	if f.Offset != 0 || f.Type.Kind() != reflect.Pointer {
		return "", fmt.Errorf("%v begins with %s %v, which is no pointer", t, f.Name, f.Type)
	}
	return f.Type.Elem().Name(), nil
}

// What inner takes for granted holds: by the types, and by what both sides read in
// one structure.
func TestAstiavKeepsItsLayout(t *testing.T) {
	for want, have := range map[string]reflect.Type{
		"AVFormatContext": reflect.TypeFor[astiav.FormatContext](),
		"AVCodecContext":  reflect.TypeFor[astiav.CodecContext](),
		"AVPacket":        reflect.TypeFor[astiav.Packet](),
	} {
		got, err := behind(have)
		require.NoError(t, err)
		require.Equal(t, "_Ctype_struct_"+want, got, "%v", have)
	}

	s, err := OpenSource(shared("a01_baseline.mp4"))
	require.NoError(t, err)
	defer s.Close()
	require.NotEmpty(t, s.fc.Streams())
	require.EqualValues(t, len(s.fc.Streams()), s.format().nb_streams)
	s.Choose(0)
	d, err := NewDecoder(s, 1)
	require.NoError(t, err)
	defer d.Close()
	require.EqualValues(t, s.Streams()[0].Width, d.context().width)
	require.EqualValues(t, d.cc.Height(), d.context().height)
	_, err = s.Next()
	require.NoError(t, err)
	require.Positive(t, s.packet().size)
	require.EqualValues(t, s.pkt.Size(), s.packet().size)
	s.pkt.SetPts(4711)
	require.EqualValues(t, 4711, s.packet().pts)
}

// The guard sees what a new release might do.
func TestLayoutThatInnerCannotRead(t *testing.T) {
	type structure struct{ _ int }
	for _, bad := range []reflect.Type{
		reflect.TypeFor[struct{}](),
		reflect.TypeFor[struct {
			open bool
			c    *structure
		}](),
		reflect.TypeFor[struct{ c structure }](),
	} {
		_, err := behind(bad)
		require.Error(t, err, "%v", bad)
	}
	got, err := behind(reflect.TypeFor[struct {
		other *int
		c     *structure
	}]())
	require.NoError(t, err)
	require.NotEqual(t, "structure", got)
}

package cache_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/cache"
)

func form() cache.Form { return cache.Form{Name: "shape", Version: 3} }

// shape has a field of each kind.
type shape struct {
	whole   int64
	small   uint8
	decimal float64
	truth   bool
	text    string
	bytes   []byte
	list    []shape
	moment  time.Time
}

func (s *shape) fields(f cache.Fields) {
	cache.Whole(f, &s.whole)
	cache.Whole(f, &s.small)
	cache.Decimal(f, &s.decimal)
	cache.Truth(f, &s.truth)
	cache.Text(f, &s.text)
	cache.Text(f, &s.bytes)
	cache.List(f, &s.list, func(s *shape) { s.fields(f) })
	cache.Moment(f, &s.moment)
}

func drawn(t *rapid.T, deep int) (s shape) {
	s.whole = rapid.Int64().Draw(t, "whole")
	s.small = rapid.Uint8().Draw(t, "small")
	s.decimal = rapid.Float64().Draw(t, "decimal")
	s.truth = rapid.Bool().Draw(t, "truth")
	s.text = rapid.String().Draw(t, "text")
	s.bytes = []byte(rapid.String().Draw(t, "bytes"))
	if rapid.Bool().Draw(t, "when") {
		s.moment = time.Unix(rapid.Int64Range(0, 1e10).Draw(t, "seconds"), rapid.Int64Range(0, 1e9-1).Draw(t, "nanos")).UTC()
	}
	for range rapid.IntRange(0, deep).Draw(t, "list") {
		s.list = append(s.list, drawn(t, deep-1))
	}
	return s
}

func sealed(s *shape) []byte {
	w := cache.NewWriter(form(), 0)
	s.fields(cache.Write(w))
	return w.Seal()
}

func TestFieldsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawn(t, 2)
		r, ok := cache.Open(form(), sealed(&want))
		require.True(t, ok)
		var got shape
		got.fields(cache.Read(&r))
		require.False(t, r.Bad())
		require.Zero(t, r.Left())
		require.Equal(t, want, got)
	})
}

func TestNumbersComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, i, d := rapid.Uint64().Draw(t, "uint"), rapid.Int64().Draw(t, "int"), rapid.Float64().Draw(t, "float")
		n := rapid.IntRange(0, math.MaxInt32).Draw(t, "natural")
		w := cache.NewWriter(form(), 0)
		w.Uint(u)
		w.Int(i)
		w.Float(d)
		w.Uint(uint64(n))
		w.Byte(7)
		w.Text("text")
		r, ok := cache.Open(form(), w.Seal())
		require.True(t, ok)
		require.Equal(t, u, r.Uint())
		require.Equal(t, i, r.Int())
		require.Equal(t, d, r.Float())
		require.Equal(t, n, r.Natural())
		require.Equal(t, byte(7), r.Byte())
		require.Equal(t, "text", r.Text())
		require.False(t, r.Bad())
		require.Zero(t, r.Byte())
		require.True(t, r.Bad())
	})
}

// What is of another name or version, or has suffered anywhere, is not read.
func TestOnlyWhatIsWholeIsRead(t *testing.T) {
	data := sealed(&shape{text: "text", list: make([]shape, 2)})
	for _, other := range []cache.Form{{Name: "shape", Version: 2}, {Name: "shape", Version: 131}, {Name: "shap", Version: 3}, {Name: "shapes", Version: 3}, {}} {
		_, ok := cache.Open(other, data)
		require.False(t, ok, other)
	}
	for i := range data {
		_, ok := cache.Open(form(), data[:i])
		require.False(t, ok, "cut after %d bytes", i)
		for bit := range 8 {
			data[i] ^= 1 << bit
			_, ok := cache.Open(form(), data)
			require.False(t, ok, "bit %d of byte %d", bit, i)
			data[i] ^= 1 << bit
		}
	}
	_, ok := cache.Open(form(), data)
	require.True(t, ok)
}

// Nothing that stands behind a right checksum makes reading crash or ask for memory
// that it has not.
func FuzzFields(f *testing.F) {
	f.Add([]byte{1, 2, 3})
	s := shape{text: "text", list: make([]shape, 2)}
	r, _ := cache.Open(form(), sealed(&s))
	f.Add(r.Raw(r.Left()))
	f.Fuzz(func(t *testing.T, data []byte) {
		w := cache.NewWriter(form(), len(data))
		w.Raw(data[:min(len(data), 4096)]) // a shape may hold shapes without end
		r, ok := cache.Open(form(), w.Seal())
		if !ok {
			t.Fatal("not read")
		}
		var s shape
		if s.fields(cache.Read(&r)); r.Bad() && r.Left() > 0 {
			t.Fatal("reads on after a fault")
		}
	})
}

package clip

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/cache"
	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// scanned is the complete index of a file, read with or without the short way
// through its header.
func scanned(t testing.TB, path string, whole bool) *Index {
	src, err := av.OpenSource(path)
	require.NoError(t, err)
	stream, ok := chooseVideo(src.Streams(), 0)
	require.True(t, ok)
	var last *Index
	if whole {
		src.Choose(stream.Index)
		require.NoError(t, enumerate(context.Background(), &av.Watch{}, src, path, stream, ending{}, func(x *Index) { last = x }))
	} else {
		src.Close()
		require.NoError(t, scan(context.Background(), &av.Watch{}, path, stream, func(x *Index) { last = x }))
	}
	require.True(t, last.Complete)
	return last
}

func clips(t testing.TB) (paths []string) {
	all, err := filepath.Glob("../../testdata/clips/*")
	require.NoError(t, err)
	for _, p := range all {
		name := filepath.Base(p)
		if !strings.HasPrefix(name, "a15") && !strings.HasPrefix(name, "a20") && !strings.HasPrefix(name, "a38") && !strings.HasPrefix(name, "a39") {
			paths = append(paths, p)
		}
	}
	require.Len(t, paths, 41)
	return paths
}

func TestHeaderTellsWhatTheWholeFileTells(t *testing.T) {
	short := 0
	for _, path := range clips(t) {
		src, err := av.OpenSource(path)
		require.NoError(t, err)
		stream, _ := chooseVideo(src.Streams(), 0)
		src.Close()
		header, err := av.OpenHeader(path)
		require.NoError(t, err)
		if header == nil {
			continue
		}
		if !stream.Listed() {
			header.Close()
			continue
		}
		header.Choose(stream.Index)
		short++
		var got *Index
		require.NoError(t, enumerate(context.Background(), &av.Watch{}, header, path, stream, ending{}, func(x *Index) { got = x }))
		want := scanned(t, path, true)
		require.Equal(t, want.ticks, got.ticks, path)
		require.Equal(t, want.order, got.order, path)
		// The header knows how long the last picture lasts; the parser guesses a mean one.
		require.InDelta(t, want.EndSeconds(), got.EndSeconds(), .04, path)
		if strings.Contains(path, "a42") { // the header does not name the key pictures of open groups
			require.Subset(t, want.keys, got.keys, path)
		} else {
			require.Equal(t, want.keys, got.keys, path)
		}
	}
	require.GreaterOrEqual(t, short, 15, "files that take the short way")
}

func TestIndexKeptAndReadAgain(t *testing.T) {
	for _, path := range clips(t) {
		want := scanned(t, path, false)
		data, err := want.MarshalBinary()
		require.NoError(t, err)
		var got Index
		require.NoError(t, got.UnmarshalBinary(data))
		require.Equal(t, want.Times(), got.Times(), path)
		again, err := got.MarshalBinary()
		require.NoError(t, err)
		require.Equal(t, data, again, path)
		require.Equal(t, want.keys, got.keys, path)
		require.Equal(t, want.EndSeconds(), got.EndSeconds())

		for _, bad := range [][]byte{nil, data[:len(data)/2], append([]byte("another"), data[7:]...), flip(data, len(data)/2)} {
			before := got
			require.ErrorIs(t, got.UnmarshalBinary(bad), ErrIndex)
			require.Equal(t, before, got, "a failed reading changes nothing")
		}
	}
}

func flip(b []byte, at int) []byte {
	c := append([]byte(nil), b...)
	c[at] ^= 4
	return c
}

// drawnListing is any stream of packets in groups with pictures out of order.
func drawnListing(t *rapid.T) (*listing, int) {
	l := &listing{
		base: timecode.Base{Num: 1, Den: rapid.Int64Range(1, 90000).Draw(t, "den")}, step: rapid.Int64Range(1, 4000).Draw(t, "step"),
		hidden: map[int32]bool{},
	}
	groups := rapid.IntRange(1, 8).Draw(t, "groups")
	start := rapid.Int64Range(-1e6, 1e6).Draw(t, "start")
	shown := 0
	for g := range groups {
		count := rapid.IntRange(1, 40).Draw(t, "count")
		lead := 0 // pictures of an open group that come before its key picture
		if g > 0 {
			lead = rapid.IntRange(0, min(3, count-1)).Draw(t, "lead")
		}
		places := rapid.Permutation(append(numbers(0, lead), numbers(lead+1, count)...)).Draw(t, "order")
		for i := range count {
			place := lead
			if i > 0 {
				place = places[i-1]
			}
			p := av.Packet{PTS: start + int64(place)*l.step, DTS: start + int64(i-20)*l.step, Pos: int64(len(l.packets)) * 100, Size: int32(i + 1), Duration: int32(l.step)}
			if i == 0 {
				p.Flags = av.Key
			} else if rapid.IntRange(0, 9).Draw(t, "hide") == 0 {
				p.Flags = av.Hidden
			}
			if p.Flags&av.Hidden == 0 {
				shown++
			}
			l.add([]av.Packet{p})
		}
		start += int64(count)*l.step + rapid.Int64Range(0, 500).Draw(t, "pause")
	}
	return l, shown
}

// numbers are from below to.
func numbers(from, to int) (n []int) {
	for i := from; i < to; i++ {
		n = append(n, i)
	}
	if n == nil {
		n = []int{}
	}
	return n
}

func TestIndexRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, shown := drawnListing(t)
		x := l.index(true)
		if x.Len() != shown {
			t.Fatalf("%d pictures of %d", x.Len(), shown)
		}
		for n := range x.Len() {
			if n > 0 && x.Ticks(n) < x.Ticks(n-1) {
				t.Fatalf("picture %d comes before its forerunner", n)
			}
			if x.frame(int(x.order[n])) != n {
				t.Fatalf("picture %d is not its packet's", n)
			}
			if at := x.FrameAt(x.Seconds(n)); x.Ticks(at) != x.Ticks(n) {
				t.Fatalf("at the time of picture %d stands %d", n, at)
			}
			place := x.enter(n)
			if place < 0 || x.keys[place].packet > x.order[n] || int(x.keys[place].frame) > n {
				t.Fatalf("picture %d cannot be reached from entry %d", n, place)
			}
		}
		part := l.index(false)
		for n := range part.Len() {
			if part.Ticks(n) != x.Ticks(n) {
				t.Fatalf("picture %d changed after it was settled", n)
			}
		}
		data, _ := x.MarshalBinary()
		var y Index
		if err := y.UnmarshalBinary(data); err != nil {
			t.Fatal(err)
		}
		if again, _ := y.MarshalBinary(); string(again) != string(data) {
			t.Fatal("kept form differs after reading")
		}
	})
}

// Pictures before the key picture of an open group need the group before as well
// (reported of other libraries: FFMS/ffms2#403).
func TestJumpIntoOpenGroup(t *testing.T) {
	path := "../../testdata/clips/a42_open_gop_whole.mp4"
	x := scanned(t, path, true)
	require.Len(t, x.keys, 4)
	pictures := func(order []int) map[int][]byte {
		c, err := Open(context.Background(), path, Options{Index: x})
		require.NoError(t, err)
		defer c.Close()
		made := map[int][]byte{}
		for _, n := range order {
			img, err := c.Image(context.Background(), n)
			require.NoError(t, err)
			made[n] = img.Pix
		}
		return made
	}
	inOrder := pictures(numbers(0, 100))
	for _, n := range []int{22, 23, 24, 47, 48, 49, 72, 73, 74} {
		require.Equal(t, inOrder[n], pictures([]int{n})[n], "frame %d straight", n)
		after := pictures([]int{n + 9, n}) // from inside the next group
		require.Equal(t, inOrder[n], after[n], "frame %d from frame %d", n, n+9)
	}
}

func TestClockThatStartsAnewRunsOn(t *testing.T) {
	// ISO/IEC 13818-1: the 33-bit clock wraps every 26.5 hours.
	for name, jump := range map[string]int64{"wraps round": clockRange, "starts anew": 500_000} {
		t.Run(name, func(t *testing.T) {
			l := &listing{base: timecode.Base{Num: 1, Den: 90000}, step: 3600, jumps: true, hidden: map[int32]bool{}}
			for i := range 100 {
				p := av.Packet{PTS: clockRange - 180_000 + int64(i)*3600, Size: 1}
				if name == "wraps round" && p.PTS >= clockRange || name != "wraps round" && i >= 50 {
					p.PTS -= jump
				}
				p.DTS = p.PTS
				if i%25 == 0 {
					p.Flags = av.Key
				}
				l.add([]av.Packet{p})
			}
			x := l.index(true)
			require.Equal(t, 100, x.Len())
			for n := range x.Len() {
				require.InDelta(t, float64(n)/25, x.Seconds(n), 1e-9)
			}
		})
	}
}

func FuzzIndexUnmarshal(f *testing.F) {
	for _, path := range []string{clips(f)[0], "../../testdata/clips/a22_one_frame.mp4"} {
		data, err := scanned(f, path, false).MarshalBinary()
		require.NoError(f, err)
		r, ok := cache.Open(indexForm(), data)
		require.True(f, ok)
		f.Add(r.Raw(r.Left()))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var x Index
		err := x.UnmarshalBinary(data)
		err = errors.Join(err, x.UnmarshalBinary(sealed(data)))
		for n := range x.Len() { // whatever was accepted can be used
			x.FrameAt(x.Seconds(n))
			if place := x.enter(n); place >= 0 && int(x.keys[place].frame) > n {
				t.Fatal("entry after its picture", err)
			}
		}
	})
}

// sealed gives bytes the form of an index, so that the fuzzer gets past it.
func sealed(data []byte) []byte {
	w := cache.NewWriter(indexForm(), len(data))
	w.Raw(data)
	return w.Seal()
}

func TestFingerprint(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		return path
	}
	print := func(path string) string {
		fp, size, err := Fingerprint(path)
		require.NoError(t, err)
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, info.Size(), size)
		return fp
	}
	big := make([]byte, 40<<20)
	for i := range big {
		big[i] = byte(i * i >> 8)
	}
	for _, data := range [][]byte{big[:1000], big} {
		a := print(write("a", data))
		require.Equal(t, a, print(write("another name", data)))
		require.NotEqual(t, a, print(write("longer", append(append([]byte(nil), data...), 0))))
		for _, at := range []int{0, len(data) - 1} {
			require.NotEqual(t, a, print(write("changed", flip(data, at))), "byte %d", at)
		}
	}
	_, _, err := Fingerprint(filepath.Join(dir, "none"))
	require.ErrorIs(t, err, ErrGone)
}

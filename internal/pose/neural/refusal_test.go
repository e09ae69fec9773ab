package neural

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// small are files that can be read, one for each way in which files are made.
func small() [][]byte {
	conv := tab{1: int32(1), 2: int32(1)}
	return [][]byte{
		one(opConv, conv, []int{1, 2, 2, 1}, []int{1, 2, 2, 1}, storing([]float32{2}, 1, 1, 1, 1), storing([]float32{1}, 1)),
		one(opDepthwise, tab{1: int32(1), 2: int32(1), 3: int32(1)}, []int{1, 2, 2, 1}, []int{1, 2, 2, 1}, storing([]float32{2}, 1, 1, 1, 1), storing([]float32{1}, 1)),
		one(opPad, nil, []int{1, 1, 2, 1}, []int{1, 2, 4, 2}, storing([]int32{0, 0, 1, 0, 0, 2, 1, 0}, 4, 2)),
		one(opResize, tab{3: byte(1)}, []int{1, 1, 2, 1}, []int{1, 2, 4, 1}, storing([]int32{2, 4}, 2)),
		one(opMaxPool, tab{1: int32(2), 2: int32(2), 3: int32(2), 4: int32(2)}, []int{1, 3, 3, 1}, []int{1, 2, 2, 1}),
		one(opDepthToSpace, tab{0: int32(2)}, []int{1, 1, 2, 4}, []int{1, 2, 4, 1}),
		one(opConcat, tab{0: int32(3)}, []int{1, 1, 2, 1}, []int{1, 1, 2, 2}, func(*made) int32 { return 0 }),
		one(opAdd, tab{}, []int{1, 1, 2, 1}, []int{1, 1, 2, 1}, func(*made) int32 { return 0 }),
		sparsely(tab{0: []int32{0, 1, 2, 3, 4, 5}, 1: []int32{0, 3}, 2: []tab{{1: int32(2)}, {1: int32(1)}, {1: int32(1)},
			{0: byte(1), 2: byte(1), 3: tab{0: []int32{0, 1, 1}}, 4: byte(1), 5: tab{0: []int32{0}}}, {1: int32(2)}, {1: int32(2)}}}, 1, 2, 3, 4),
	}
}

// Every byte of each small file set to other values, and each file cut off anywhere: it
// is refused with the one error, or runs.
func TestDamagedFilesAreRefusedOrRun(t *testing.T) {
	refused, ranOn := 0, 0
	try := func(file []byte) {
		n, err := Read(file, 0)
		if err != nil {
			require.ErrorIs(t, err, ErrNetwork)
			refused++
			return
		}
		n.Run()
		ranOn++
	}
	for _, whole := range small() {
		n, err := Read(whole, 0)
		require.NoError(t, err)
		n.Run()
		for i := range whole {
			try(whole[:i])
			for _, v := range []byte{0, 1, 2, 4, 127, 128, 255} {
				file := append([]byte{}, whole...)
				file[i] = v
				try(file)
			}
		}
	}
	require.Greater(t, refused, 1000)
	require.Greater(t, ranOn, 1000)
}

func TestRefusals(t *testing.T) {
	in, out := []int{1, 4, 4, 2}, []int{1, 4, 4, 2}
	weights, bias := storing(make([]float32, 4), 2, 1, 1, 2), storing(make([]float32, 2), 2)
	step := func(more tab) tab {
		options := tab{1: int32(1), 2: int32(1)}
		for k, v := range more {
			options[k] = v
		}
		return options
	}
	whole := one(opConv, step(nil), in, out, weights, bias)
	_, err := Read(whole, 0)
	twice := newMade()
	twice.in, twice.out = []int32{twice.worked(in...)}, []int32{twice.worked(out...)}
	for range 2 {
		twice.does(opLogistic, nil, 1, 0)
	}
	require.NoError(t, err)
	_, err = Read(whole, 1)
	require.ErrorContains(t, err, "no output 1")
	for say, file := range map[string][]byte{
		"does not begin as one does":       []byte("GIF89a, and more of it"),
		"holds 0 graphs":                   written(tab{0: int32(3)}),
		"needs operator 99":                one(99, nil, in, out),
		"activation 2":                     one(opConv, step(tab{3: byte(2)}), in, out, weights, bias),
		"a window with gaps":               one(opConv, step(tab{4: int32(2)}), in, out, weights, bias),
		"padding 7":                        one(opConv, step(tab{0: byte(7)}), in, out, weights, bias),
		"in steps of 0 and 1":              one(opConv, step(tab{2: int32(0)}), in, out, weights, bias),
		"for 2 channels":                   one(opConv, step(nil), in, out, storing(make([]float32, 6), 2, 1, 1, 3), bias),
		"numbers to begin with":            one(opConv, step(nil), in, out, weights, storing(make([]float32, 3), 3)),
		"are 3":                            one(opConv, step(nil), in, out, storing(make([]float32, 3), 2, 1, 1, 2), bias),
		"weights of kind 2":                one(opConv, step(nil), in, out, storing(make([]int32, 4), 2, 1, 1, 2), bias),
		"makes [1 4 4 2]":                  one(opConv, step(nil), in, []int{1, 5, 4, 2}, weights, bias),
		"what nothing has made":            one(opAdd, nil, in, out, func(m *made) int32 { return m.worked(in...) }),
		"has the shape [1 4194304 2 1]":    one(opReshape, nil, []int{1, 1 << 22, 2, 1}, out),
		"or lists too much":                one(opReshape, nil, []int{1, 1, 1, 1, 4}, []int{1, 1, 1, 4}),
		"does not make one thing":          twice.file(),
		"has the shape [1 4 -1 2]":         one(opReshape, nil, []int{1, 4, -1, 2}, out),
		"a shape that does not hold":       one(opReshape, nil, in, []int{1, 31}),
		"a border of [0 0 1 -1 0 0 0 0]":   one(opPad, nil, in, out, storing([]int32{0, 0, 1, -1, 0, 0, 0, 0}, 4, 2)),
		"in blocks of 3":                   one(opDepthToSpace, tab{0: int32(3)}, in, out),
		"a list of numbers that is none":   one(opResize, nil, in, out, storing([]float32{4, 4}, 2)),
		"blocks joined along axis 4 of 4":  one(opConcat, tab{0: int32(4)}, in, out),
		"a window larger than its picture": one(opMaxPool, step(tab{3: int32(9), 4: int32(1)}), in, out),
	} {
		_, err := Read(file, 0)
		require.ErrorIs(t, err, ErrNetwork)
		require.ErrorContains(t, err, say)
	}
}

// A file of 300 bytes may not ask for more memory, or more time, than a real one needs.
func TestWhatAFileAsksForIsBounded(t *testing.T) {
	m := newMade()
	m.in = []int32{m.worked(1, 1<<11, 1<<11, 1)}
	at := m.in[0]
	for range 2000 { // all of them needed to the end
		next := m.worked(1, 1<<11, 1<<11, 1)
		m.does(opAdd, nil, next, at, 0)
		at = next
	}
	m.out = []int32{at}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := Read(m.file(), 0)
	runtime.ReadMemStats(&after)
	require.ErrorContains(t, err, "take too long")
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(5*mostValues))

	m.out = nil
	for i := range mostInputs {
		m.out = append(m.out, int32(i+1))
	}
	many := make([]int, mostInputs)
	for i := range many {
		many[i] = i
	}
	_, err = Read(m.file(), many...)
	require.ErrorContains(t, err, "keeps more than")
}

func FuzzRead(f *testing.F) {
	for _, file := range small() {
		f.Add(file)
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		n, err := Read(file, 0)
		if err != nil {
			require.ErrorIs(t, err, ErrNetwork)
			return
		}
		n.Run()
	})
}

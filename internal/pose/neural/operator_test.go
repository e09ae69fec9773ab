package neural

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// ran is what each kind of arithmetic makes of an input by a network of one output.
func ran(t *testing.T, file []byte, in []float32) [][]float32 {
	t.Helper()
	var all [][]float32
	for _, k := range kernels() {
		n, err := read(file, k, 0)
		require.NoError(t, err)
		require.Len(t, n.Input(), len(in))
		for range 2 { // what a run leaves behind must not show in the next
			copy(n.Input(), in)
			n.Run()
		}
		all = append(all, slices.Clone(n.Output(0)))
	}
	return all
}

func requireEach(t *testing.T, want []float32, file []byte, in []float32, about string) {
	t.Helper()
	for i, got := range ran(t, file, in) {
		require.InDeltaSlice(t, wide(want), wide(got), 1e-4, "%s: %s", about, kernels()[i].name)
	}
}

// one is a network of one operator on one input.
func one(code int, options tab, in, out []int, more ...func(*made) int32) []byte {
	m := newMade()
	m.in = []int32{m.worked(in...)}
	ins := slices.Clone(m.in)
	for _, add := range more {
		ins = append(ins, add(m))
	}
	m.out = []int32{m.worked(out...)}
	return m.does(code, options, m.out[0], ins...).file()
}

func storing(values any, shape ...int) func(*made) int32 {
	return func(m *made) int32 { return m.stored(values, shape...) }
}

// Convolutions of random shapes against the sum that defines them, on a picture with the
// padding put round it: with padding the output has as many pixels as the input has
// strides, and an odd number of missing pixels leaves one more after the picture than
// before it (tensorflow.org/api_docs/python/tf/nn, "Notes on padding").
func TestConvolutions(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 14))
	random := func(n int) []float32 {
		v := make([]float32, n)
		for i := range v {
			v[i] = float32(r.NormFloat64())
		}
		return v
	}
	for range 150 {
		h, w, c, o := 1+r.IntN(9), 1+r.IntN(9), 1+r.IntN(19), 1+r.IntN(35)
		kh, kw, sh, sw := 1+r.IntN(min(4, h)), 1+r.IntN(min(4, w)), 1+r.IntN(min(3, h)), 1+r.IntN(min(3, w))
		valid, act, each := r.IntN(2), []int{linear, rectified, rectified6}[r.IntN(3)], r.IntN(2) == 1
		if each {
			o = c
		}
		oh, ow, top, left := (h-kh)/sh+1, (w-kw)/sw+1, 0, 0
		if valid == 0 {
			oh, ow = int(math.Ceil(float64(h)/float64(sh))), int(math.Ceil(float64(w)/float64(sw)))
			top, left = max((oh-1)*sh+kh-h, 0)/2, max((ow-1)*sw+kw-w, 0)/2
		}
		in, weights, bias := random(h*w*c), random(kh*kw*c*o), random(o)
		if each {
			weights = weights[:kh*kw*c]
		}
		want := make([]float32, oh*ow*o)
		for y := range oh {
			for x := range ow {
				for n := range o {
					sum := float64(bias[n])
					for i := range kh {
						for j := range kw {
							for m := range c {
								iy, ix := y*sh+i-top, x*sw+j-left
								if iy < 0 || ix < 0 || iy >= h || ix >= w || each && m != n {
									continue
								}
								at := ((n*kh+i)*kw+j)*c + m
								if each {
									at = (i*kw+j)*c + m
								}
								sum += float64(in[(iy*w+ix)*c+m]) * float64(weights[at])
							}
						}
					}
					if act != linear {
						sum = max(sum, 0)
					}
					if act == rectified6 {
						sum = min(sum, 6)
					}
					want[(y*ow+x)*o+n] = float32(sum)
				}
			}
		}
		code, shape := opConv, []int{o, kh, kw, c}
		options := tab{0: byte(valid), 1: int32(sw), 2: int32(sh), 3: byte(act), 4: int32(1), 5: int32(1)}
		if each {
			code, shape = opDepthwise, []int{1, kh, kw, c}
			options = tab{0: byte(valid), 1: int32(sw), 2: int32(sh), 3: int32(1), 4: byte(act)}
		}
		file := one(code, options, []int{1, h, w, c}, []int{1, oh, ow, o}, storing(weights, shape...), storing(bias, o))
		requireEach(t, want, file, in, fmt.Sprint(h, w, c, o, kh, kw, sh, sw, valid, act, each))
	}
}

// The other operators, on numbers small enough to work out by hand.
func TestOperators(t *testing.T) {
	grid := []float32{1, 2, 3, 4, 5, 6, 7, 8, 9}
	square := []int{1, 3, 3, 1}
	size := storing([]int32{2, 4}, 2)
	for name, c := range map[string]struct {
		file     []byte
		in, want []float32
	}{
		"largest of each two by two": {one(opMaxPool, tab{0: byte(1), 1: int32(1), 2: int32(1), 3: int32(2), 4: int32(2)}, square, []int{1, 2, 2, 1}),
			grid, []float32{5, 6, 8, 9}},
		"largest, padded after": {one(opMaxPool, tab{0: byte(0), 1: int32(2), 2: int32(2), 3: int32(2), 4: int32(2)}, square, []int{1, 2, 2, 1}),
			[]float32{-1, -2, -3, -4, -5, -6, -7, -8, -9}, []float32{-1, -3, -7, -9}},
		"border": {one(opPad, nil, []int{1, 1, 2, 1}, []int{1, 2, 4, 2}, storing([]int32{0, 0, 1, 0, 0, 2, 1, 0}, 4, 2)),
			[]float32{7, 8}, []float32{0, 0, 0, 0, 0, 0, 0, 0, 0, 7, 0, 8, 0, 0, 0, 0}},
		"scaled, pixels' halves": {one(opResize, tab{3: byte(1)}, []int{1, 1, 2, 1}, []int{1, 2, 4, 1}, size),
			[]float32{0, 4}, []float32{0, 1, 3, 4, 0, 1, 3, 4}},
		"scaled, corner to corner": {one(opResize, tab{2: byte(1)}, []int{1, 1, 2, 1}, []int{1, 2, 4, 1}, size),
			[]float32{0, 3}, []float32{0, 1, 2, 3, 0, 1, 2, 3}},
		"scaled, neither": {one(opResize, tab{}, []int{1, 1, 2, 1}, []int{1, 2, 4, 1}, size),
			[]float32{0, 4}, []float32{0, 2, 4, 4, 0, 2, 4, 4}},
		"channels to pixels": {one(opDepthToSpace, tab{0: int32(2)}, []int{1, 1, 2, 4}, []int{1, 2, 4, 1}),
			[]float32{1, 2, 3, 4, 5, 6, 7, 8}, []float32{1, 2, 5, 6, 3, 4, 7, 8}},
		"another shape": {one(opReshape, nil, square, []int{1, 9}), grid, grid},
		"logistic":      {one(opLogistic, nil, []int{1, 1, 1, 3}, []int{1, 1, 1, 3}), []float32{0, 100, -1.0986123}, []float32{.5, 1, .25}},
		"joined along the channels": {one(opConcat, tab{0: int32(-1)}, []int{1, 1, 2, 1}, []int{1, 1, 2, 2}, func(m *made) int32 { return 0 }),
			[]float32{1, 2}, []float32{1, 1, 2, 2}},
		"joined along the columns": {one(opConcat, tab{0: int32(2)}, []int{1, 1, 2, 1}, []int{1, 1, 4, 1}, func(m *made) int32 { return 0 }),
			[]float32{1, 2}, []float32{1, 2, 1, 2}},
		"sum": {one(opAdd, tab{0: byte(rectified6)}, square, square, func(m *made) int32 { return 0 }),
			[]float32{-1, 0, 1, 2, 3, 4, 5, 6, 7}, []float32{0, 0, 2, 4, 6, 6, 6, 6, 6}},
	} {
		requireEach(t, c.want, c.file, c.in, name)
	}
}

// sparsely is a network that multiplies four numbers by four by four sparse weights,
// stored as half numbers.
func sparsely(sparse tab, halves ...uint16) []byte {
	m := newMade()
	m.in = []int32{m.worked(1, 1, 1, 4)}
	packed := m.stored(halves, 4, 1, 1, 4)
	m.tensors[packed][6] = sparse
	dense, weights := m.worked(4, 1, 1, 4), m.worked(4, 1, 1, 4)
	m.tensors[dense][1] = byte(float16s)
	m.does(opDensify, nil, dense, packed).does(opDequantize, nil, weights, dense)
	m.out = []int32{m.worked(1, 1, 1, 4)}
	return m.does(opConv, tab{1: int32(1), 2: int32(1)}, m.out[0], 0, weights, m.stored([]float32{0, 0, 0, 0}, 4)).file()
}

// The matrix 1 0 2 3 / 0 4 0 0 / 0 0 5 0 / 0 0 0 6, once in rows that list their places,
// once in blocks of two by two of which the lower left one is left out.
func TestSparseWeights(t *testing.T) {
	const h1, h2, h3, h4, h5, h6 = 0x3c00, 0x4000, 0x4200, 0x4400, 0x4500, 0x4600
	dense := func(n int) tab { return tab{1: int32(n)} }
	listed := func(segments, places []int32) tab {
		return tab{0: byte(1), 2: byte(1), 3: tab{0: segments}, 4: byte(1), 5: tab{0: places}}
	}
	rows := tab{0: []int32{0, 1, 2, 3}, 2: []tab{dense(4), dense(1), dense(1), listed([]int32{0, 3, 4, 5, 6}, []int32{0, 2, 3, 1, 2, 3})}}
	want := []float32{1 + 2*3 + 3*4, 4 * 2, 5 * 3, 6 * 4}
	requireEach(t, want, sparsely(rows, h1, h2, h3, h4, h5, h6), []float32{1, 2, 3, 4}, "rows")

	blocks := tab{0: []int32{0, 1, 2, 3, 4, 5}, 1: []int32{0, 3},
		2: []tab{dense(2), dense(1), dense(1), listed([]int32{0, 2, 3}, []int32{0, 1, 1}), dense(2), dense(2)}}
	requireEach(t, want, sparsely(blocks, h1, 0, 0, h4, h2, h3, 0, 0, h5, 0, 0, h6), []float32{1, 2, 3, 4}, "blocks")
}

func TestHalfNumbers(t *testing.T) { // values of IEEE 754-2019, table 3.5, binary16
	for bits, want := range map[uint16]float64{0x3c00: 1, 0xc000: -2, 0x7bff: 65504, 0x0400: 0x1p-14, 0x0001: 0x1p-24, 0x8000: 0, 0x3555: .333251953125} {
		require.EqualValues(t, want, half(bits))
	}
	require.True(t, math.IsInf(float64(half(0xfc00)), -1))
	require.True(t, math.IsNaN(float64(half(0x7e01))))
}

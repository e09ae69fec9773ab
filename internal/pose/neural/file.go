package neural

import (
	"encoding/binary"
	"math"
)

// What a file may hold. The largest network of its kind known here has 535 tensors,
// 331 operators and 14 million weights; anything far beyond is no network for a desk.
const (
	mostBytes  = 1 << 26
	mostParts  = 1 << 12 // tensors, operators, buffers
	mostInputs = 1 << 4  // of one operator
	mostRank   = 4
	mostSize   = 1 << 22 // values of a tensor
	mostValues = 1 << 26 // of all, four bytes each
	mostSums   = 1 << 32 // multiplications of one run, and values that it makes
)

// The numbers of the operators and of the kinds of values, and the numbers of the
// fields below, are those of the format's published description,
// tensorflow/lite/schema/schema.fbs.
const (
	opAdd          = 0
	opConcat       = 2
	opConv         = 3
	opDepthwise    = 4
	opDepthToSpace = 5
	opDequantize   = 6
	opLogistic     = 14
	opMaxPool      = 17
	opReshape      = 22
	opResize       = 23
	opPad          = 34
	opDensify      = 124

	float32s = 0
	float16s = 1
	int32s   = 2
)

// graph is what a file says.
type graph struct {
	tensors []tensor
	ops     []operator
	in, out []int // tensors
}

// tensor is a block of values, or only its shape where these are worked out.
type tensor struct {
	shape  []int
	size   int
	kind   int
	raw    []byte
	sparse table // how raw is packed, where it is
}

type operator struct {
	code    int
	in, out []int
	options table
}

// parse reads a file without working anything out.
func parse(file []byte) (*graph, error) {
	if len(file) < 8 || len(file) > mostBytes || string(file[4:8]) != "TFL3" {
		return nil, wrong("it does not begin as one does")
	}
	f := &flat{b: file}
	model := table{f, f.u32(0)}
	var codes []int
	for _, c := range model.tables(1, mostParts) {
		codes = append(codes, max(c.small(0), c.num(3))) // newer files write the longer field
	}
	graphs := model.tables(2, mostParts)
	buffers := model.tables(4, mostParts)
	if len(graphs) != 1 {
		return nil, wrong("it holds %d graphs", len(graphs))
	}
	g := &graph{in: graphs[0].ints(1, mostInputs), out: graphs[0].ints(2, mostInputs)}
	for i, t := range graphs[0].tables(0, mostParts) {
		x := tensor{shape: t.ints(0, mostRank), kind: t.small(1), sparse: t.table(6)}
		var ok bool
		if x.size, ok = sizeOf(x.shape); !ok {
			return nil, wrong("tensor %d has the shape %v", i, x.shape)
		}
		if b := t.num(2); b > 0 && b < len(buffers) {
			x.raw = buffers[b].data(0)
		}
		g.tensors = append(g.tensors, x)
	}
	for i, o := range graphs[0].tables(3, mostParts) {
		code := o.num(0)
		if code < 0 || code >= len(codes) {
			return nil, wrong("operator %d has no code", i)
		}
		g.ops = append(g.ops, operator{codes[code], o.ints(1, mostInputs), o.ints(2, mostInputs), o.table(4)})
	}
	if f.wrong {
		return nil, wrong("it points outside of itself, or lists too much")
	}
	return g, g.check()
}

// check refuses numbers of tensors that the file does not have, and tensors that two
// operators make.
func (g *graph) check() error {
	made := make([]bool, len(g.tensors))
	for _, i := range g.in {
		if !g.has(i) || g.tensors[i].raw != nil {
			return wrong("an input is no tensor to be filled in")
		}
		made[i] = true
	}
	for n, o := range g.ops {
		for _, i := range append(o.in, o.out...) {
			if !g.has(i) {
				return wrong("operator %d uses tensor %d of %d", n, i, len(g.tensors))
			}
		}
		for _, i := range o.in {
			if g.tensors[i].raw == nil && !made[i] {
				return wrong("operator %d uses what nothing has made", n)
			}
		}
		if len(o.in) == 0 || len(o.out) != 1 || made[o.out[0]] || g.tensors[o.out[0]].raw != nil {
			return wrong("operator %d does not make one thing out of others", n)
		}
		made[o.out[0]] = true
	}
	for _, i := range g.out {
		if !g.has(i) || !made[i] {
			return wrong("an output is made by nothing")
		}
	}
	return nil
}

func (g *graph) has(i int) bool { return i >= 0 && i < len(g.tensors) }

// sizeOf is how many values a shape has; not ok where that is none or too many.
func sizeOf(shape []int) (size int, ok bool) {
	size = 1
	for _, n := range shape {
		if n < 1 || n > mostSize/size {
			return 0, false
		}
		size *= n
	}
	return size, true
}

// stored is how many values stand in the file, fewer than the size where they are sparse.
func (t tensor) stored() int {
	if t.kind == float16s {
		return len(t.raw) / 2
	}
	return len(t.raw) / 4
}

// floats are the values that stand in the file.
func (t tensor) floats() ([]float32, error) {
	all := make([]float32, t.stored())
	switch t.kind {
	case float32s:
		for i := range all {
			all[i] = math.Float32frombits(binary.LittleEndian.Uint32(t.raw[4*i:]))
		}
	case float16s:
		for i := range all {
			all[i] = half(binary.LittleEndian.Uint16(t.raw[2*i:]))
		}
	default:
		return nil, wrong("weights of kind %d", t.kind)
	}
	return all, nil
}

// ints are the stored values of a small tensor of whole numbers.
func (t tensor) ints() ([]int, error) {
	if t.kind != int32s || len(t.raw) != 4*t.size || t.size > 2*mostRank {
		return nil, wrong("a list of numbers that is none")
	}
	all := make([]int, t.size)
	for i := range all {
		all[i] = int(int32(binary.LittleEndian.Uint32(t.raw[4*i:])))
	}
	return all, nil
}

// half is a number of 16 bits, IEEE 754 binary16.
func half(h uint16) float32 {
	sign, exp, frac := uint32(h>>15)<<31, uint32(h>>10&31), uint32(h&1023)
	switch exp {
	case 0:
		return math.Float32frombits(sign | math.Float32bits(float32(frac)/(1<<24)))
	case 31:
		return math.Float32frombits(sign | 255<<23 | frac<<13)
	}
	return math.Float32frombits(sign | (exp+112)<<23 | frac<<13)
}

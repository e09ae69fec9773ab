package neural

import (
	"encoding/binary"
	"maps"
	"math"
	"slices"
)

// tab is a table to be written: its fields by number. A byte and an int32 stand in the
// table, everything else is referred to.
type tab map[int]any

// written is a file with one table, which the rest hangs on.
func written(root tab) []byte {
	w := &writer{b: []byte("\x00\x00\x00\x00TFL3")}
	binary.LittleEndian.PutUint32(w.b, uint32(w.table(root)))
	return w.b
}

type writer struct{ b []byte }

func (w *writer) u16(v int) { w.b = binary.LittleEndian.AppendUint16(w.b, uint16(v)) }
func (w *writer) u32(v int) { w.b = binary.LittleEndian.AppendUint32(w.b, uint32(v)) }

// refer lets the number at a place lead to what is written next.
func (w *writer) refer(at, to int) {
	binary.LittleEndian.PutUint32(w.b[at:], uint32(to-at))
}

func (w *writer) table(t tab) int {
	list, fields := len(w.b), slices.Sorted(maps.Keys(t))
	last := -1
	if len(fields) > 0 {
		last = fields[len(fields)-1]
	}
	w.u16(4 + 2*(last+1))
	w.u16(4 + 4*len(fields))
	for n := range last + 1 {
		if at := slices.Index(fields, n); at >= 0 {
			w.u16(4 + 4*at)
		} else {
			w.u16(0)
		}
	}
	table := len(w.b)
	w.u32(table - list)
	for _, n := range fields {
		switch v := t[n].(type) {
		case byte:
			w.u32(int(v))
		case int32:
			w.u32(int(v))
		default:
			w.u32(0)
		}
	}
	for i, n := range fields {
		if to := w.value(t[n]); to > 0 {
			w.refer(table+4+4*i, to)
		}
	}
	return table
}

func (w *writer) value(v any) int {
	at := len(w.b)
	switch v := v.(type) {
	case tab:
		return w.table(v)
	case []tab:
		w.u32(len(v))
		w.b = append(w.b, make([]byte, 4*len(v))...)
		for i, t := range v {
			w.refer(at+4+4*i, w.table(t))
		}
		return at
	case []int32:
		w.u32(len(v))
		for _, n := range v {
			w.u32(int(n))
		}
		return at
	case []byte:
		w.u32(len(v))
		w.b = append(w.b, v...)
		return at
	}
	return 0
}

// made is a network to be written.
type made struct {
	tensors, buffers, codes, ops []tab
	in, out                      []int32
}

func newMade() *made { return &made{buffers: []tab{{}}} }

func shaped(n ...int) []int32 {
	s := make([]int32, len(n))
	for i, v := range n {
		s[i] = int32(v)
	}
	return s
}

// worked adds a tensor that is worked out.
func (m *made) worked(shape ...int) int32 {
	m.tensors = append(m.tensors, tab{0: shaped(shape...), 1: byte(float32s)})
	return int32(len(m.tensors) - 1)
}

// stored adds a tensor with values: numbers or whole numbers.
func (m *made) stored(values any, shape ...int) int32 {
	var raw []byte
	kind := byte(float32s)
	switch v := values.(type) {
	case []float32:
		for _, x := range v {
			raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(x))
		}
	case []int32:
		kind = int32s
		for _, x := range v {
			raw = binary.LittleEndian.AppendUint32(raw, uint32(x))
		}
	case []uint16:
		kind = float16s
		for _, x := range v {
			raw = binary.LittleEndian.AppendUint16(raw, x)
		}
	}
	m.buffers = append(m.buffers, tab{0: raw})
	m.tensors = append(m.tensors, tab{0: shaped(shape...), 1: kind, 2: int32(len(m.buffers) - 1)})
	return int32(len(m.tensors) - 1)
}

// does adds an operator.
func (m *made) does(code int, options tab, out int32, in ...int32) *made {
	m.codes = append(m.codes, tab{0: byte(code), 3: int32(code)})
	m.ops = append(m.ops, tab{0: int32(len(m.codes) - 1), 1: in, 2: []int32{out}, 4: options})
	return m
}

func (m *made) file() []byte {
	return written(tab{0: int32(3), 1: m.codes, 4: m.buffers,
		2: []tab{{0: m.tensors, 1: m.in, 2: m.out, 3: m.ops}}})
}

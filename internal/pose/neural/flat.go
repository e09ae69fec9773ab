package neural

import "encoding/binary"

// flat is a file of tables after the layout of FlatBuffers
// (flatbuffers.dev/internals). Reads that leave the file give nought and are
// remembered, so that whoever reads asks once, at the end, whether all of it was there.
type flat struct {
	b     []byte
	wrong bool
	none  [4]byte
}

// bytes are n bytes of the file, and nil where it has not so many there.
func (f *flat) bytes(at, n int) []byte {
	if at < 0 || n < 0 || at > len(f.b) || n > len(f.b)-at {
		f.wrong = true
		return nil
	}
	return f.b[at : at+n]
}

func (f *flat) few(at, n int) []byte {
	if b := f.bytes(at, n); b != nil {
		return b
	}
	return f.none[:n]
}

func (f *flat) u8(at int) int  { return int(f.few(at, 1)[0]) }
func (f *flat) u16(at int) int { return int(binary.LittleEndian.Uint16(f.few(at, 2))) }
func (f *flat) u32(at int) int { return int(binary.LittleEndian.Uint32(f.few(at, 4))) }
func (f *flat) i32(at int) int { return int(int32(binary.LittleEndian.Uint32(f.few(at, 4)))) }

// table is one table of the file; the zero value is one without any field.
type table struct {
	f  *flat
	at int
}

// field is where the field of that number stands, 0 where the table has none.
func (t table) field(n int) int {
	if t.f == nil {
		return 0
	}
	list := t.at - t.f.i32(t.at)
	if at := 4 + 2*n; at+2 <= t.f.u16(list) {
		if off := t.f.u16(list + at); off != 0 {
			return t.at + off
		}
	}
	return 0
}

// num is a number of four bytes; absent ones are 0, as are all defaults in the tables
// that are read here but those of dilations.
func (t table) num(n int) int {
	if at := t.field(n); at != 0 {
		return t.f.i32(at)
	}
	return 0
}

// small is a number of one byte.
func (t table) small(n int) int {
	if at := t.field(n); at != 0 {
		return t.f.u8(at)
	}
	return 0
}

// follow is what the field of that number refers to, 0 where the table has none.
func (t table) follow(n int) int {
	if at := t.field(n); at != 0 {
		return at + t.f.u32(at)
	}
	return 0
}

func (t table) table(n int) table {
	if at := t.follow(n); at != 0 {
		return table{t.f, at}
	}
	return table{}
}

// list is where the list in a field begins and how many parts of that size it has.
func (t table) list(n, size, most int) (at, count int) {
	at = t.follow(n)
	if at == 0 {
		return 0, 0
	}
	count = t.f.u32(at)
	if count > most {
		t.f.wrong = true
		return 0, 0
	}
	if t.f.bytes(at+4, count*size) == nil {
		return 0, 0
	}
	return at + 4, count
}

// data are the bytes in a field.
func (t table) data(n int) []byte {
	at, count := t.list(n, 1, mostBytes)
	if count == 0 {
		return nil
	}
	return t.f.bytes(at, count)
}

// ints are the numbers in a field, of four bytes each, at most that many.
func (t table) ints(n, most int) []int { return t.numbers(n, 4, most) }

// numbers are the numbers in a field, signed where they have four bytes.
func (t table) numbers(n, size, most int) []int {
	at, count := t.list(n, size, most)
	all := make([]int, count)
	for i := range all {
		switch size {
		case 1:
			all[i] = t.f.u8(at + i)
		case 2:
			all[i] = t.f.u16(at + 2*i)
		default:
			all[i] = t.f.i32(at + 4*i)
		}
	}
	return all
}

// tables are the tables in a field, at most that many.
func (t table) tables(n, most int) []table {
	at, count := t.list(n, 4, most)
	all := make([]table, count)
	for i := range all {
		all[i] = table{t.f, at + 4*i + t.f.u32(at+4*i)}
	}
	return all
}

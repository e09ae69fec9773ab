package cache

import "time"

// Fields writes the fields of a value, or reads them: one list of them serves both
// ways, so that the two cannot differ.
//
//	func (p *point) fields(f cache.Fields) {
//		cache.Whole(f, &p.x)
//		cache.Whole(f, &p.y)
//	}
type Fields struct {
	w *Writer // or
	r *Reader
}

// Write returns the fields that write to w.
func Write(w *Writer) Fields { return Fields{w: w} }

// Read returns the fields that read from r.
func Read(r *Reader) Fields { return Fields{r: r} }

// Reading reports whether the fields are read.
func (f Fields) Reading() bool { return f.r != nil }

// Whole is a field with a whole number.
func Whole[T ~int | ~int64 | ~int32 | ~uint8](f Fields, v *T) {
	if f.w != nil {
		f.w.Int(int64(*v))
		return
	}
	n := f.r.Int()
	if *v = T(n); int64(*v) != n {
		f.r.Fail()
	}
}

// Decimal is a field with a number.
func Decimal(f Fields, v *float64) {
	if f.w != nil {
		f.w.Float(*v)
		return
	}
	*v = f.r.Float()
}

// Truth is a field that is true or false.
func Truth(f Fields, v *bool) {
	var n int
	if *v {
		n = 1
	}
	if Whole(f, &n); f.r != nil {
		*v = n == 1
	}
}

// Text is a field with a text.
func Text[T ~string | ~[]byte](f Fields, v *T) {
	if f.w != nil {
		f.w.Text(string(*v))
		return
	}
	*v = T(f.r.Raw(f.r.Count(1)))
}

// List is a field with a list, nil where it is empty; item has the fields of one, which
// takes a byte at least.
func List[T any](f Fields, v *[]T, item func(*T)) {
	if f.w != nil {
		f.w.Uint(uint64(len(*v)))
	} else if n := f.r.Count(1); n > 0 {
		*v = make([]T, n)
	} else {
		*v = nil
	}
	for i := range *v {
		item(&(*v)[i])
	}
}

// Moment is a field with a moment, in its zone.
func Moment(f Fields, v *time.Time) {
	var b []byte
	if f.w != nil {
		b, _ = v.MarshalBinary() // of an impossible zone nothing: it is read as no moment
	}
	if Text(f, &b); f.r == nil {
		return
	}
	if *v = (time.Time{}); len(b) > 0 && v.UnmarshalBinary(b) != nil {
		f.r.Fail()
	}
}

package neural

import (
	"math"
	"slices"
)

// The operators that move values about, or change each by itself.

// sum adds two pictures of one shape.
func (b *builder) sum(o operator) error {
	if len(o.in) != 2 || b.fixed(o.in[0]) || b.fixed(o.in[1]) {
		return wrong("a sum of other things than two pictures")
	}
	x, y := b.tensors[o.in[0]], b.tensors[o.in[1]]
	if !slices.Equal(x.shape, y.shape) {
		return wrong("a sum of %v and %v", x.shape, y.shape)
	}
	do, err := activation(o.options.small(0))
	if err != nil {
		return err
	}
	out, err := b.makes(o, x.shape...)
	if err != nil {
		return err
	}
	add, one, other := b.k.add, b.value[o.in[0]], b.value[o.in[1]]
	return b.step(func() { add(out, one, other, do) })
}

// pool is the largest value below each place of a window.
func (b *builder) pool(o operator) error {
	in, err := b.image(o.in[0])
	if err != nil {
		return err
	}
	if len(o.in) != 1 || o.options.small(5) != linear {
		return wrong("a pooling that is more than one")
	}
	h, w := o.options.num(4), o.options.num(3)
	if h > in.h || w > in.w {
		return wrong("a window larger than its picture")
	}
	win, outH, outW, err := over(in, h, w, o.options.num(2), o.options.num(1), o.options.small(0))
	if err != nil {
		return err
	}
	out, err := b.draws(o, outH, outW, in.c)
	if err != nil {
		return err
	}
	if err := b.work(len(out.v) * h * w); err != nil {
		return err
	}
	return b.step(func() {
		for y := range out.h {
			for x := range out.w {
				most := out.pixel(y, x)
				for i := range most {
					most[i] = -math.MaxFloat32
				}
				win.each(in, y, x, func(_ int, pixel []float32) {
					for i, v := range pixel {
						most[i] = max(most[i], v)
					}
				})
			}
		}
	})
}

// pad puts noughts round a picture.
func (b *builder) pad(o operator) error {
	if len(o.in) != 2 {
		return wrong("a border of %d things", len(o.in))
	}
	in, err := b.image(o.in[0])
	if err != nil {
		return err
	}
	border, err := b.tensors[o.in[1]].ints()
	if err != nil {
		return err
	}
	if len(border) != 8 || border[0] != 0 || border[1] != 0 || slices.Min(border) < 0 || slices.Max(border) > mostSize {
		return wrong("a border of %v", border)
	}
	top, left, before := border[2], border[4], border[6]
	out, err := b.draws(o, in.h+top+border[3], in.w+left+border[5], in.c+before+border[7])
	if err != nil {
		return err
	}
	return b.step(func() {
		clear(out.v)
		for y := range in.h {
			for x := range in.w {
				copy(out.pixel(y+top, x+left)[before:], in.pixel(y, x))
			}
		}
	})
}

// resize scales a picture, straight between the four pixels around.
func (b *builder) resize(o operator) error {
	if len(o.in) != 2 {
		return wrong("a scaling of %d things", len(o.in))
	}
	in, err := b.image(o.in[0])
	if err != nil {
		return err
	}
	size, err := b.tensors[o.in[1]].ints()
	if err != nil {
		return err
	}
	if len(size) != 2 {
		return wrong("a scaling to %v", size)
	}
	out, err := b.draws(o, size[0], size[1], in.c)
	if err != nil {
		return err
	}
	corners, half := o.options.small(2) != 0, o.options.small(3) != 0
	rows, columns := between(in.h, out.h, corners, half), between(in.w, out.w, corners, half)
	return b.step(func() {
		for y, r := range rows {
			for x, c := range columns {
				a, a1 := in.pixel(r.from, c.from), in.pixel(r.from, c.to)
				d, d1 := in.pixel(r.to, c.from), in.pixel(r.to, c.to)
				to := out.pixel(y, x)
				for i := range to {
					upper, lower := a[i]+(a1[i]-a[i])*c.part, d[i]+(d1[i]-d[i])*c.part
					to[i] = upper + (lower-upper)*r.part
				}
			}
		}
	})
}

// blend is a place between two pixels.
type blend struct {
	from, to int
	part     float32
}

// between are the places in a row of in pixels that a row of out pixels takes: from
// corner to corner, or with the pixels' centres at their halves, or neither.
func between(in, out int, corners, half bool) []blend {
	scale := float32(in) / float32(out)
	if corners && out > 1 {
		scale = float32(in-1) / float32(out-1)
	}
	all := make([]blend, out)
	for i := range all {
		at := float32(i) * scale
		if half {
			at = (float32(i)+.5)*scale - .5
		}
		at = max(at, 0)
		from := min(int(at), in-1)
		all[i] = blend{from, min(from+1, in-1), at - float32(from)}
	}
	return all
}

// spread turns channels into blocks of pixels.
func (b *builder) spread(o operator) error {
	in, err := b.image(o.in[0])
	if err != nil {
		return err
	}
	n := o.options.num(0)
	if len(o.in) != 1 || n < 1 || n > 1<<8 || in.c%(n*n) != 0 {
		return wrong("%d channels in blocks of %d", in.c, n)
	}
	out, err := b.draws(o, in.h*n, in.w*n, in.c/(n*n))
	if err != nil {
		return err
	}
	return b.step(func() {
		for y := range out.h {
			for x := range out.w {
				copy(out.pixel(y, x), in.pixel(y/n, x/n)[(y%n*n+x%n)*out.c:])
			}
		}
	})
}

// reshape reads the same values as another shape.
func (b *builder) reshape(o operator) error {
	in := o.in[0]
	if b.fixed(in) || b.tensors[in].size != b.tensors[o.out[0]].size {
		return wrong("a shape that does not hold what there is")
	}
	out, err := b.makes(o, b.tensors[o.out[0]].shape...)
	if err != nil {
		return err
	}
	from := b.value[in]
	return b.step(func() { copy(out, from) })
}

// join puts blocks one after the other along one axis.
func (b *builder) join(o operator) error {
	shape := slices.Clone(b.tensors[o.in[0]].shape)
	axis := o.options.num(0)
	if axis < 0 {
		axis += len(shape)
	}
	if axis < 0 || axis >= len(shape) || o.options.small(1) != linear {
		return wrong("blocks joined along axis %d of %d", axis, len(shape))
	}
	shape[axis] = 0
	for _, i := range o.in {
		s := slices.Clone(b.tensors[i].shape)
		if b.fixed(i) || len(s) != len(shape) {
			return wrong("blocks of different kinds joined")
		}
		shape[axis] += s[axis]
		s[axis] = shape[axis]
		if !slices.Equal(s, shape) {
			return wrong("blocks of different shapes joined")
		}
	}
	out, err := b.makes(o, shape...)
	if err != nil {
		return err
	}
	runs, _ := sizeOf(shape[:axis])
	var from [][]float32
	for _, i := range o.in {
		from = append(from, b.value[i])
	}
	return b.step(func() {
		at := 0
		for r := range runs {
			for _, v := range from {
				n := len(v) / runs
				at += copy(out[at:], v[r*n:][:n])
			}
		}
	})
}

// logistic brings every value between 0 and 1.
func (b *builder) logistic(o operator) error {
	if len(o.in) != 1 || b.fixed(o.in[0]) {
		return wrong("a logistic function of %d things", len(o.in))
	}
	out, err := b.makes(o, b.tensors[o.in[0]].shape...)
	if err != nil {
		return err
	}
	from := b.value[o.in[0]]
	return b.step(func() {
		for i, v := range from {
			out[i] = float32(1 / (1 + math.Exp(-float64(v))))
		}
	})
}

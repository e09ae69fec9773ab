package neural

import "slices"

// builder makes the steps of a network.
type builder struct {
	*graph
	k     kernel
	value map[int][]float32 // what stands for each tensor: weights, or where it is worked out
	lasts map[int]int       // the last operator that needs a tensor
	spare [][]float32       // places of values that nothing needs any more
	left  int               // values that may still be kept
	sums  int               // multiplications, and values made, that may still be asked for
	steps []func()
}

// build makes a network of what a file says, as far as some of its tensors need it.
func build(g *graph, k kernel, wanted []int) (*Network, error) {
	if len(g.in) != 1 {
		return nil, wrong("it has %d inputs", len(g.in))
	}
	b := &builder{graph: g, k: k, value: map[int][]float32{}, lasts: map[int]int{}, left: mostValues, sums: mostSums}
	for _, i := range wanted {
		b.lasts[i] = len(g.ops)
	}
	for n := len(g.ops) - 1; n >= 0; n-- {
		if _, needed := b.lasts[g.ops[n].out[0]]; !needed {
			continue
		}
		for _, i := range g.ops[n].in {
			if _, later := b.lasts[i]; !later {
				b.lasts[i] = n
			}
		}
	}
	b.lasts[g.in[0]] = len(g.ops)
	if err := b.place(g.in[0]); err != nil {
		return nil, err
	}
	in, err := b.image(g.in[0])
	if err != nil {
		return nil, err
	}
	for n, o := range g.ops {
		if _, needed := b.lasts[o.out[0]]; !needed {
			continue
		}
		if err := b.operator(o); err != nil {
			return nil, err
		}
		b.free(n, o)
	}
	net := &Network{in: in, steps: b.steps}
	for _, i := range wanted {
		net.out = append(net.out, b.value[i])
	}
	return net, nil
}

// take counts values that are kept.
func (b *builder) take(n int) error {
	if b.left -= n; b.left < 0 {
		return wrong("it keeps more than %d values", mostValues)
	}
	return nil
}

// work counts what a run does.
func (b *builder) work(n int) error {
	if b.sums -= n; b.sums < 0 {
		return wrong("a run would take too long")
	}
	return nil
}

// place finds room for a tensor that is worked out: a place that nothing needs any
// more, the smallest that is large enough, so that what was worked out last is still in
// the processor's cache.
func (b *builder) place(i int) error {
	size, best := b.tensors[i].size, -1
	for n, v := range b.spare {
		if len(v) >= size && (best < 0 || len(v) < len(b.spare[best])) {
			best = n
		}
	}
	if best >= 0 {
		b.value[i] = b.spare[best][:size]
		b.spare = slices.Delete(b.spare, best, best+1)
		return nil
	}
	if err := b.take(size); err != nil {
		return err
	}
	b.value[i] = make([]float32, size)
	return nil
}

// free gives the places back that nothing needs after operator n.
func (b *builder) free(n int, o operator) {
	for _, i := range o.in {
		if v, worked := b.value[i]; worked && b.lasts[i] == n {
			delete(b.value, i)
			if !b.fixed(i) {
				b.spare = append(b.spare, v[:cap(v)])
			}
		}
	}
}

// fixed reports whether a tensor is the same in every run.
func (b *builder) fixed(i int) bool { return b.tensors[i].raw != nil }

// weights are the values of a tensor that is the same in every run.
func (b *builder) weights(i int) ([]float32, error) {
	if v, there := b.value[i]; there && b.fixed(i) {
		return v, nil
	}
	t := b.tensors[i]
	if !b.fixed(i) {
		return nil, wrong("weights that are not in the file")
	}
	if err := b.take(t.size + t.stored()); err != nil {
		return nil, err
	}
	v, err := t.dense()
	if err == nil {
		b.value[i] = v
	}
	return v, err
}

// unpacked makes the output of an operator a weight where it only turns stored weights
// into another form of them, and reports whether it did.
func (b *builder) unpacked(o operator) (bool, error) {
	if len(o.in) != 1 || !b.fixed(o.in[0]) {
		return false, nil
	}
	v, err := b.weights(o.in[0])
	if err != nil {
		return false, err
	}
	out := &b.tensors[o.out[0]]
	if !slices.Equal(out.shape, b.tensors[o.in[0]].shape) {
		return false, wrong("weights that change their shape")
	}
	out.raw = []byte{} // it is fixed now
	b.value[o.out[0]] = v
	return true, nil
}

// image is the picture that a tensor is in every run.
func (b *builder) image(i int) (image, error) {
	t := b.tensors[i]
	if len(t.shape) != 4 || t.shape[0] != 1 || t.kind != float32s {
		return image{}, wrong("a picture of the shape %v", t.shape)
	}
	v, there := b.value[i]
	if !there || b.fixed(i) {
		return image{}, wrong("a picture that nothing has made")
	}
	return image{t.shape[1], t.shape[2], t.shape[3], v}, nil
}

// makes finds room for what an operator makes, which must have that shape.
func (b *builder) makes(o operator, shape ...int) ([]float32, error) {
	if out := b.tensors[o.out[0]]; !slices.Equal(out.shape, shape) || out.kind != float32s {
		return nil, wrong("operator %d makes %v, not %v", o.code, shape, out.shape)
	}
	if err := b.work(b.tensors[o.out[0]].size); err != nil {
		return nil, err
	}
	err := b.place(o.out[0])
	return b.value[o.out[0]], err
}

// draws is makes of a picture.
func (b *builder) draws(o operator, h, w, c int) (image, error) {
	v, err := b.makes(o, 1, h, w, c)
	return image{h, w, c, v}, err
}

func (b *builder) step(f func()) error {
	b.steps = append(b.steps, f)
	return nil
}

// operator makes the step of one operator.
func (b *builder) operator(o operator) error {
	switch o.code {
	case opDequantize, opDensify:
		if done, err := b.unpacked(o); err != nil || done {
			return err
		}
		return wrong("values that are packed anew in every run")
	case opConv, opDepthwise:
		return b.convolution(o)
	case opAdd:
		return b.sum(o)
	case opMaxPool:
		return b.pool(o)
	case opPad:
		return b.pad(o)
	case opResize:
		return b.resize(o)
	case opDepthToSpace:
		return b.spread(o)
	case opReshape:
		return b.reshape(o)
	case opConcat:
		return b.join(o)
	case opLogistic:
		return b.logistic(o)
	}
	return wrong("it needs operator %d", o.code)
}

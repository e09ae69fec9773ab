package neural

// activation is the activation of an operator, where it is one that is known here.
func activation(code int) (int, error) {
	switch code {
	case linear, rectified, rectified6:
		return code, nil
	}
	return 0, wrong("activation %d", code)
}

// over is a window as an operator's options give it, and the size of what it makes of
// a picture. With padding the picture is as large as its strides leave it and the window
// begins half of what is missing before it, rounded down; without, the window stays
// inside (tensorflow.org/api_docs/python/tf/nn, "Notes on padding").
func over(in image, h, w, strideH, strideW, padding int) (over window, outH, outW int, err error) {
	over = window{h: h, w: w, strideH: strideH, strideW: strideW}
	if strideH < 1 || strideW < 1 || strideH > in.h || strideW > in.w || h < 1 || w < 1 {
		return over, 0, 0, wrong("a window of %d by %d in steps of %d and %d", h, w, strideH, strideW)
	}
	switch padding {
	case 0:
		outH, outW = (in.h+strideH-1)/strideH, (in.w+strideW-1)/strideW
		over.padH = max(0, (outH-1)*strideH+h-in.h) / 2
		over.padW = max(0, (outW-1)*strideW+w-in.w) / 2
	case 1:
		if h > in.h || w > in.w {
			return over, 0, 0, wrong("a window larger than its picture")
		}
		outH, outW = (in.h-h)/strideH+1, (in.w-w)/strideW+1
	default:
		err = wrong("padding %d", padding)
	}
	return over, outH, outW, err
}

// convolution is a convolution of all channels together, or of each by itself.
func (b *builder) convolution(o operator) error {
	if len(o.in) != 3 {
		return wrong("a convolution of %d things", len(o.in))
	}
	in, err := b.image(o.in[0])
	if err != nil {
		return err
	}
	weights, err := b.weights(o.in[1])
	if err != nil {
		return err
	}
	bias, err := b.weights(o.in[2])
	if err != nil {
		return err
	}
	shape, each := b.tensors[o.in[1]].shape, o.code == opDepthwise
	act, dilated := 3, 4
	if each {
		act, dilated = 4, 5
	}
	do, err := activation(o.options.small(act))
	if err != nil {
		return err
	}
	// Absent dilations are 1.
	if d := o.options; d.num(dilated) > 1 || d.num(dilated+1) > 1 {
		return wrong("a window with gaps")
	}
	if len(shape) != 4 || shape[3] != in.c || each && (shape[0] != 1 || o.options.num(3) != 1) {
		return wrong("weights of the shape %v for %d channels", shape, in.c)
	}
	outputs := shape[0]
	if each {
		outputs = in.c
	}
	if len(bias) != outputs {
		return wrong("%d numbers to begin with for %d channels", len(bias), outputs)
	}
	w, h, wide, err := over(in, shape[1], shape[2], o.options.num(2), o.options.num(1), o.options.small(0))
	if err != nil {
		return err
	}
	out, err := b.draws(o, h, wide, outputs)
	if err != nil {
		return err
	}
	if err := b.work(len(weights) * h * wide); err != nil {
		return err
	}
	if each {
		depthwise := b.k.depthwise // a step that kept the builder would keep the file
		return b.step(func() { depthwise(out, in, weights, bias, w, do) })
	}
	return b.dense(out, in, weights, bias, w, do)
}

// dense is a convolution of all channels together.
func (b *builder) dense(out, in image, weights, bias []float32, w window, do int) error {
	inputs := w.h * w.w * in.c
	whole := (out.c + lanes - 1) / lanes * lanes
	if err := b.take(whole * (inputs + 1)); err != nil {
		return err
	}
	panels, begin := panelled(weights, inputs, out.c), make([]float32, whole)
	copy(begin, bias)
	multiply := b.k.multiply
	if w == (window{h: 1, w: 1, strideH: 1, strideW: 1}) {
		return b.step(func() { multiply(out.v, in.v, panels, begin, inputs, out.c, do) })
	}
	// What lies below the window, a row of pixels at a time.
	if err := b.take(out.w * inputs); err != nil {
		return err
	}
	row := make([]float32, out.w*inputs)
	return b.step(func() {
		for y := range out.h {
			clear(row)
			for x := range out.w {
				below := row[x*inputs:][:inputs]
				w.each(in, y, x, func(place int, pixel []float32) { copy(below[place*in.c:], pixel) })
			}
			multiply(out.v[y*out.w*out.c:][:out.w*out.c], row, panels, begin, inputs, out.c, do)
		}
	})
}

// panelled are weights in panels of lanes channels, filled up with noughts.
func panelled(weights []float32, inputs, outputs int) []float32 {
	panels := make([]float32, (outputs+lanes-1)/lanes*lanes*inputs)
	for o := range outputs {
		at := o/lanes*lanes*inputs + o%lanes
		for i, v := range weights[o*inputs:][:inputs] {
			panels[at+i*lanes] = v
		}
	}
	return panels
}

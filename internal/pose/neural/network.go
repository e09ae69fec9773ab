// Package neural runs neural networks on one processor, without any library: those in
// the format of TensorFlow Lite (version 3, .tflite) whose values are all floating point
// and that need no more than twelve operators, which is what networks for
// pictures are mostly made of. Anything else in a file is refused with an error, and so
// is a file that is damaged or made to harm: every place and size in it is checked when
// it is read, and none afterwards.
package neural

import (
	"errors"
	"fmt"
)

// ErrNetwork is wrapped by every error of [Read].
var ErrNetwork = errors.New("not a network that can be run here")

func wrong(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrNetwork, fmt.Sprintf(format, args...))
}

// Network is a network ready to run. It is for one goroutine at a time.
type Network struct {
	in    image
	out   [][]float32
	steps []func()
}

// Read makes a network of a file, with the fastest arithmetic of this machine. Only what
// the outputs with these numbers need is worked out. file may be changed afterwards.
func Read(file []byte, outputs ...int) (*Network, error) {
	return read(file, kernels()[0], outputs...)
}

func read(file []byte, k kernel, outputs ...int) (*Network, error) {
	g, err := parse(file)
	if err != nil {
		return nil, err
	}
	var wanted []int
	for _, o := range outputs {
		if o < 0 || o >= len(g.out) {
			return nil, wrong("it has no output %d", o)
		}
		wanted = append(wanted, g.out[o])
	}
	return build(g, k, wanted)
}

// Size is how many rows, columns and channels the picture has that goes in.
func (n *Network) Size() (height, width, channels int) { return n.in.h, n.in.w, n.in.c }

// Input is where the picture goes, row by row with the channels of a pixel together. It
// may be written between two runs.
func (n *Network) Input() []float32 { return n.in.v }

// Run works the outputs out.
func (n *Network) Run() {
	for _, step := range n.steps {
		step()
	}
}

// Output is what the last run made of the output that was asked for at that place. It
// stands until the next run.
func (n *Network) Output(place int) []float32 { return n.out[place] }

//go:build cgo

package neural

// #cgo CFLAGS: -O3
// #include "kernel_amd64.h"
import "C"

import (
	"runtime"
	"unsafe"
)

// kernels are the kinds of arithmetic that this machine can do, the fastest first.
func kernels() []kernel {
	if C.sl_has_avx2() == 0 {
		return []kernel{plain()}
	}
	return []kernel{{"C with AVX2", multiplyAVX2, depthwiseAVX2, addAVX2}, plain()}
}

// What C is given belongs to Go and is used during the call alone.

func multiplyAVX2(out, in, weights, bias []float32, inputs, outputs, activation int) {
	C.sl_multiply(first(out), first(in), first(weights), first(bias), C.int(len(out)/outputs), C.int(inputs), C.int(outputs), C.int(activation))
}

func depthwiseAVX2(out, in image, weights, bias []float32, over window, activation int) {
	var pin runtime.Pinner
	defer pin.Unpin()
	native := func(m image) C.sl_image {
		pin.Pin(unsafe.SliceData(m.v))
		return C.sl_image{C.int(m.h), C.int(m.w), C.int(m.c), first(m.v)}
	}
	to, from := native(out), native(in)
	win := C.sl_window{C.int(over.h), C.int(over.w), C.int(over.strideH), C.int(over.strideW), C.int(over.padH), C.int(over.padW)}
	C.sl_depthwise(&to, &from, first(weights), first(bias), &win, C.int(activation))
}

func addAVX2(out, a, b []float32, activation int) {
	C.sl_add(first(out), first(a), first(b), C.long(len(out)), C.int(activation))
}

func first(v []float32) *C.float { return (*C.float)(unsafe.Pointer(unsafe.SliceData(v))) }

package av

import (
	"unsafe"

	"github.com/asticode/go-astiav"
)

// wrapper are the types of go-astiav whose FFmpeg structure is reached past it:
// v0.16.0, the last release for FFmpeg 5.1, gives away that of a frame only.
type wrapper interface {
	astiav.FormatContext | astiav.CodecContext | astiav.Packet
}

// inner is FFmpeg's own structure of type C behind one of go-astiav's: a pointer to
// it is the first field there. TestAstiavKeepsItsLayout fails where it is not.
func inner[C any, Go wrapper](of *Go) *C { return *(**C)(unsafe.Pointer(of)) }

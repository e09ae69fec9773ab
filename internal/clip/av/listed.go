package av

/*
#include "native.h"
#include <unistd.h>
*/
import "C"

import (
	"encoding/binary"
	"unsafe"
)

// Listed reports whether a header that lists the stream's packets says all of them
// that the list needs.
func (s Stream) Listed() bool { return s.Plain && !s.Fields }

func (w *Watch) openHeader(path string) (*Source, error) {
	s, err := w.openSource(path, header, nil)
	if err != nil {
		return nil, err
	}
	whole := false
	length := C.int64_t(0)
	w.During(func() { whole, length = listed(s.file), C.sl_file_length(s.file) })
	if s.Format() != ISOMedia || !whole || length <= 0 {
		s.Close()
		return nil, nil
	}
	s.file.hollow = length
	return s, nil
}

// Hollow reports whether packets come without their bytes; see [OpenHeader]. Those
// that the header lists behind the file's end come too, for a while, marked Corrupt.
func (s *Source) Hollow() bool { return s.file.hollow != 0 }

// listed reports whether an MP4 or QuickTime file has its whole list of packets
// in one header: a movie box and no fragments (ISO/IEC 14496-12, 4.2 and 8.8).
func listed(f *C.sl_file) bool {
	movie := false
	for pos := int64(0); ; {
		var b [16]byte
		n := C.pread(f.fd, unsafe.Pointer(&b[0]), C.size_t(len(b)), C.off_t(pos))
		if n < 8 {
			return movie && n >= 0
		}
		size := int64(binary.BigEndian.Uint32(b[:]))
		switch {
		case size == 1 && n == 16:
			size = int64(binary.BigEndian.Uint64(b[8:]))
		case size == 0: // to the end of the file
			return movie || string(b[4:8]) == "moov"
		}
		switch string(b[4:8]) {
		case "moov":
			movie = true
		case "moof", "sidx", "styp":
			return false
		}
		if size < 8 {
			return false
		}
		pos += size
	}
}

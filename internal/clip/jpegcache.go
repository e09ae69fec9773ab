package clip

import (
	"container/list"

	"strokeledger/internal/clip/av"
)

// shot is one picture as it is shown: as JPEG, or exact.
type shot struct {
	n     int
	look  av.Look
	exact bool
}

// jpegCache keeps the finished JPEG files that were used last, up to a number of
// bytes. It is not safe for concurrent use.
type jpegCache struct {
	limit, used int
	places      map[shot]*list.Element
	order       *list.List // latest used first
}

type cachedJPEG struct {
	shot
	data []byte
}

func newJPEGCache(limit int) *jpegCache {
	return &jpegCache{limit: limit, places: map[shot]*list.Element{}, order: list.New()}
}

// get returns a file and counts as use.
func (s *jpegCache) get(k shot) ([]byte, bool) {
	e, ok := s.places[k]
	if !ok {
		return nil, false
	}
	s.order.MoveToFront(e)
	return e.Value.(*cachedJPEG).data, true
}

// has reports whether a file is there, without using it.
func (s *jpegCache) has(k shot) bool {
	_, ok := s.places[k]
	return ok
}

func (s *jpegCache) put(k shot, data []byte) {
	if s.has(k) {
		return
	}
	s.places[k] = s.order.PushFront(&cachedJPEG{k, data})
	for s.used += len(data); s.used > s.limit && s.order.Len() > 1; {
		old := s.order.Remove(s.order.Back()).(*cachedJPEG)
		delete(s.places, old.shot)
		s.used -= len(old.data)
	}
}

// evict removes the files that which names.
func (s *jpegCache) evict(which func(shot) bool) {
	for k, e := range s.places {
		if which(k) {
			s.order.Remove(e)
			delete(s.places, k)
			s.used -= len(e.Value.(*cachedJPEG).data)
		}
	}
}

// typical is the mean size of a file, 0 when there is none.
func (s *jpegCache) typical() int {
	if s.order.Len() == 0 {
		return 0
	}
	return s.used / s.order.Len()
}

package clip

import (
	"container/list"

	"strokeledger/internal/clip/av"
)

// shot is one picture as it is shown.
type shot struct {
	n    int
	look av.Look
	form form
}

// form is what a picture is made into.
type form int

const (
	asJPEG   form = iota
	asScreen      // pixels for the window, kept and made ahead as JPEG is
	asImage       // the exact picture, not kept
)

// pictureCache keeps the finished pictures that were used last, up to a number of bytes. It is not safe for concurrent use.
type pictureCache struct {
	limit, used int
	places      map[shot]*list.Element
	order       *list.List // latest used first
}

type cachedPicture struct {
	shot
	data []byte
}

func newPictureCache(limit int) *pictureCache {
	return &pictureCache{limit: limit, places: map[shot]*list.Element{}, order: list.New()}
}

// get returns a picture and counts as use.
func (s *pictureCache) get(k shot) ([]byte, bool) {
	e, ok := s.places[k]
	if !ok {
		return nil, false
	}
	s.order.MoveToFront(e)
	return e.Value.(*cachedPicture).data, true
}

// has reports whether a picture is there, without using it.
func (s *pictureCache) has(k shot) bool {
	_, ok := s.places[k]
	return ok
}

func (s *pictureCache) put(k shot, data []byte) {
	if s.has(k) {
		return
	}
	s.places[k] = s.order.PushFront(&cachedPicture{k, data})
	for s.used += len(data); s.used > s.limit && s.order.Len() > 1; {
		old := s.order.Remove(s.order.Back()).(*cachedPicture)
		delete(s.places, old.shot)
		s.used -= len(old.data)
	}
}

// evict removes the pictures that which names.
func (s *pictureCache) evict(which func(shot) bool) {
	for k, e := range s.places {
		if which(k) {
			s.order.Remove(e)
			delete(s.places, k)
			s.used -= len(e.Value.(*cachedPicture).data)
		}
	}
}

// typical is the mean size of a picture, 0 when there is none.
func (s *pictureCache) typical() int {
	if s.order.Len() == 0 {
		return 0
	}
	return s.used / s.order.Len()
}

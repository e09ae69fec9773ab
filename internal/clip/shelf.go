package clip

import (
	"container/list"

	"strokeledger/internal/clip/av"
)

// shot is one picture at one width; width 0 is the exact picture.
type shot struct {
	n, width int
	field    av.Field
}

// shelf keeps the finished JPEG files that were used last, up to a number of
// bytes. It is not safe for concurrent use.
type shelf struct {
	room, used int
	places     map[shot]*list.Element
	order      *list.List // latest used first
}

type shelved struct {
	shot
	data []byte
}

func newShelf(room int) *shelf {
	return &shelf{room: room, places: map[shot]*list.Element{}, order: list.New()}
}

// get returns a file and counts as use.
func (s *shelf) get(k shot) ([]byte, bool) {
	e, ok := s.places[k]
	if !ok {
		return nil, false
	}
	s.order.MoveToFront(e)
	return e.Value.(*shelved).data, true
}

// has reports whether a file is there, without using it.
func (s *shelf) has(k shot) bool {
	_, ok := s.places[k]
	return ok
}

func (s *shelf) put(k shot, data []byte) {
	if s.has(k) {
		return
	}
	s.places[k] = s.order.PushFront(&shelved{k, data})
	for s.used += len(data); s.used > s.room && s.order.Len() > 1; {
		old := s.order.Remove(s.order.Back()).(*shelved)
		delete(s.places, old.shot)
		s.used -= len(old.data)
	}
}

// drop removes the files that which names.
func (s *shelf) drop(which func(shot) bool) {
	for k, e := range s.places {
		if which(k) {
			s.order.Remove(e)
			delete(s.places, k)
			s.used -= len(e.Value.(*shelved).data)
		}
	}
}

// typical is the mean size of a file, 0 when there is none.
func (s *shelf) typical() int {
	if s.order.Len() == 0 {
		return 0
	}
	return s.used / s.order.Len()
}

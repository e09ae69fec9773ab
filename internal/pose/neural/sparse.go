package neural

// axis is one level of the order in which the values of a sparse tensor are stored:
// every place of it, or those that are listed, for each place of the level above.
type axis struct {
	dense    bool
	size     int
	segments []int // where the listed places of each place above begin and end
	places   []int
}

// dense spreads the stored values of a sparse tensor over its shape, all others nought.
// The file holds levels, one for each axis and then one for each axis that is cut into
// blocks (the format of Kjolstad et al. (2017), The tensor algebra compiler, as the
// format's description uses it).
func (t tensor) dense() ([]float32, error) {
	if t.stored() > t.size || t.sparse.f == nil && t.stored() != t.size {
		return nil, wrong("weights of the shape %v are %d", t.shape, t.stored())
	}
	values, err := t.floats()
	if err != nil || t.sparse.f == nil {
		return values, err
	}
	u, err := t.unpacking()
	if err != nil {
		return nil, err
	}
	u.values, u.out = values, make([]float32, t.size)
	if !u.walk(0, 0) || len(u.values) > 0 {
		return nil, wrong("sparse weights do not fill their shape %v", t.shape)
	}
	return u.out, nil
}

// unpacking is how far a sparse tensor is unpacked.
type unpacking struct {
	levels []axis
	at     []int // the place of each level
	shape  []int
	axisOf []int // the axis on which each level lies
	scale  []int // places of the axis that one place of the level is
	values []float32
	out    []float32
}

func (t tensor) unpacking() (*unpacking, error) {
	rank := len(t.shape)
	order, cut := t.sparse.ints(0, 2*mostRank), t.sparse.ints(1, mostRank)
	metas := t.sparse.tables(2, 2*mostRank)
	if len(order) != rank+len(cut) || len(metas) != len(order) {
		return nil, wrong("sparse weights with %d levels for %d axes", len(order), rank)
	}
	u := &unpacking{shape: t.shape, at: make([]int, len(order)), axisOf: make([]int, len(order)), scale: make([]int, len(order))}
	block := make([]int, rank) // how wide the blocks of an axis are
	for i := range block {
		block[i] = 1
	}
	seen := make([]bool, len(order))
	for i, o := range order {
		if o < 0 || o >= len(order) || seen[o] || (o < rank) != (i < rank) {
			return nil, wrong("sparse weights in no order")
		}
		seen[o] = true
		u.axisOf[i], u.scale[i] = o, 1
		if o >= rank {
			if u.axisOf[i] = cut[o-rank]; u.axisOf[i] < 0 || u.axisOf[i] >= rank {
				return nil, wrong("sparse weights in blocks of no axis")
			}
		}
		m := metas[i]
		a := axis{dense: m.small(0) == 0, size: m.num(1)}
		if !a.dense {
			a.segments, a.places = indices(m, 2, t.size+1), indices(m, 4, t.size)
		}
		if a.dense && (a.size < 1 || a.size > t.shape[u.axisOf[i]]) {
			return nil, wrong("sparse weights with a level of %d", a.size)
		}
		if o >= rank {
			if !a.dense || block[u.axisOf[i]] != 1 {
				return nil, wrong("sparse weights in blocks that are no blocks")
			}
			block[u.axisOf[i]] = a.size
		}
		u.levels = append(u.levels, a)
	}
	for i := range rank {
		u.scale[i] = block[u.axisOf[i]]
	}
	if t.sparse.f.wrong {
		return nil, wrong("sparse weights point outside of the file, or list too much")
	}
	return u, nil
}

// indices are the numbers in the table that the field after n refers to; the field n says
// how wide they are.
func indices(m table, n, most int) []int {
	list := m.table(n + 1)
	switch m.small(n) {
	case 1:
		return list.numbers(0, 4, most)
	case 2:
		return list.numbers(0, 2, most)
	case 3:
		return list.numbers(0, 1, most)
	}
	return nil
}

// walk stores the values below one place of the level above, and reports whether they
// were there and had a place in the shape. Each listed place is visited once at most,
// since the segments of one list follow each other, and each way down to the end takes a
// value: a walk is no longer than what is in the file and the shape.
func (u *unpacking) walk(level, above int) bool {
	if level == len(u.levels) {
		return u.put()
	}
	a := &u.levels[level]
	if a.dense {
		for i := range a.size {
			u.at[level] = i
			if !u.walk(level+1, above*a.size+i) {
				return false
			}
		}
		return true
	}
	if above+1 >= len(a.segments) {
		return false
	}
	from, to := a.segments[above], a.segments[above+1]
	if from < 0 || to < from || to > len(a.places) {
		return false
	}
	for i := from; i < to; i++ {
		u.at[level] = a.places[i]
		if !u.walk(level+1, i) {
			return false
		}
	}
	return true
}

func (u *unpacking) put() bool {
	if len(u.values) == 0 {
		return false
	}
	var place [mostRank]int
	for i, n := range u.at {
		place[u.axisOf[i]] += n * u.scale[i]
	}
	at := 0
	for i, n := range u.shape {
		if place[i] < 0 || place[i] >= n {
			return false
		}
		at = at*n + place[i]
	}
	u.out[at], u.values = u.values[0], u.values[1:]
	return true
}

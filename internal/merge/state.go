package merge

import "strokeledger/internal/club"

// Selection says which rows of a library are wanted. Definitions, sessions, clips and
// rulings always are.
type Selection struct {
	All   bool      // everything that lies on clips
	Clips []club.ID // what lies on these and is there
	IDs   []club.ID // these rows
	Since int64     // what has changed after that place in the change log, see State.Touched
	Known club.ID   // a change of which State.Knows tells
}

// State is rows of a library, at one moment.
type State struct {
	Side
	Seq     int64            // its place in the change log
	Last    club.ID          // the change there; empty: none yet
	Clock   int64            // the latest moment on its change clock
	Touched map[club.ID]bool // what has changed since Selection.Since; nil: cannot be told, or was not asked for
	Knows   bool             // Selection.Known was made here, or was taken in
}

// Part is the rows of a side that are wanted, with all that they name, and all that is
// known to be the same.
func Part(side Side, wanted func(table string, r Row) bool) (Side, error) {
	part, needed := Side{}, map[string]map[club.ID]bool{}
	all := tables()
	for i := range all {
		t := all[len(all)-1-i] // what is named comes after what names it
		for _, r := range side[t.Name] {
			if t.Name != "same" && !needed[t.Name][r.ID] && !wanted(t.Name, r) {
				continue
			}
			part[t.Name] = append(part[t.Name], r)
			names, err := t.names(r)
			if err != nil {
				return nil, err
			}
			for of, ids := range names {
				if needed[of] == nil {
					needed[of] = map[club.ID]bool{}
				}
				for _, id := range ids {
					needed[of][id] = true
				}
			}
		}
	}
	return part, nil
}

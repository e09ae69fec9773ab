package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/standard"
)

// All returns the living rows of a kind, in order of ID, which is that in which they
// were made.
func All[T Row](ctx context.Context, l *Library) ([]T, error) {
	return list(ctx, l, tableOf[T](), "WHERE gone = 0 ORDER BY id")
}

// standardRows are all living rows of package standard.
func standardRows(ctx context.Context, tx *sql.Tx) (r standard.Rows, err error) {
	for _, read := range []func() error{
		func() error { return living(ctx, tx, blindLooks(), &r.BlindLooks) },
		func() error { return living(ctx, tx, judgements(), &r.Judgements) },
		func() error { return living(ctx, tx, decisions(), &r.Decisions) },
		func() error { return living(ctx, tx, definitions(), &r.Definitions) },
		func() error { return living(ctx, tx, models(), &r.Models) },
		func() error { return living(ctx, tx, trials(), &r.Trials) },
	} {
		if err := read(); err != nil {
			return r, err
		}
	}
	return r, nil
}

func living[T Row](ctx context.Context, tx *sql.Tx, t table[T], to *[]T) error {
	all, err := t.all(ctx, tx, "WHERE gone = 0 ORDER BY id")
	*to = append([]T{}, all...)
	return err
}

func blindLooks() table[standard.BlindLook] {
	return table[standard.BlindLook]{
		name: "blind_look", columns: "id, coach_id, first_id, turns, drawn, made, finished",
		fields: func(r *standard.BlindLook) []any {
			return []any{&r.ID, &r.CoachID, &r.FirstID, idArray{&r.Turns}, &r.Drawn, instant{&r.Made}, maybeInstant{&r.Finished}}
		},
		refs:  []reference{{"coach_id", "coach"}, {"first_id", "coach"}},
		valid: standard.BlindLook.Check,
		tell:  func(_ standard.BlindLook, c *Change) { c.Catalogue, c.Sessions = true, true },
	}
}

func judgements() table[standard.Judgement] {
	return table[standard.Judgement]{
		name: "judgement", columns: "id, blind_id, clip_id, stroke_id, side, outcome, ready_frame, ready_ticks",
		fields: func(r *standard.Judgement) []any {
			return []any{&r.ID, &r.BlindID, &r.ClipID, &r.StrokeID, &r.Side, &r.Outcome,
				part[club.Moment, int]{&r.Ready, func(m *club.Moment) *int { return &m.Frame }},
				part[club.Moment, int64]{&r.Ready, func(m *club.Moment) *int64 { return &m.Ticks }}}
		},
		refs:  []reference{{"clip_id", "clip"}, {"blind_id", "blind_look"}},
		valid: standard.Judgement.Check,
		tell:  func(r standard.Judgement, c *Change) { c.touched(r.ClipID, -1) },
	}
}

func decisions() table[standard.Decision] {
	return table[standard.Decision]{
		name: "decision", columns: "id, clip_id, stroke_id, first_id, second_id, blind_id, coach_id, choice, faults, dropped, added_id, made",
		fields: func(r *standard.Decision) []any {
			return []any{&r.ID, &r.ClipID, &r.StrokeID, &r.FirstID, &r.SecondID, optional{&r.BlindID}, optional{&r.CoachID}, &r.Choice,
				idArray{&r.Faults}, idArray{&r.Dropped}, optional{&r.AddedID}, instant{&r.Made}}
		},
		refs:  []reference{{"clip_id", "clip"}, {"coach_id", "coach"}, {"first_id", "coach"}, {"second_id", "coach"}, {"blind_id", "blind_look"}},
		valid: standard.Decision.Check,
		tell:  func(r standard.Decision, c *Change) { c.touched(r.ClipID, -1) },
	}
}

func definitions() table[standard.Definition] {
	return table[standard.Definition]{
		name: "definition", columns: "id, fault_id, coach_id, counts, counts_not, older, made",
		fields: func(r *standard.Definition) []any {
			return []any{&r.ID, &r.FaultID, optional{&r.CoachID}, &r.Counts, &r.Not, &r.Older, instant{&r.Made}}
		},
		refs:  []reference{{"fault_id", "fault"}, {"coach_id", "coach"}},
		valid: standard.Definition.Check,
		tell:  func(_ standard.Definition, c *Change) { c.Catalogue = true },
	}
}

func models() table[standard.Model] {
	return table[standard.Model]{
		name: "model", columns: "id, fault_id, clip_id, coach_id, frame, ticks, shows, made",
		fields: func(r *standard.Model) []any {
			return []any{&r.ID, &r.FaultID, &r.ClipID, optional{&r.CoachID}, &r.Frame, &r.Ticks, &r.Is, instant{&r.Made}}
		},
		refs:  []reference{{"fault_id", "fault"}, {"clip_id", "clip"}, {"coach_id", "coach"}},
		valid: standard.Model.Check,
		tell:  func(r standard.Model, c *Change) { c.touched(r.ClipID, r.Frame) },
	}
}

func trials() table[standard.Trial] {
	return table[standard.Trial]{
		name: "trial", columns: "id, coach_id, answers, seed, made, finished",
		fields: func(r *standard.Trial) []any {
			return []any{&r.ID, &r.CoachID, inJSON[[]standard.Answer]{&r.Answers}, &r.Seed, instant{&r.Made}, maybeInstant{&r.Finished}}
		},
		refs:  []reference{{"coach_id", "coach"}},
		valid: standard.Trial.Check,
		tell:  func(_ standard.Trial, c *Change) { c.Catalogue = true },
	}
}

// maybeInstant keeps a time as instant does, null where there is none.
type maybeInstant struct{ t **time.Time }

func (i maybeInstant) Value() (driver.Value, error) {
	if *i.t == nil {
		return nil, nil
	}
	return (*i.t).UnixMicro(), nil
}
func (i maybeInstant) Scan(v any) error {
	*i.t = nil
	if v == nil {
		return nil
	}
	*i.t = new(time.Time)
	return instant{*i.t}.Scan(v)
}

// wholeMicros cuts the time of a row to what is kept of it.
func wholeMicros(row any) {
	cut := func(t *time.Time) { *t = time.UnixMicro(t.UnixMicro()).UTC() }
	switch r := row.(type) {
	case *standard.BlindLook:
		cut(&r.Made)
		if r.Finished != nil {
			at := *r.Finished
			cut(&at)
			r.Finished = &at
		}
	case *standard.Decision:
		cut(&r.Made)
	case *standard.Definition:
		cut(&r.Made)
	case *standard.Model:
		cut(&r.Made)
	case *standard.Trial:
		cut(&r.Made)
		if r.Finished != nil {
			at := *r.Finished
			cut(&at)
			r.Finished = &at
		}
	}
}

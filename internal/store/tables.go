package store

import "strokeledger/internal/club"

// kinds lists the tables, those that others refer to first.
func kinds() []kind {
	return []kind{coaches(), players(), drills(), faults(), sessions(), clips(), turns(), strokes(), blindLooks(), marks(), looks(), rulings(), rulers(),
		judgements(), decisions(), definitions(), models(), trials(), pairings(), adjustments(), pairs(), drawings(), sames(), takens()}
}

func kindNamed(name string) kind {
	for _, k := range kinds() {
		if k.named() == name {
			return k
		}
	}
	return nil
}

// tableOf returns the table of a type of row.
func tableOf[T Row]() table[T] {
	for _, k := range kinds() {
		if t, ok := k.(table[T]); ok {
			return t
		}
	}
	panic("store: a type of row without a table")
}

func coaches() table[club.Coach] {
	return table[club.Coach]{
		name: "coach", columns: "id, name, retired, reaction",
		fields: func(r *club.Coach) []any { return []any{&r.ID, &r.Name, &r.Retired, &r.Reaction} },
		valid:  club.Coach.Check,
		tell:   func(_ club.Coach, c *Change) { c.Catalogue = true },
	}
}

func players() table[club.Player] {
	return table[club.Player]{
		name: "player", columns: "id, name, alias, hand, group_name, note, retired, consent_from, consent_until, consent_by, delete_after",
		fields: func(r *club.Player) []any {
			return []any{&r.ID, &r.Name, &r.Alias, &r.Hand, &r.Group, &r.Note, &r.Retired,
				&r.ConsentFrom, &r.ConsentUntil, &r.ConsentBy, &r.DeleteAfter}
		},
		valid: club.Player.Check,
		tell:  func(_ club.Player, c *Change) { c.Catalogue = true },
	}
}

func drills() table[club.Drill] {
	return table[club.Drill]{
		name: "drill", columns: "id, name, method, pattern, placement, ball, rung, streak, note, retired",
		fields: func(r *club.Drill) []any {
			return []any{&r.ID, &r.Name, &r.Method, &r.Pattern, &r.Placement, &r.Ball, &r.Rung, &r.Streak, &r.Note, &r.Retired}
		},
		valid: club.Drill.Check,
		tell:  func(_ club.Drill, c *Change) { c.Catalogue = true },
	}
}

func faults() table[club.Fault] {
	return table[club.Fault]{
		name: "fault", columns: "id, code, label, phase, sides, cue, weight, key, retired, measure, limit_at",
		fields: func(r *club.Fault) []any {
			return []any{&r.ID, &r.Code, &r.Label, &r.Phase, &r.Sides, &r.Cue, &r.Weight, &r.Key, &r.Retired, &r.Measure, &r.Limit}
		},
		valid: club.Fault.Check,
		tell:  func(_ club.Fault, c *Change) { c.Catalogue = true },
	}
}

func sessions() table[club.Session] {
	return table[club.Session]{
		name: "session", columns: "id, date, note",
		fields: func(r *club.Session) []any { return []any{&r.ID, &r.Date, &r.Note} },
		valid:  club.Session.Check,
		tell:   func(_ club.Session, c *Change) { c.Sessions = true },
	}
}

func clips() table[club.Clip] {
	return table[club.Clip]{
		name:    "clip",
		columns: "id, session_id, name, path, fingerprint, bytes, frames, first_ticks, base_num, base_den, seconds, width, height",
		fields: func(r *club.Clip) []any {
			return []any{&r.ID, &r.SessionID, &r.Name, &r.Path, &r.Fingerprint, &r.Bytes, &r.Frames, &r.FirstTicks,
				&r.Base.Num, &r.Base.Den, &r.Seconds, &r.Width, &r.Height}
		},
		refs:  []reference{{"session_id", "session"}},
		valid: club.Clip.Check,
		tell: func(r club.Clip, c *Change) {
			c.Sessions = true
			c.touched(r.ID, -1)
		},
	}
}

func turns() table[club.Turn] {
	return table[club.Turn]{
		name: "turn", columns: "id, clip_id, player_id, drill_id, first, last, first_ticks, last_ticks, settled, anchor, heard_from",
		fields: func(r *club.Turn) []any {
			return []any{&r.ID, &r.ClipID, &r.PlayerID, &r.DrillID, &r.First, &r.Last, &r.FirstTicks, &r.LastTicks,
				&r.Settled, &r.Anchor, &r.HeardFrom}
		},
		refs:  []reference{{"clip_id", "clip"}, {"player_id", "player"}, {"drill_id", "drill"}},
		valid: club.Turn.Check, // club.CheckTurn needs the clip: see rules
		tell:  func(r club.Turn, c *Change) { c.touched(r.ClipID, r.First) },
	}
}

func strokes() table[club.Stroke] {
	return table[club.Stroke]{
		name: "stroke", columns: "id, clip_id, frame, ticks, side, outcome, source, confidence, coach_id, ready_frame, ready_ticks, answer",
		fields: func(r *club.Stroke) []any {
			return []any{&r.ID, &r.ClipID, &r.Frame, &r.Ticks, &r.Side, &r.Outcome, &r.Source, &r.Confidence, optional{&r.CoachID},
				part[club.Moment, int]{&r.Ready, func(m *club.Moment) *int { return &m.Frame }},
				part[club.Moment, int64]{&r.Ready, func(m *club.Moment) *int64 { return &m.Ticks }}, &r.Answer}
		},
		refs:  []reference{{"clip_id", "clip"}, {"coach_id", "coach"}},
		valid: club.Stroke.Check,
		tell:  func(r club.Stroke, c *Change) { c.touched(r.ClipID, r.Frame) },
	}
}

func marks() table[club.Mark] {
	return table[club.Mark]{
		name:    "mark",
		columns: "id, clip_id, fault_id, coach_id, frame, ticks, note, source, confidence, made, stroke_id, sign, sign_x1, sign_y1, sign_x2, sign_y2, seen_id, blind_id",
		fields: func(r *club.Mark) []any {
			return []any{&r.ID, &r.ClipID, &r.FaultID, optional{&r.CoachID}, &r.Frame, &r.Ticks, &r.Note, &r.Source, &r.Confidence, instant{&r.Made}, &r.StrokeID,
				part[club.Sign, club.SignKind]{&r.Sign, func(s *club.Sign) *club.SignKind { return &s.Kind }},
				part[club.Sign, float64]{&r.Sign, func(s *club.Sign) *float64 { return &s.X1 }},
				part[club.Sign, float64]{&r.Sign, func(s *club.Sign) *float64 { return &s.Y1 }},
				part[club.Sign, float64]{&r.Sign, func(s *club.Sign) *float64 { return &s.X2 }},
				part[club.Sign, float64]{&r.Sign, func(s *club.Sign) *float64 { return &s.Y2 }}, &r.SeenID, optional{&r.BlindID}}
		},
		refs:  []reference{{"clip_id", "clip"}, {"fault_id", "fault"}, {"coach_id", "coach"}, {"blind_id", "blind_look"}},
		valid: club.Mark.Check,
		tell:  func(r club.Mark, c *Change) { c.touched(r.ClipID, r.Frame) },
	}
}

func looks() table[club.Look] {
	return table[club.Look]{
		name: "look", columns: "id, clip_id, coach_id, first, last, first_ticks, last_ticks, faults, made, assumed, blind_id",
		fields: func(r *club.Look) []any {
			return []any{&r.ID, &r.ClipID, optional{&r.CoachID}, &r.First, &r.Last, &r.FirstTicks, &r.LastTicks,
				idArray{&r.Faults}, instant{&r.Made}, &r.Assumed, optional{&r.BlindID}}
		},
		refs:  []reference{{"clip_id", "clip"}, {"coach_id", "coach"}, {"blind_id", "blind_look"}},
		valid: club.Look.Check,
		tell:  func(r club.Look, c *Change) { c.touched(r.ClipID, -1) },
	}
}

func rulings() table[club.Ruling] {
	return table[club.Ruling]{
		name: "ruling", columns: "id, player_id, drill_id, coach_id, date, passed, reason",
		fields: func(r *club.Ruling) []any {
			return []any{&r.ID, &r.PlayerID, &r.DrillID, optional{&r.CoachID}, &r.Date, &r.Passed, &r.Reason}
		},
		refs:  []reference{{"player_id", "player"}, {"drill_id", "drill"}, {"coach_id", "coach"}},
		valid: club.Ruling.Check,
		tell:  func(_ club.Ruling, c *Change) { c.Catalogue = true },
	}
}

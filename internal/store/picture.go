package store

import "strokeledger/internal/picture"

func adjustments() table[picture.Adjustment] {
	return table[picture.Adjustment]{
		name: "adjustment", columns: "id, clip_id, rotation, mirror, brightness, contrast, gamma",
		fields: func(r *picture.Adjustment) []any {
			return []any{&r.ID, &r.ClipID, &r.Rotation, &r.Mirror, &r.Brightness, &r.Contrast, &r.Gamma}
		},
		refs:  []reference{{"clip_id", "clip"}},
		valid: picture.Adjustment.Check,
		tell:  func(r picture.Adjustment, c *Change) { c.touched(r.ClipID, -1) },
	}
}

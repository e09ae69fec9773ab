package store

import (
	"database/sql/driver"
	"encoding/json"
	"fmt"

	"strokeledger/internal/sighting"
)

func rulers() table[sighting.Ruler] {
	return table[sighting.Ruler]{
		name: "ruler", columns: "id, clip_id, coach_id, frame, ticks, width, height, wide, clicked, snapped, support, good",
		fields: func(r *sighting.Ruler) []any {
			return []any{&r.ID, &r.ClipID, optional{&r.CoachID}, &r.Frame, &r.Ticks, &r.Width, &r.Height, &r.Wide,
				inJSON[sighting.Outline]{&r.Clicked}, inJSON[*sighting.Outline]{&r.Snapped}, &r.Support, &r.Good}
		},
		refs:  []reference{{"clip_id", "clip"}, {"coach_id", "coach"}},
		valid: sighting.Ruler.Check,
		tell:  func(r sighting.Ruler, c *Change) { c.touched(r.ClipID, -1) },
	}
}

// inJSON keeps a value as JSON, null where it is a nil pointer.
type inJSON[T any] struct{ of *T }

func (j inJSON[T]) Value() (driver.Value, error) {
	text, err := json.Marshal(*j.of)
	if err != nil || string(text) == "null" {
		return nil, err
	}
	return string(text), nil
}
func (j inJSON[T]) Scan(v any) error {
	text := []byte("null")
	switch v := v.(type) {
	case nil:
	case string:
		text = []byte(v)
	case []byte:
		text = v
	default:
		return fmt.Errorf("JSON is kept as %T", v)
	}
	*j.of = *new(T)
	return json.Unmarshal(text, j.of)
}

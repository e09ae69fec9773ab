package merge

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"strokeledger/internal/club"
)

// words says in words what rows are.
type words struct{ b *bringing }

func text(raw json.RawMessage) (s string) {
	_ = json.Unmarshal(raw, &s) // what is no text has none
	return s
}

func quoted(s string) json.RawMessage {
	raw, err := json.Marshal(s)
	if err != nil {
		panic("merge: a text as JSON: " + err.Error())
	}
	return raw
}

// row says what a row is.
func (w *words) row(table string, r Row) string {
	f, err := split(r.Image)
	if err != nil {
		return "a " + table
	}
	ref := func(field string) club.ID { return club.ID(text(f[field])) }
	switch table {
	case "coach", "player", "drill":
		return fmt.Sprintf("the %s %s", table, club.Isolated(text(f["name"])))
	case "fault":
		return fmt.Sprintf("the fault %s (%s)", club.Isolated(text(f["code"])), club.Isolated(text(f["label"])))
	case "session":
		return "the session of " + text(f["date"])
	case "clip":
		c, err := read[club.Clip](r)
		if err != nil {
			return "a clip"
		}
		return "the clip " + w.clip(c)
	case "turn":
		return fmt.Sprintf("the turn of %s at %s in %s", w.name("player", ref("player_id")), w.name("drill", ref("drill_id")), w.place(ref("clip_id"), f["first_ticks"]))
	case "stroke":
		return "the stroke in " + w.place(ref("clip_id"), f["ticks"])
	case "mark":
		return fmt.Sprintf("the mark %s in %s", w.name("fault", ref("fault_id")), w.place(ref("clip_id"), f["ticks"]))
	case "look":
		return "the look through " + w.place(ref("clip_id"), f["first_ticks"])
	case "ruler":
		return "the ruler of " + w.clipNamed(r.ID)
	case "adjustment":
		return "how " + w.clipNamed(r.ID) + " is shown"
	case "pair":
		return "the pair " + club.Isolated(text(f["name"]))
	case "drawing":
		return "what is drawn on " + w.place(ref("clip_id"), f["ticks"])
	case "pairing":
		return "the lining up of " + w.clipNamed(r.ID)
	case "blind_look":
		return "a second look"
	case "judgement":
		return "how a stroke was judged in a second look"
	case "ruling":
		return fmt.Sprintf("the ruling of %s on %s at %s", text(f["date"]), w.name("player", ref("player_id")), w.name("drill", ref("drill_id")))
	}
	return "a " + table
}

// name is what a definition is called.
func (w *words) name(table string, id club.ID) string {
	it := w.b.items[table][w.b.keep(table, id)]
	if it == nil {
		return "an unknown " + table
	}
	f, err := split(it.row.Image)
	if err != nil {
		return "a " + table
	}
	if table == "fault" {
		return club.Isolated(text(f["code"]))
	}
	return club.Isolated(text(f["name"]))
}

func (w *words) clip(c club.Clip) string {
	if s := w.b.items["session"][w.b.keep("session", c.SessionID)]; s != nil {
		if f, err := split(s.row.Image); err == nil {
			return club.Isolated(c.Name) + " of " + text(f["date"])
		}
	}
	return club.Isolated(c.Name)
}

func (w *words) clipNamed(id club.ID) string {
	if it := w.b.items["clip"][w.b.keep("clip", id)]; it != nil {
		if c, err := read[club.Clip](it.row); err == nil {
			return w.clip(c)
		}
	}
	return "an unknown clip"
}

// place is a moment of a clip.
func (w *words) place(clip club.ID, ticks json.RawMessage) string {
	it := w.b.items["clip"][w.b.keep("clip", clip)]
	if it == nil {
		return "an unknown clip"
	}
	c, err := read[club.Clip](it.row)
	var n int64
	if err != nil || json.Unmarshal(ticks, &n) != nil {
		return w.clipNamed(clip)
	}
	tenths := int(math.Round(10 * c.Base.Seconds(n-c.FirstTicks)))
	return fmt.Sprintf("%s at %d:%02d.%d", w.clip(c), tenths/600, tenths/10%60, tenths%10)
}

// some names the first few of some items.
func (w *words) some(items []*item) string {
	const most = 3
	var all []string
	for _, it := range items[:min(most, len(items))] {
		all = append(all, w.row(it.table.Name, it.row))
	}
	if len(items) > most {
		all = append(all, "…")
	}
	return strings.Join(all, "; ")
}

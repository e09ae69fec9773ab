package store

import (
	"testing"

	"strokeledger/internal/club"
)

// BenchmarkReadPack reads a clip of 100 turns of 100 strokes, every tenth with a mark.
func BenchmarkReadPack(b *testing.B) {
	var turns []club.TurnRecord
	for t := range 100 {
		first := t * 20_000
		r := club.TurnRecord{Turn: club.Turn{ID: club.NewID(), PlayerID: id("player", t%4), DrillID: id("drill", t%3), First: first, Last: first + 19_999, FirstTicks: int64(first) * 256, LastTicks: int64(first+19_999) * 256}}
		for s := range 100 {
			at := first + 180*s + s*s%60
			r.Strokes = append(r.Strokes, club.Stroke{ID: club.NewID(), Frame: at, Ticks: int64(at) * 256, Side: club.Forehand, Outcome: club.Good})
			if s%10 == 0 {
				r.Marks = append(r.Marks, club.Mark{ID: club.NewID(), FaultID: id("fault", s%3), Frame: at + 5, Ticks: int64(at+5) * 256})
			}
		}
		turns = append(turns, r)
	}
	data, ids := pack(turns)
	for b.Loop() {
		u, n := unpacker{slot: new(slot)}, 0
		p, _ := openPack(data, ids, false)
		if err := u.each(p, false, func(_, _ club.ID) bool { return true }, func() error { n += len(u.r.Strokes); return nil }); err != nil || n != 10_000 {
			b.Fatal(err, n)
		}
	}
	b.ReportMetric(float64(len(data))/10_000, "B/stroke")
}

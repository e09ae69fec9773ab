package clip

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// BenchmarkReadIndex reads the cached index of an hour at 60 pictures a second.
func BenchmarkReadIndex(b *testing.B) {
	l := &listing{base: timecode.Base{Num: 1, Den: 15360}, step: 256, hidden: map[int32]bool{}}
	const pictures = 60 * 60 * 60
	for i := range pictures {
		p := av.Packet{PTS: int64(i)*256 + 512, DTS: int64(i) * 256, Pos: int64(i) * 12_345, Size: int32(9000 + i*7919%6000), Duration: 256}
		if i%60 == 0 {
			p.Flags = av.Key
		}
		l.add([]av.Packet{p})
	}
	data, err := l.index(true).MarshalBinary()
	require.NoError(b, err)
	for b.Loop() {
		var x Index
		if err := x.UnmarshalBinary(data); err != nil || x.Len() != pictures {
			b.Fatal(err, x.Len())
		}
	}
	b.ReportMetric(float64(len(data))/pictures, "B/picture")
}

package report_test

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/reading"
)

// measuredOne is the summary of one player with what is measured of the strokes, whose
// drill has a name that would like to be markup.
func measuredOne() tally.Summary {
	c, _ := invented()
	c.Drills[3].Name = "One <b>or</b>\x1b[31m two"
	c.Faults[0].Measure, c.Faults[0].Limit = club.FeetBehind, 45
	var all reading.Readings
	for i := range 12 {
		drill, at := c.Drills[0].ID, 47.
		if i%2 == 1 {
			drill, at = c.Drills[3].ID, 38.
		}
		t := reading.Turn{ClipID: club.ID(fmt.Sprint(i / 4)), PlayerID: "p1", DrillID: drill, Date: "2026-03-02", Values: map[club.Measure][]float64{}}
		for k := range 7 {
			t.Values[club.FeetBehind] = append(t.Values[club.FeetBehind], at+float64(k-3+i%3))
		}
		all.Turns = append(all.Turns, t)
		all.Clips = append(all.Clips, reading.Clip{Players: []club.ID{"p1"}, Measured: []club.ID{"p1"}})
	}
	s := ofOne()
	sheet := reading.Of(all, "p1", nil, reading.Names{Drills: c.Drills, Faults: c.Faults})
	s.Players[0].Measured = sheet
	return s
}

// What is measured stands in every document, with its caution, and names cannot harm.
func TestMeasuresAreShown(t *testing.T) {
	s := measuredOne()
	const says = "Feet 44 cm from the table (±6), in irregular drills 9 cm nearer (±2)."
	write := func(f func(b *bytes.Buffer) error) string {
		var b bytes.Buffer
		require.NoError(t, f(&b))
		return b.String()
	}
	text := write(func(b *bytes.Buffer) error { return report.Text(b, s, origin()) })
	require.Contains(t, text, says)
	require.Contains(t, text, "Measured 12 of 12 clips with strokes.")
	require.Regexp(t, `Irregular +39 \(±\d\) +half of them 37 to 41; 42 strokes in 6 turns`, text)
	require.Contains(t, text, reading.Caution)
	require.NotContains(t, text, "\x1b")

	page := write(func(b *bytes.Buffer) error { return report.HTML(b, report.Document{Summary: s, Origin: origin()}) })
	require.Contains(t, page, "Feet to the end line, cm")
	require.Contains(t, page, "in irregular drills 9")
	require.Contains(t, page, reading.Caution)
	require.NotContains(t, page, "<b>or</b>")

	table := write(func(b *bytes.Buffer) error {
		return report.CSV(b, report.MeasureTable(s, origin()), report.CSVForm{NoMark: true})
	})
	require.Regexp(t, `(?m)^of,player,from,to,group,name,method,rung,date,measure,unit,strokes,turns,median,lower_quartile,upper_quartile,median_low,median_high,clips_measured,clips,made_from\r$`, table)
	require.Regexp(t, `(?m)^player,Milla Sandvik,2026-03-01,2026-03-31,method,Irregular,irregular,,,feet,cm,42,6,39,37,41,`, table)
	require.Regexp(t, `(?m)^player,Milla Sandvik,2026-03-01,2026-03-31,session,2026-03-02,,,2026-03-02,feet,cm,84,12,`, table)

	without := write(func(b *bytes.Buffer) error { return report.Text(b, ofOne(), origin()) })
	require.NotContains(t, without, "Measured")
}

package report_test

import (
	"bytes"
	"encoding/csv"
	"io"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
)

func seconds(v float64) *float64 { return &v }

// longTables are tables of faults, marks, strokes and looks with every text that people and
// attackers come up with.
func longTables() []report.Table {
	var marks []report.MarkRow
	var strokes []report.StrokeRow
	var looks []report.LookRow
	for i, s := range hostile() {
		if len(s) > 10000 {
			s = s[:10000] // what a field of the library takes
		}
		by := report.LookedBy([]club.Look{{CoachID: "k1", Assumed: i%2 == 0}, {CoachID: "k2"}}, func(club.ID) string { return s })
		marks = append(marks, report.MarkRow{
			Date: "2026-03-02", Player: s, Drill: s, Method: club.Irregular, Rung: 2, Clip: s, Frame: 100 + i, Seconds: 1.5 * float64(i), Code: s, Label: s,
			Phase: club.Recovery, Weight: 3, Stroke: i, Note: s, Coach: s, Source: club.ByHand, Confidence: 1, Signed: i%2 == 0, LookedBy: by,
		})
		strokes = append(strokes, report.StrokeRow{
			Date: "2026-03-02", Player: s, Drill: s, Method: club.Regular, Rung: 1, Clip: s, Turn: 1, Stroke: i + 1, Frame: 7 * i, Seconds: -0.25,
			Side: club.Backhand, Outcome: club.Missed, Faults: s, Ready: seconds(1.25), Source: club.ByMachine, Confidence: 0.875, LookedBy: by,
		})
		looks = append(looks, report.LookRow{
			Date: "2026-03-02", Player: s, Drill: s, Method: club.Regular, Rung: 1, Clip: s, Turn: 1, Coach: s, Faults: s, First: 7 * i, Last: 8 * i, Made: made, Assumed: i%2 == 1,
		})
	}
	return []report.Table{report.FaultTable(hostileClub(), origin()), report.MarkTable(slices.Values(marks), origin()), report.StrokeTable(slices.Values(strokes), origin()), report.LookTable(slices.Values(looks), origin())}
}

func TestLookedBy(t *testing.T) {
	names := map[club.ID]string{"k1": "MS", "k2": "JA"}
	by := func(looks ...club.Look) string {
		return report.LookedBy(looks, func(id club.ID) string { return names[id] })
	}
	one, other := club.Look{CoachID: "k1"}, club.Look{CoachID: "k2"}
	taken := club.Look{CoachID: "k1", Assumed: true}
	require.Empty(t, by())
	require.Equal(t, "MS", by(one, one))
	require.Equal(t, "JA; MS (assumed)", by(other, taken, taken))
	require.Equal(t, "MS; JA", by(taken, other, one), "who has said so is not assumed")
}

// runs reports whether a spreadsheet takes a cell for a formula.
func runs(s string) bool {
	s = strings.TrimLeft(s, " \u00a0\ufeff")
	return s != "" && strings.ContainsRune("=+-@\t\r\n＝", []rune(s)[0])
}

func TestCSVForms(t *testing.T) {
	for _, table := range longTables() {
		for _, form := range []report.CSVForm{{}, {Semicolon: true}, {NoMark: true}, {Semicolon: true, NoMark: true}} {
			var b bytes.Buffer
			require.NoError(t, report.CSV(&b, table, form))
			require.Equal(t, !form.NoMark, strings.HasPrefix(b.String(), "\ufeff"))
			r := csv.NewReader(strings.NewReader(strings.TrimPrefix(b.String(), "\ufeff")))
			if form.Semicolon {
				r.Comma = ';'
			}
			rows, err := r.ReadAll()
			require.NoError(t, err)
			cells := slices.Collect(table.Rows)
			require.Len(t, rows, 1+len(cells), table.Name)
			require.Equal(t, table.Columns, rows[0])
			for n, row := range rows[1:] {
				for i, cell := range row {
					switch v := cells[n][i].(type) {
					case string:
						require.False(t, runs(cell), "%s: %q", table.Columns[i], cell)
					case float64:
						require.NotContains(t, cell, map[bool]string{true: ".", false: ","}[form.Semicolon], "decimal sign of %v", v)
					case club.Date:
						require.Equal(t, string(v), cell)
					}
				}
			}
		}
	}
}

// A workbook read back holds numbers as numbers, dates as dates and text as text.
func TestXLSXReadBack(t *testing.T) {
	tables := longTables()
	var b bytes.Buffer
	require.NoError(t, report.XLSX(&b, tables, "Nobody has looked.", origin()))
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	require.Equal(t, []string{"About", "Faults", "Marks", "Strokes", "Looks"}, f.GetSheetList())
	about, err := f.GetRows("About")
	require.NoError(t, err)
	require.Equal(t, origin().Lines()[1], about[2][0])
	require.Equal(t, "Nobody has looked.", about[3][0])
	for _, table := range tables {
		for i, c := range table.Columns {
			at, err := excelize.CoordinatesToCellName(i+1, 1)
			require.NoError(t, err)
			got, err := f.GetCellValue(table.Name, at)
			require.NoError(t, err)
			require.Equal(t, c, got)
		}
		for n, row := range slices.Collect(table.Rows) {
			for i, want := range row {
				at, err := excelize.CoordinatesToCellName(i+1, n+2)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(table.Name, at)
				require.NoError(t, err)
				require.Empty(t, formula)
				kind, err := f.GetCellType(table.Name, at)
				require.NoError(t, err)
				raw, err := f.GetCellValue(table.Name, at, excelize.Options{RawCellValue: true})
				require.NoError(t, err)
				switch v := want.(type) {
				case string:
					if v == "" || raw == "" {
						continue
					}
					require.Contains(t, []excelize.CellType{excelize.CellTypeInlineString, excelize.CellTypeSharedString}, kind, "%s %s is text", table.Name, at)
					if utf8.ValidString(v) && !strings.ContainsAny(v, "\x00\x1b\x07\r") {
						require.Equal(t, v, raw, "text stays as it was entered")
					}
				case int:
					require.Contains(t, []excelize.CellType{excelize.CellTypeUnset, excelize.CellTypeNumber}, kind)
					require.Regexp(t, `^-?\d+$`, raw)
				case float64:
					require.Contains(t, []excelize.CellType{excelize.CellTypeUnset, excelize.CellTypeNumber}, kind, "%s %s is a number", table.Name, at)
				case club.Date:
					if v == "" {
						continue
					}
					shown, err := f.GetCellValue(table.Name, at)
					require.NoError(t, err)
					require.Equal(t, string(v), shown, "shown as a date")
					serial, err := f.GetCellValue(table.Name, at, excelize.Options{RawCellValue: true})
					require.NoError(t, err)
					day, err := time.Parse(time.DateOnly, string(v))
					require.NoError(t, err)
					// 2 January 1900 is day 2, with a 29 February 1900 that never was (ECMA-376 part 1, 18.17.4.1).
					require.Equal(t, int(day.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours()/24), atoi(t, serial))
				case nil:
					require.Empty(t, raw)
				}
			}
		}
	}
}

func atoi(t *testing.T, s string) (n int) {
	t.Helper()
	for _, c := range s {
		require.True(t, c >= '0' && c <= '9', s)
		n = 10*n + int(c-'0')
	}
	return n
}

func TestXLSXRefusesWhatNoSpreadsheetTakes(t *testing.T) {
	long := report.Table{Name: "Marks", Columns: []string{"a"}, Rows: slices.Values(make([][]any, excelize.TotalRows))}
	require.ErrorIs(t, report.XLSX(io.Discard, []report.Table{long}, "", origin()), report.ErrTooMany)
}

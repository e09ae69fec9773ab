package report_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
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
	require.NoError(t, report.XLSX(&b, tables, []string{"Nobody has looked."}, origin()))
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	require.Equal(t, []string{"About", "Faults", "Marks", "Strokes", "Looks"}, f.GetSheetList())
	about, err := f.GetRows("About")
	require.NoError(t, err)
	require.Equal(t, origin().Lines()[1], about[2][0])
	require.Equal(t, "Nobody has looked.", about[3][0])
	for _, table := range tables {
		require.Equal(t, "made_from", table.Columns[len(table.Columns)-1])
		written := len(table.Columns) - 1 // the first sheet says what it was made from
		heads := map[string]bool{}
		for i := range written {
			at, err := excelize.CoordinatesToCellName(i+1, 1)
			require.NoError(t, err)
			got, err := f.GetCellValue(table.Name, at)
			require.NoError(t, err)
			require.Regexp(t, "^[A-Z][^_]+$", got, "a head in words")
			require.False(t, heads[got], "%s: two columns are called %s", table.Name, got)
			heads[got] = true
		}
		beyond, err := excelize.CoordinatesToCellName(written+1, 1)
		require.NoError(t, err)
		got, err := f.GetCellValue(table.Name, beyond)
		require.NoError(t, err)
		require.Empty(t, got)
		for n, row := range slices.Collect(table.Rows) {
			for i, want := range row[:written] {
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
					shown, err := f.GetCellValue(table.Name, at)
					require.NoError(t, err)
					require.Equal(t, strings.HasPrefix(table.Columns[i], "rate") || table.Columns[i] == "confidence", strings.HasSuffix(shown, "%"), "%s: %s", table.Columns[i], shown)
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
				case time.Time:
					shown, err := f.GetCellValue(table.Name, at)
					require.NoError(t, err)
					require.Equal(t, v.Format("2006-01-02 15:04"), shown)
				case nil:
					require.Empty(t, raw)
				}
			}
		}
	}
}

// LibreOffice opens the workbook and prints it: every date and number has room, no
// sheet is wider than a page, and each page has the head of its sheet.
func TestWorkbookInLibreOffice(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.xlsx")
	var rows []report.MarkRow
	for i := range 150 { // several pages
		rows = append(rows, report.MarkRow{Date: "2026-12-28", Player: "MS", Drill: "Forehand and backhand in turn, with the partner's block", Frame: 1000000 + i,
			Seconds: 12345.67, Code: "LATE", Label: "Late return to ready", Confidence: 1, LookedBy: "MA; KL (assumed)"})
	}
	tables := []report.Table{report.FaultTable(summary(), origin()), report.MarkTable(slices.Values(rows), origin())}
	var b bytes.Buffer
	require.NoError(t, report.XLSX(&b, tables, nil, origin()))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	out, err := exec.CommandContext(ctx, "soffice", "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "pdf", "--outdir", dir, path).CombinedOutput()
	require.NoError(t, err, "%s", out)
	text, err := exec.Command("pdftotext", "-layout", filepath.Join(dir, "book.pdf"), "-").Output()
	require.NoError(t, err)
	require.NotContains(t, string(text), "##", "a value has no room")
	pages := strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
	many := 0
	for _, page := range pages[1:] { // the first says what it is
		head, _, _ := strings.Cut(strings.TrimLeft(page, "\n"), "\n")
		require.Regexp(t, "^ *(Player|Date) ", head, "a page without the left end of its head")
		if regexp.MustCompile(`Marks +\d+ ?/ ?\d+\s*$`).MatchString(page) {
			many++
			require.Contains(t, page, "2026-12-28")
			require.Contains(t, page, "Looked by", "the right end of the head")
		}
	}
	require.Greater(t, many, 1, "it goes over several pages")
	// Letters of the sheet Faults, on the second page, are as high in print as those of a small footnote.
	boxes, err := exec.Command("pdftotext", "-bbox", "-f", "2", "-l", "2", filepath.Join(dir, "book.pdf"), "-").Output()
	require.NoError(t, err)
	late := regexp.MustCompile(`yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">LATE<`).FindSubmatch(boxes)
	require.NotNil(t, late, "the second page is not that of the faults")
	low, err := strconv.ParseFloat(string(late[1]), 64)
	require.NoError(t, err)
	high, err := strconv.ParseFloat(string(late[2]), 64)
	require.NoError(t, err)
	require.Greater(t, high-low, 6.5, "points from the top of a line to its bottom")
	require.Contains(t, string(text), "%")
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
	require.ErrorIs(t, report.XLSX(io.Discard, []report.Table{long}, nil, origin()), report.ErrTooMany)
}

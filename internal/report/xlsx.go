package report

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"strokeledger/internal/club"
	"strokeledger/internal/report/plain"
)

// ErrTooMany says that a table has more rows than a spreadsheet takes.
var ErrTooMany = errors.New("more rows than a spreadsheet takes")

// XLSX writes tables as a workbook, one sheet each, after a sheet that says what it is
// and, in say, what of it nobody has looked through and what means something else: numbers as numbers, dates as dates,
// rates in percent, and text as text, which no spreadsheet runs. Heads are in words and
// stay in sight, with filters; printed, a sheet is one page wide with its head on each.
// The column made_from is left out: the first sheet says it. Columns that a table sets aside
// are put away, to be opened by the + above them. The error wraps ErrTooMany
// where a table is too long.
func XLSX(w io.Writer, tables []Table, say []string, o Origin) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	if err := f.SetDocProps(&excelize.DocProperties{Title: "Fault summary", Creator: "Strokeledger", Created: stamp(o.Made), Modified: stamp(o.Made)}); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	about := Table{Name: "About", Columns: []string{"Fault summary"}}
	lines := o.Lines()
	for _, s := range say {
		if s != "" {
			lines = append(lines, plain.Text(s, mostSay))
		}
	}
	if slices.ContainsFunc(tables, func(t Table) bool { return len(t.aside) > 0 }) {
		lines = append(lines, howAside)
	}
	about.Rows = each(slices.Values(append(lines, howStroke, howInterval, howMinute, howDepend)), func(line string) []any { return []any{line} })
	looks, err := newLooks(f)
	if err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	for i, t := range append([]Table{about}, tables...) {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.Name)
		} else {
			_, err = f.NewSheet(t.Name)
		}
		if err == nil {
			err = looks.sheet(f, t)
		}
		if err != nil {
			return fmt.Errorf("write sheet %s: %w", t.Name, err)
		}
	}
	if _, err := f.WriteTo(w); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	return nil
}

// stamp is a time as the file's properties want it.
func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// looks are the numbers of the workbook's styles; numbers is the head of a column of them.
type looks struct{ head, numbers, date, moment, percent, number, whole, text int }

func newLooks(f *excelize.File) (s looks, err error) {
	day, moment, percent, number := "yyyy-mm-dd", "yyyy-mm-dd hh:mm", "0.0%", "0.00"
	right := &excelize.Alignment{Vertical: "top", Horizontal: "right", WrapText: true}
	// A text does not touch the number before it.
	left := &excelize.Alignment{Vertical: "top", Horizontal: "left", Indent: 1, WrapText: true}
	bold, tint := &excelize.Font{Bold: true}, excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E8EEF0"}}
	for _, of := range []struct {
		to    *int
		style excelize.Style
	}{
		{&s.head, excelize.Style{Font: bold, Fill: tint, Alignment: left}},
		{&s.numbers, excelize.Style{Font: bold, Fill: tint, Alignment: right}},
		{&s.date, excelize.Style{CustomNumFmt: &day, Alignment: left}},
		{&s.moment, excelize.Style{CustomNumFmt: &moment, Alignment: left}},
		{&s.percent, excelize.Style{CustomNumFmt: &percent, Alignment: right}},
		{&s.number, excelize.Style{CustomNumFmt: &number, Alignment: right}},
		{&s.whole, excelize.Style{Alignment: right}},
		{&s.text, excelize.Style{Alignment: left}},
	} {
		if *of.to, err = f.NewStyle(&of.style); err != nil {
			return s, err
		}
	}
	return s, nil
}

const howAside = "In the sheet Faults some columns are put away, so that the others can be read in print: the + above the heads opens them."

// madeFrom is the column that the first sheet stands for.
const madeFrom = "made_from"

func (s looks) sheet(f *excelize.File, t Table) error {
	n := 1 // rows, with the head
	for range t.Rows {
		if n++; n > excelize.TotalRows {
			return ErrTooMany
		}
	}
	columns := make([]int, 0, len(t.Columns)) // that are written
	for i, c := range t.Columns {
		if c != madeFrom {
			columns = append(columns, i)
		}
	}
	wide, numbers := widths(t)
	if err := setUp(f, t.Name, len(columns), n); err != nil {
		return err
	}
	out, err := f.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	row, head := make([]any, len(columns)), 1
	for at, i := range columns {
		words := headWords(t.Columns[i])
		if err := out.SetColWidth(at+1, at+1, wide[i]); err != nil {
			return err
		}
		aside := slices.Contains(t.aside, t.Columns[i])
		if aside {
			if err := errors.Join(out.SetColOutlineLevel(at+1, 1), out.SetColVisible(at+1, at+1, false)); err != nil {
				return err
			}
		}
		look := s.head
		if numbers[i] {
			look = s.numbers
		}
		row[at] = excelize.Cell{StyleID: look, Value: words}
		if !aside {
			head = max(head, rowsOf(words, wide[i]-3)) // beside the filter's button
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	if err := out.SetRow("A1", row, excelize.RowOpts{Height: lineHeight * float64(head)}); err != nil {
		return err
	}
	at := 1
	for values := range t.Rows {
		at++
		lines := 1
		for to, i := range columns {
			row[to] = s.cell(t.Columns[i], values[i])
			if text, ok := values[i].(string); ok {
				lines = max(lines, rowsOf(text, wide[i]))
			}
		}
		var o []excelize.RowOpts
		if lines > 1 { // not every program makes room by itself
			o = []excelize.RowOpts{{Height: lineHeight * float64(min(lines, mostLines))}}
		}
		if err := out.SetRow(fmt.Sprintf("A%d", at), row, o...); err != nil {
			return err
		}
	}
	return out.Flush()
}

// setUp says how a sheet of so many columns and rows is printed and filtered. It comes
// before the rows, which are not kept in memory.
func setUp(f *excelize.File, sheet string, columns, rows int) error {
	yes, across, a4, one, several := true, "landscape", 9, 1, 0
	layout := &excelize.PageLayoutOptions{Size: &a4, FitToWidth: &one, FitToHeight: &several}
	if columns > 1 {
		layout.Orientation = &across
	}
	side, end, foot := 0.4, 0.6, 0.3 // inches
	return errors.Join(
		filter(f, sheet, columns, rows), // before the rest, some of which it would undo
		f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &yes}),
		f.SetPageLayout(sheet, layout),
		f.SetPageMargins(sheet, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &side, Bottom: &end, Footer: &foot}),
		f.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{OddFooter: "&L&A&R&P / &N"}),
		f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: sheet + "!$1:$1", Scope: sheet}),
	)
}

func filter(f *excelize.File, sheet string, columns, rows int) error {
	if columns == 1 { // text
		return nil
	}
	last, err := excelize.CoordinatesToCellName(columns, rows)
	if err != nil {
		return err
	}
	return f.AutoFilter(sheet, "A1:"+last, nil)
}

// headWords is the head of a column in words.
func headWords(column string) string {
	if words, ok := map[string]string{
		"of": "Sheet of", "good": "Good strokes", "seconds": "Clip time, s", "minutes": "Minutes", "sign": "Drawn on",
		"streak": "Longest streak", "unplaced_marks": "Marks on no stroke", "strokes_exposed": "Strokes looked at",
		"rate_low": "Rate, from", "rate_high": "Rate, to", "per_minute_low": "Per minute, from", "per_minute_high": "Per minute, to",
		"redefined": "Changed meaning", "unlooked": "Marks not looked through", "unlooked_turns": "Turns not looked through", "unlooked_strokes": "Strokes not looked through",
		"ready_seconds": "Ready again, s", "answer_seconds": "Partner's contact, s", "made": "Made (UTC)",
	}[column]; ok {
		return words
	}
	words := strings.ReplaceAll(column, "_", " ")
	return strings.ToUpper(words[:1]) + words[1:]
}

// Figures of the sheets: widths in characters, heights in points.
const (
	lineHeight = 15
	mostLines  = 12
	widest     = 34
	aboutWidth = 96
)

// rowsOf is how many lines a text takes in a column. Letters are of different width: of
// several, a line is taken to hold nine tenths of what it may.
func rowsOf(text string, width float64) (lines int) {
	for _, part := range strings.Split(text, "\n") {
		lines++
		if n := float64(utf8.RuneCountInString(part)); n > width-beside {
			lines += int((n - 1) / (0.9 * (width - beside)))
		}
	}
	return lines
}

// beside is what stays free in a column, in characters.
const beside = 3

// widths is how wide the columns are, by their first rows and the words of their heads,
// which may stand below each other; dates and moments are whole. It tells as well which
// columns hold numbers.
func widths(t Table) (wide []float64, numbers []bool) {
	wide, numbers = make([]float64, len(t.Columns)), make([]bool, len(t.Columns))
	if len(t.Columns) == 1 {
		wide[0] = aboutWidth
		return wide, numbers
	}
	fit := func(column, letters int) {
		wide[column] = min(max(wide[column], float64(letters+beside)), widest)
	}
	for i, head := range t.Columns {
		for _, word := range strings.Fields(headWords(head)) {
			fit(i, max(5, len(word)+2)) // and the filter's button
		}
	}
	n := 0
	for r := range t.Rows {
		for i, v := range r {
			switch v := v.(type) {
			case string:
				fit(i, utf8.RuneCountInString(v))
			case club.Date:
				fit(i, len(time.DateOnly))
			case time.Time:
				fit(i, len("2006-01-02 15:04"))
			case int:
				numbers[i] = true
				fit(i, len(strconv.Itoa(v)))
			case float64:
				numbers[i] = true
				fit(i, len(strconv.FormatFloat(v, 'f', 2, 64)))
			}
		}
		if n++; n == 1000 {
			break
		}
	}
	return wide, numbers
}

func (s looks) cell(column string, v any) any {
	switch v := v.(type) {
	case nil:
		return nil
	case float64:
		switch column {
		case "rate", "rate_low", "rate_high", "confidence":
			return excelize.Cell{StyleID: s.percent, Value: v}
		}
		return excelize.Cell{StyleID: s.number, Value: v}
	case club.Date:
		if day, err := time.Parse(time.DateOnly, string(v)); err == nil {
			return excelize.Cell{StyleID: s.date, Value: day}
		}
		return excelize.Cell{StyleID: s.text, Value: storable(string(v))}
	case time.Time:
		return excelize.Cell{StyleID: s.moment, Value: v}
	case bool:
		return excelize.Cell{StyleID: s.text, Value: yesNo(v)}
	case string:
		return excelize.Cell{StyleID: s.text, Value: storable(v)}
	case int:
		return excelize.Cell{StyleID: s.whole, Value: v}
	}
	return v
}

// storable leaves out what XML 1.0 cannot hold (section 2.2: characters).
func storable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' || r == '\ufffe' || r == '\uffff' {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

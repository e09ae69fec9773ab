package report

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"strokeledger/internal/club"
)

// ErrTooMany says that a table has more rows than a spreadsheet takes.
var ErrTooMany = errors.New("more rows than a spreadsheet takes")

// XLSX writes tables as a workbook, one sheet each, after a sheet that says what it
// is and, in say, what of it nobody has looked through: numbers as numbers, dates as dates, and text as text, which no spreadsheet
// runs. The error wraps ErrTooMany where a table is too long.
func XLSX(w io.Writer, tables []Table, say string, o Origin) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	if err := f.SetDocProps(&excelize.DocProperties{Title: "Fault summary", Creator: "Strokeledger", Created: stamp(o.Made), Modified: stamp(o.Made)}); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	about := Table{Name: "About", Columns: []string{"Fault summary"}}
	lines := o.Lines()
	if say != "" {
		lines = append(lines, plain(say, mostSay))
	}
	about.Rows = each(slices.Values(append(lines, howStroke, howInterval, howMinute, howDepend)), func(line string) []any { return []any{line} })
	styles, err := newStyles(f)
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
			err = styles.sheet(f, t)
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

// styles are the numbers of the workbook's looks.
type styles struct{ head, date, share, wrap int }

func newStyles(f *excelize.File) (s styles, err error) {
	day, four := "yyyy-mm-dd", "0.0000"
	for _, of := range []struct {
		to    *int
		style excelize.Style
	}{
		{&s.head, excelize.Style{Font: &excelize.Font{Bold: true}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E8EEF0"}}}},
		{&s.date, excelize.Style{CustomNumFmt: &day}},
		{&s.share, excelize.Style{CustomNumFmt: &four}},
		{&s.wrap, excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
	} {
		if *of.to, err = f.NewStyle(&of.style); err != nil {
			return s, err
		}
	}
	return s, nil
}

func (s styles) sheet(f *excelize.File, t Table) error {
	n := 0
	for range t.Rows {
		if n++; n >= excelize.TotalRows {
			return ErrTooMany
		}
	}
	out, err := f.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	for i, w := range widths(t) {
		if err := out.SetColWidth(i+1, i+1, w); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	row := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		row[i] = excelize.Cell{StyleID: s.head, Value: c}
	}
	if err := out.SetRow("A1", row); err != nil {
		return err
	}
	at := 1 // the head
	for values := range t.Rows {
		at++
		for i, v := range values {
			row[i] = s.cell(v)
		}
		if err := out.SetRow(fmt.Sprintf("A%d", at), row); err != nil {
			return err
		}
	}
	return out.Flush()
}

// widths is how wide the columns are, in characters, by their heads and first rows.
func widths(t Table) []float64 {
	if len(t.Columns) == 1 {
		return []float64{100}
	}
	wide := make([]float64, len(t.Columns))
	fit := func(column, letters int) { wide[column] = min(max(wide[column], float64(letters+2), 9), 40) }
	for i, head := range t.Columns {
		fit(i, len(head))
	}
	n := 0
	for r := range t.Rows {
		for i, v := range r {
			if s, ok := v.(string); ok {
				fit(i, utf8.RuneCountInString(s))
			}
		}
		if n++; n == 100 {
			break
		}
	}
	return wide
}

func (s styles) cell(v any) any {
	switch v := v.(type) {
	case nil:
		return nil
	case float64:
		return excelize.Cell{StyleID: s.share, Value: v}
	case club.Date:
		if day, err := time.Parse(time.DateOnly, string(v)); err == nil {
			return excelize.Cell{StyleID: s.date, Value: day}
		}
		return string(v)
	case bool:
		return yesNo(v)
	case string:
		text := storable(v)
		if len(text) > 60 {
			return excelize.Cell{StyleID: s.wrap, Value: text}
		}
		return text
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

package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"strokeledger/internal/club"
)

// CSVForm is how a spreadsheet wants its CSV. The zero value is what RFC 4180 and
// most programs take.
type CSVForm struct {
	Semicolon bool // between cells, with the comma as decimal sign: what spreadsheets expect where numbers are written so
	NoMark    bool // without the byte order mark, by which spreadsheets tell UTF-8
}

// CSV writes a table: RFC 4180 with CRLF and a head, in UTF-8. A cell that has no
// value is empty, dates are year-month-day. Text that a spreadsheet would run as a
// formula gets an apostrophe in front.
func CSV(w io.Writer, t Table, f CSVForm) error {
	if !f.NoMark {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return fmt.Errorf("write %s as CSV: %w", t.Name, err)
		}
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if f.Semicolon {
		out.Comma = ';'
	}
	out.Write(t.Columns) // its error is kept for out.Error
	cells := make([]string, len(t.Columns))
	for row := range t.Rows {
		for i, v := range row {
			cells[i] = f.cell(v)
		}
		out.Write(cells)
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write %s as CSV: %w", t.Name, err)
	}
	return nil
}

func (f CSVForm) cell(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case int:
		return strconv.Itoa(v)
	case float64:
		if f.Semicolon {
			return strings.Replace(decimal(v), ".", ",", 1)
		}
		return decimal(v)
	case bool:
		return yesNo(v)
	case club.Date:
		return string(v)
	case time.Time:
		return v.Format(time.RFC3339)
	case string:
		return harmless(v)
	}
	panic(fmt.Sprintf("report: a table cell of type %T", v))
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// decimal writes six decimals without the noughts at the end.
func decimal(v float64) string {
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 6, 64), "0"), ".")
}

// harmless is text that a spreadsheet does not run: what begins like a formula,
// also after spaces or in full-width characters, gets an apostrophe in front.
func harmless(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	if strings.HasPrefix(s, "\t") || strings.HasPrefix(s, "\r") || strings.HasPrefix(s, "\n") {
		return "'" + s
	}
	lead := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || r == '\ufeff' })
	if lead != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(lead)[0]) {
		return "'" + s
	}
	return s
}

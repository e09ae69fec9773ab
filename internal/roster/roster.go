// Package roster reads a club's players from a table as spreadsheets save it. It is
// pure: it knows no files.
package roster

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"strokeledger/internal/alike"
	"strokeledger/internal/club"
)

// Limits of a roster, so that a wrong file ends soon.
const (
	maxRows  = 10_000
	maxBytes = 64 << 20
)

// Remark says what is wrong with a row.
type Remark struct {
	Line  int    `json:"line"`  // in the file, from 1
	Say   string `json:"say"`   // one sentence, which names the player where there is a name
	Taken bool   `json:"taken"` // the player is taken all the same, without what could not be read
}

// Row is a player of a roster, who has no ID.
type Row struct {
	Line   int // in the file, from 1
	Player club.Player
}

// Read reads players from a table as spreadsheets save it (RFC 4180): a first row with the
// columns name, alias, hand, group, note, consent from, consent until, consent by and delete
// after in any order and case, of which only name must be there; other columns are left
// aside. Commas, semicolons or tabs part the columns. The text is UTF-8, UTF-16 with a byte
// order mark, or else Windows-1252. A row without a hand is right-handed. A day is written
// year-month-day or, with points, day.month.year.
//
// A row that cannot be taken is a remark of its own and the others are kept; of a hand or a
// day that cannot be read the row is taken without it, with a remark. An error is a
// *club.Problem about the file as a whole.
func Read(r io.Reader) (rows []Row, remarks []Remark, err error) {
	text, err := rosterText(r)
	if err != nil {
		return nil, nil, err
	}
	table := csv.NewReader(strings.NewReader(text))
	table.FieldsPerRecord = -1
	table.Comma = separator(text)
	head, err := table.Read()
	if err != nil {
		return nil, nil, problem("", "The roster is empty or its first row is broken: begin it with the names of the columns, for example name, hand, group.")
	}
	columns, err := rosterColumns(head)
	if err != nil {
		return nil, nil, err
	}
	twins := twins{alike.New(), map[string]Row{}}
	for n := 0; ; {
		cells, err := table.Read()
		if err == io.EOF {
			return rows, remarks, nil
		}
		line, say := 0, ""
		var broken *csv.ParseError
		switch {
		case errors.As(err, &broken):
			line, say = broken.StartLine, "The quotation marks in this row do not match: put text in a pair of them, and double those inside."
		case err != nil:
			return nil, nil, problem("", "The roster cannot be read: pick the file again.")
		case strings.TrimSpace(strings.Join(cells, "")) == "":
			continue
		default:
			line, _ = table.FieldPos(0)
		}
		if n++; n > maxRows {
			say := fmt.Sprintf("This row and those below were left out, because a roster takes %d players: split it into several files.", maxRows)
			return rows, append(remarks, Remark{Line: line, Say: say}), nil
		}
		row, unread := Row{Line: line}, []string(nil)
		if say == "" {
			if row.Player, unread, say = player(cells, columns); say == "" {
				say = twins.of(row)
			}
		}
		if say != "" {
			remarks = append(remarks, Remark{Line: line, Say: say})
			continue
		}
		rows = append(rows, row)
		for _, u := range unread {
			remarks = append(remarks, Remark{Line: line, Say: u, Taken: true})
		}
	}
}

// rosterText reads all of the file as UTF-8 without a byte order mark.
func rosterText(r io.Reader) (string, error) {
	raw, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	switch {
	case err != nil:
		return "", problem("", "The roster cannot be read: pick the file again.")
	case len(raw) > maxBytes:
		return "", problem("", "This file is too big for a roster: pick the table of players, saved as CSV.")
	}
	wide := bytes.HasPrefix(raw, []byte{0xff, 0xfe}) || bytes.HasPrefix(raw, []byte{0xfe, 0xff})
	switch {
	case wide:
		raw, err = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(raw)
	case !utf8.Valid(raw):
		raw, err = charmap.Windows1252.NewDecoder().Bytes(raw)
	}
	raw = bytes.TrimPrefix(raw, []byte("\ufeff"))
	if err != nil || bytes.IndexByte(raw, 0) >= 0 {
		return "", problem("", "This file is not a table in text form: save the sheet as CSV and pick that file.")
	}
	return string(raw), nil
}

// separator is the one that the first row uses most.
func separator(text string) rune {
	head, _, _ := strings.Cut(strings.TrimLeft(text, "\r\n"), "\n")
	best := ','
	for _, c := range []rune{';', '\t'} {
		if strings.Count(head, string(c)) > strings.Count(head, string(best)) {
			best = c
		}
	}
	return best
}

// rosterColumns finds each known column's place in a row.
func rosterColumns(head []string) (map[string]int, error) {
	columns := map[string]int{}
	for i, h := range head {
		// A spreadsheet's own export may write consent_from.
		switch h = strings.ReplaceAll(strings.ToLower(strings.TrimSpace(h)), "_", " "); h {
		case "name", "alias", "hand", "group", "note", "consent from", "consent until", "consent by", "delete after":
			if _, twice := columns[h]; twice {
				return nil, problem(h, "The roster has two columns called %s: rename one of them.", h)
			}
			columns[h] = i
		}
	}
	if _, ok := columns["name"]; !ok {
		return nil, problem("name", "The roster has no column called name: write the names of the columns into its first row, for example name, hand, group.")
	}
	return columns, nil
}

// player makes a player of a row, or says what is wrong with it; unread says what could not
// be read and was left out.
func player(cells []string, columns map[string]int) (p club.Player, unread []string, say string) {
	field := func(name string) string {
		if i, ok := columns[name]; ok && i < len(cells) {
			return strings.TrimSpace(cells[i])
		}
		return ""
	}
	p = club.Player{Name: field("name"), Alias: field("alias"), Group: field("group"), Note: field("note"), Hand: club.RightHand, ConsentBy: field("consent by")}
	leave := func(format string, args ...any) {
		unread = append(unread, club.Isolated(p.Name)+": "+fmt.Sprintf(format, args...))
	}
	switch hand := strings.ToLower(field("hand")); hand {
	case "", "right", "r", "right-handed", "right hand":
	case "left", "l", "left-handed", "left hand":
		p.Hand = club.LeftHand
	default:
		leave("%q is no hand, so right was put in; write right or left, or correct it under Club.", shortened(field("hand")))
	}
	for _, d := range []struct {
		column string
		into   *club.Date
	}{{"consent from", &p.ConsentFrom}, {"consent until", &p.ConsentUntil}, {"delete after", &p.DeleteAfter}} {
		var ok bool
		if *d.into, ok = day(field(d.column)); !ok {
			leave("%q is no day for %s, which was left empty; write it as year-month-day, for example 2026-03-14.", shortened(field(d.column)), d.column)
		}
	}
	if p.ConsentUntil != "" && p.ConsentFrom == "" {
		leave("The consent says until when and not from when, so none was put in; write the day from which it holds.")
		p.ConsentUntil = ""
	}
	if p.ConsentUntil != "" && p.ConsentUntil < p.ConsentFrom {
		leave("The consent ends on %s, before it begins on %s, so none was put in; change one of the two days.", p.ConsentUntil, p.ConsentFrom)
		p.ConsentFrom, p.ConsentUntil = "", ""
	}
	if err := p.Check(); err != nil {
		if say = err.Error(); p.Name != "" {
			say = club.Isolated(shortened(p.Name)) + ": " + say
		}
	}
	return p, unread, say
}

// shortened is a text as a sentence can hold it.
func shortened(text string) string {
	const long = 40
	if r := []rune(text); len(r) > long {
		return string(r[:long]) + "…"
	}
	return text
}

// day reads a day; "" is none. Days with strokes are not read: nobody can say which of their
// numbers is the month.
func day(s string) (club.Date, bool) {
	if s == "" {
		return "", true
	}
	if t, err := time.Parse("2.1.2006", s); err == nil {
		s = t.Format(time.DateOnly)
	}
	d, err := club.ParseDate(s)
	return d, err == nil
}

// twins knows the rows above by how their names read.
type twins struct {
	names *alike.Names
	above map[string]Row
}

// of says so where a name like the row's stood above, and takes it in otherwise.
func (t twins) of(r Row) string {
	key := t.names.Key(r.Player.Name)
	if a, ok := t.above[key]; ok {
		return fmt.Sprintf("%q stands in line %d already as %q: add something to tell them apart.", r.Player.Name, a.Line, a.Player.Name)
	}
	t.above[key] = r
	return ""
}

func problem(field, format string, args ...any) error {
	return &club.Problem{Field: field, Say: fmt.Sprintf(format, args...)}
}

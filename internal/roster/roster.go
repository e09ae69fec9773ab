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
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"strokeledger/internal/club"
)

// Limits of a roster, so that a wrong file ends soon.
const (
	maxRows  = 10_000
	maxBytes = 64 << 20
)

// Refused is a row of a roster that could not be taken.
type Refused struct {
	Line int    `json:"line"` // in the file, from 1
	Say  string `json:"say"`  // one sentence
}

// Read reads players from a table as spreadsheets save it (RFC 4180): a
// first row with the columns name, alias, hand, group and note in any order and
// case, of which only name must be there; other columns are left aside. Commas,
// semicolons or tabs part the columns. The text is UTF-8, UTF-16 with a byte
// order mark, or else Windows-1252. A row without a hand is right-handed.
//
// A row that cannot be taken is a problem of its own and the others are kept; an
// error is a *club.Problem about the file as a whole. The players have no IDs.
func Read(r io.Reader) (players []club.Player, problems []Refused, err error) {
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
	names := map[string]int{}
	for rows := 0; ; {
		row, err := table.Read()
		if err == io.EOF {
			return players, problems, nil
		}
		line, say := 0, ""
		var broken *csv.ParseError
		switch {
		case errors.As(err, &broken):
			line, say = broken.StartLine, "The quotation marks in this row do not match: put text in a pair of them, and double those inside."
		case err != nil:
			return nil, nil, problem("", "The roster cannot be read: pick the file again.")
		case strings.TrimSpace(strings.Join(row, "")) == "":
			continue
		default:
			line, _ = table.FieldPos(0)
		}
		if rows++; rows > maxRows {
			say := fmt.Sprintf("This row and those below were left out, because a roster takes %d players: split it into several files.", maxRows)
			return players, append(problems, Refused{line, say}), nil
		}
		if say == "" {
			var p club.Player
			if p, say = rosterPlayer(row, columns); say == "" {
				say = twice(names, p.Name, line)
			}
			if say == "" {
				players = append(players, p)
				continue
			}
		}
		problems = append(problems, Refused{line, say})
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
		switch h = strings.ToLower(strings.TrimSpace(h)); h {
		case "name", "alias", "hand", "group", "note":
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

// rosterPlayer makes a player of a row, or says what is wrong with it.
func rosterPlayer(row []string, columns map[string]int) (p club.Player, say string) {
	field := func(name string) string {
		if i, ok := columns[name]; ok && i < len(row) {
			return strings.TrimSpace(row[i])
		}
		return ""
	}
	p = club.Player{Name: field("name"), Alias: field("alias"), Group: field("group"), Note: field("note")}
	switch strings.ToLower(field("hand")) {
	case "", "right", "r":
		p.Hand = club.RightHand
	case "left", "l":
		p.Hand = club.LeftHand
	}
	if err := p.Check(); err != nil {
		return p, err.Error()
	}
	return p, ""
}

// twice says so where the name stood in a row above; names has the lines.
func twice(names map[string]int, name string, line int) string {
	key := club.Fold(name)
	if above, ok := names[key]; ok {
		return fmt.Sprintf("%q stands in line %d already: add something to tell them apart.", name, above)
	}
	names[key] = line
	return ""
}

func problem(field, format string, args ...any) error {
	return &club.Problem{Field: field, Say: fmt.Sprintf(format, args...)}
}

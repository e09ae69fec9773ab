package roster

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestRead(t *testing.T) {
	ana := club.Player{Name: "Ana", Hand: club.RightHand}
	bo := club.Player{Name: "Bo", Alias: "B", Hand: club.LeftHand, Group: "U12", Note: "new, keen"}
	for name, c := range map[string]struct {
		text    string
		players []club.Player
		remarks []Remark
	}{
		"comma":              {"name\nAna\n", []club.Player{ana}, nil},
		"no last line end":   {"name\r\nAna", []club.Player{ana}, nil},
		"any order and case": {"Note, HAND ,alias,Group,Name\n\"new, keen\",Left,B,U12, Bo \n", []club.Player{bo}, nil},
		"semicolon":          {"name;hand;group;alias;note\nBo;L;U12;B;new, keen\n", []club.Player{bo}, nil},
		"tab":                {"name\thand\tgroup\talias\tnote\nBo\tleft\tU12\tB\tnew, keen\n", []club.Player{bo}, nil},
		"other columns":      {"born,name,shoe size\n2015,Ana,36\n", []club.Player{ana}, nil},
		"short rows":         {"name,hand,group\nAna\n", []club.Player{ana}, nil},
		"empty rows":         {"\n\nname,hand\n\n,\nAna,\n , \n", []club.Player{ana}, nil},
		"UTF-8":              {"name\nÉlodie Çağ 陈\n", []club.Player{{Name: "Élodie Çağ 陈", Hand: club.RightHand}}, nil},
		"UTF-8 with mark":    {"\xef\xbb\xbfname\nAna\n", []club.Player{ana}, nil},
		"UTF-16 little":      {"\xff\xfen\x00a\x00m\x00e\x00\n\x00A\x00n\x00a\x00\n\x00", []club.Player{ana}, nil},
		"UTF-16 big":         {"\xfe\xff\x00n\x00a\x00m\x00e\x00\n\x00A\x00n\x00a\x00\n", []club.Player{ana}, nil},
		"Windows-1252":       {"name\nJos\xe9 \x8aimek\n", []club.Player{{Name: "José Šimek", Hand: club.RightHand}}, nil}, // 0xe9 é, 0x8a Š: Unicode's CP1252.TXT
		"line end inside":    {"name,note\nAna,\"a\nb\"\n,x\n", []club.Player{{Name: "Ana", Hand: club.RightHand, Note: "a\nb"}}, []Remark{{Line: 4, Say: "The name is empty: write one."}}},
		"only the head":      {"name,hand\n", nil, nil},
		"bad rows": {"name,hand\nAna,\n,left\nCy,both\nána,right\n\"x\"y,left\nBo,left\n",
			[]club.Player{ana, {Name: "Cy", Hand: club.RightHand}, {Name: "Bo", Hand: club.LeftHand}}, []Remark{
				{Line: 3, Say: "The name is empty: write one."},
				{Line: 4, Say: "Cy: \"both\" is no hand, so right was put in; write right or left, or correct it under Club.", Taken: true},
				{Line: 5, Say: `"ána" stands in line 2 already as "Ana": add something to tell them apart.`},
				{Line: 6, Say: "The quotation marks in this row do not match: put text in a pair of them, and double those inside."},
			}},
		"consent": {"name;Consent from;consent_until;consent by;delete after\nAna;2026-01-02;31.12.2026;her mother;1.2.2027\nBo;01/02/2026;;;soon\nCy;;2026-03-01;;\nDi;2026-03-02;2026-03-01;;\n",
			[]club.Player{{Name: "Ana", Hand: club.RightHand, ConsentFrom: "2026-01-02", ConsentUntil: "2026-12-31", ConsentBy: "her mother", DeleteAfter: "2027-02-01"},
				{Name: "Bo", Hand: club.RightHand}, {Name: "Cy", Hand: club.RightHand}, {Name: "Di", Hand: club.RightHand}}, []Remark{
				{3, "Bo: \"01/02/2026\" is no day for consent from, which was left empty; write it as year-month-day, for example 2026-03-14.", true},
				{3, "Bo: \"soon\" is no day for delete after, which was left empty; write it as year-month-day, for example 2026-03-14.", true},
				{4, "Cy: The consent says until when and not from when, so none was put in; write the day from which it holds.", true},
				{5, "Di: The consent ends on 2026-03-01, before it begins on 2026-03-02, so none was put in; change one of the two days.", true},
			}},
		"too long": {"name\n" + strings.Repeat("n", club.MaxName+1) + "\nAna\n", []club.Player{ana}, []Remark{{Line: 2, Say: strings.Repeat("n", 40) + "…: The name is too long: keep it to 200 characters."}}},
	} {
		rows, remarks, err := Read(strings.NewReader(c.text))
		require.NoError(t, err, name)
		require.Equal(t, c.players, players(rows), name)
		require.Equal(t, c.remarks, remarks, name)
	}
}

func players(rows []Row) (all []club.Player) {
	for _, r := range rows {
		all = append(all, r.Player)
	}
	return all
}

func TestReadRefusesWholeFiles(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"empty":     {"", "The roster is empty or its first row is broken: begin it with the names of the columns, for example name, hand, group."},
		"no name":   {"player,hand\nAna,left\n", "The roster has no column called name: write the names of the columns into its first row, for example name, hand, group."},
		"two names": {"name,Name\nAna,Bo\n", "The roster has two columns called name: rename one of them."},
		"a sheet":   {"PK\x03\x04\x14\x00\x06\x00", "This file is not a table in text form: save the sheet as CSV and pick that file."},
		"too big":   {strings.Repeat("x", maxBytes+1), "This file is too big for a roster: pick the table of players, saved as CSV."},
	} {
		_, _, err := Read(strings.NewReader(c.text))
		p, ok := club.AsProblem(err)
		require.True(t, ok, name)
		require.Equal(t, c.want, p.Say, name)
	}
	_, _, err := Read(iotest.ErrReader(errors.New("drive pulled")))
	_, ok := club.AsProblem(err)
	require.True(t, ok)
}

func TestReadIsBounded(t *testing.T) {
	var text strings.Builder
	text.WriteString("name\n")
	for i := range 100_000 {
		fmt.Fprintf(&text, "Player %d\n", i)
	}
	rows, remarks, err := Read(strings.NewReader(text.String()))
	require.NoError(t, err)
	require.Len(t, rows, maxRows)
	require.Equal(t, []Remark{{Line: maxRows + 2, Say: "This row and those below were left out, because a roster takes 10000 players: split it into several files."}}, remarks)
}

// FuzzRead: whatever the file, every player that comes out may be kept, and
// every row that does not has its line and its sentence.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{"name\nAna\n", "name;hand\nBo;l\n", "\xff\xfen\x00", "name,note\n\"a\"\"b\",\n", "\xef\xbb\xbfname\tgroup\n=1+1\t\x8a\n"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, remarks, err := Read(strings.NewReader(string(data)))
		if err != nil {
			_, ok := club.AsProblem(err)
			require.True(t, ok)
			require.Empty(t, rows)
		}
		for _, r := range rows {
			require.NoError(t, r.Player.Check())
		}
		for _, p := range remarks {
			require.Positive(t, p.Line)
			require.NotEmpty(t, p.Say)
		}
	})
}

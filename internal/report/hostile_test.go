package report_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
)

// hostile lists names that people, spreadsheets or attackers come up with.
func hostile() []string {
	return []string{
		`<img src=x onerror=alert(1)>`,
		`</style><script>alert(1)</script>`,
		`"><svg onload=alert(1)>`,
		`' onmouseover='alert(1)`,
		`javascript:alert(1)`,
		`{{.Title}} {{template "row" .}}`,
		`<!-- & <![CDATA[ &lt;b&gt; -->`,
		`=1+1`, `+1`, `-2+3`, `@SUM(A1)`, "\t=1+1", "\r=1+1", "\n=1+1", `  =1+1`, `＝1+1`, "\u00a0=1+1", "\ufeff=1+1",
		`a "quoted", name`, "two\nlines", "two\r\nlines",
		"עידו לוי", "\u202eesrever", "ليلى", "\u2067mixed",
		"👩🏽‍🦱 🏓 👨‍👩‍👧‍👦", "e\u0301\u0302\u0303", "Z" + strings.Repeat("\u0336", 5000),
		"\x1b[31mred\x1b]0;title\x07", "nul\x00byte", "bad \xff utf8",
		strings.Repeat("x", 10_000), strings.Repeat("word ", 2_000), strings.Repeat("漢", 10_000),
	}
}

// hostileClub uses each of them for every text that a person can enter.
func hostileClub() tally.Summary {
	c, turns := club.Catalogue{}, []club.TurnRecord{}
	_, all := invented()
	for i, s := range hostile() {
		id := club.ID(strings.Repeat("i", i+1))
		c.Players = append(c.Players, club.Player{ID: id, Name: s, Alias: s})
		c.Drills = append(c.Drills, club.Drill{ID: id, Name: s, Method: club.Methods()[i%3], Rung: i, Streak: 10})
		c.Faults = append(c.Faults, club.Fault{ID: id, Code: s, Label: s, Cue: s, Sides: club.BothSides, Weight: 1})
		r := all[0]
		r.ID, r.PlayerID, r.DrillID = id, id, id
		r.Marks = []club.Mark{{ID: id, FaultID: id, Frame: 44, Ticks: 100}}
		if r.Looks = nil; i%4 > 0 { // sentences name what was looked for
			r.Looks = []club.Look{lookAt(r, id, id)}
		}
		turns = append(turns, r)
	}
	return tally.Summarise(c, turns, "", "")
}

func TestHTMLTakesEveryNameAsData(t *testing.T) {
	s := hostileClub()
	pictures := stills(t, s)
	for id, still := range pictures {
		still.Caption = `<img src=x onerror=alert(1)> "'` + still.Caption
		pictures[id] = still
	}
	for _, names := range []bool{false, true} {
		var b bytes.Buffer
		require.NoError(t, report.HTML(&b, report.Document{Summary: s, Origin: origin(), ShowNames: names, Stills: pictures}))
		assertSelfContained(t, b.Bytes())
		page := b.String()
		assert.True(t, strings.Contains(page, `&lt;img src=x onerror=alert(1)&gt;`), "shown as it was entered")
		assert.True(t, strings.Contains(page, "👩🏽‍🦱 🏓 👨‍👩‍👧‍👦"))
		assert.False(t, strings.ContainsAny(page, "\u202e\u2067\x1b\x00"), "no override of the writing direction, no control character")
		assert.False(t, strings.Contains(page, strings.Repeat("x", 401)), "no name or cue floods the page")
	}
}

// assertSelfContained parses a document and checks that it runs nothing, fetches
// nothing and is built only from what the template builds.
func assertSelfContained(t *testing.T, document []byte) {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(document))
	require.NoError(t, err)
	known := strings.Fields("html head meta title style body header svg line circle rect path text p h1 h2 h3 h4 bdi main section div span b i ul li article figure img figcaption table thead tbody tr th td a small br footer ol")
	policy := false
	for n := range root.Descendants() {
		if n.Type == html.CommentNode {
			t.Errorf("comment %q", n.Data)
		}
		if n.Type != html.ElementNode {
			continue
		}
		assert.Contains(t, known, n.Data)
		for _, a := range n.Attr {
			assert.False(t, strings.HasPrefix(a.Key, "on"), "%s has a handler %s", n.Data, a.Key)
			switch a.Key {
			case "src":
				assert.True(t, strings.HasPrefix(a.Val, "data:image/jpeg;base64,"), "%s", a.Val)
			case "href":
				assert.True(t, strings.HasPrefix(a.Val, "#player-"), "%s", a.Val)
			case "srcset", "action", "formaction", "xlink:href", "data", "poster", "background":
				t.Errorf("%s has %s", n.Data, a.Key)
			case "content":
				policy = policy || strings.HasPrefix(a.Val, "default-src 'none'")
			}
		}
		if n.Data == "style" {
			css := n.FirstChild.Data
			assert.NotContains(t, css, "url(")
			assert.NotContains(t, css, "@import")
		}
	}
	assert.True(t, policy, "the document forbids itself to load anything")
}

func TestCSVIsHarmlessAndWhole(t *testing.T) {
	s := hostileClub()
	var b bytes.Buffer
	require.NoError(t, report.CSV(&b, report.FaultTable(s, origin()), report.CSVForm{}))
	text := b.String()
	require.True(t, strings.HasPrefix(text, "\ufeff"), "a byte order mark")
	assert.Equal(t, strings.Count(text, "\n"), strings.Count(text, "\r\n"), "RFC 4180: CRLF")

	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff"))).ReadAll()
	require.NoError(t, err, "RFC 4180: every record has the same number of fields")
	groups := 0
	for _, sheet := range append([]tally.Sheet{s.Team}, s.Players...) {
		for _, g := range append(append([]group.Group{sheet.All}, sheet.Methods...), sheet.Drills...) {
			groups += len(g.Faults)
		}
	}
	require.Len(t, rows, 1+groups)
	assert.Equal(t, "of", rows[0][0])
	for _, row := range rows[1:] {
		for _, cell := range row {
			lead := strings.TrimLeftFunc(cell, func(r rune) bool { return unicode.IsSpace(r) || r == '\ufeff' })
			if lead == "" {
				continue
			}
			assert.NotContains(t, "=+-@＝", string([]rune(lead)[0]), "%.40q would run as a formula", cell)
		}
	}
}

// The numbers of one row, by the name of its column.
func TestCSVColumns(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.CSV(&b, report.FaultTable(ofOne(), origin()), report.CSVForm{}))
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(b.String(), "\ufeff"))).ReadAll()
	require.NoError(t, err)
	line := ofOne().Players[0].Drills[0].Faults[0]
	found := false
	for _, row := range rows[1:] {
		at := map[string]string{}
		for i, column := range rows[0] {
			at[column] = row[i]
		}
		if at["of"] != "player" || at["name"] != "Forehand diagonal" || at["fault"] != line.Code {
			continue
		}
		found = true
		var got struct{ X, N, Rate, Low, High json.Number }
		got.X, got.N = json.Number(at["strokes_with_fault"]), json.Number(at["strokes_exposed"])
		x, _ := got.X.Int64()
		n, _ := got.N.Int64()
		assert.Equal(t, []int{line.PerStroke.X, line.PerStroke.N}, []int{int(x), int(n)})
		require.True(t, line.PerStroke.Known())
		for column, want := range map[string]float64{"rate": line.PerStroke.Rate, "rate_low": line.PerStroke.Low, "rate_high": line.PerStroke.High} {
			v, err := json.Number(at[column]).Float64()
			require.NoError(t, err)
			assert.InDelta(t, want, v, 1e-6, column)
		}
		assert.Equal(t, []string{"1", "31", "3"}, []string{at["unlooked_turns"], at["unlooked_strokes"], at["unlooked"]})
		assert.Equal(t, "1", at["rung"])
		assert.Equal(t, "Milla Sandvik", at["player"])
		assert.Empty(t, at["per_minute"])
	}
	assert.True(t, found)
}

func TestTextKeepsItsColumnsAndTheTerminal(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Text(&b, hostileClub(), origin()))
	for line := range strings.Lines(b.String()) {
		line = strings.TrimSuffix(line, "\n")
		assert.Less(t, uniseg.StringWidth(line), 260, "%.80q", line)
		for _, r := range line {
			if unicode.IsControl(r) || '\u202a' <= r && r <= '\u202e' || '\u2066' <= r && r <= '\u2067' {
				t.Fatalf("%q steers the terminal in %.80q", r, line)
			}
		}
		assert.Equal(t, strings.Count(line, "\u2068"), strings.Count(line, "\u2069"), "what keeps a name's direction to itself ends with it: %.80q", line)
	}

	// Wide characters take two cells: the figures still stand below each other.
	c, turns := invented()
	c.Faults[2].Label, c.Faults[2].Code = "準備姿勢へ戻るのが遅い", "遅"
	c.Faults[0].Label = "🏓 👨‍👩‍👧‍👦 too close"
	b.Reset()
	require.NoError(t, report.Text(&b, tally.Summarise(c, turns, "", ""), origin()))
	columns := map[int]int{}
	for line := range strings.Lines(b.String()) {
		if i := strings.Index(line, "% ("); strings.HasPrefix(line, "    ") && i > 0 && regexp.MustCompile(`\d of \d+ strokes?, `).MatchString(line) {
			columns[uniseg.StringWidth(line[:strings.Index(line, figure(line))])]++
		}
	}
	assert.Len(t, columns, 1, "one column of figures: %v", columns)
}

// figure is where the numbers of a line begin.
func figure(line string) string {
	fields := strings.Fields(line)
	for i := range fields {
		if i+2 < len(fields) && fields[i+1] == "of" {
			return strings.Join(fields[i:], " ")
		}
	}
	return line
}

func TestJSONReadsBack(t *testing.T) {
	s := summary()
	var b bytes.Buffer
	require.NoError(t, report.JSON(&b, s, origin()))
	var back struct {
		tally.Summary
		Origin report.Origin `json:"origin"`
	}
	decoder := json.NewDecoder(&b)
	decoder.DisallowUnknownFields()
	require.NoError(t, decoder.Decode(&back))
	assert.Equal(t, s, back.Summary)
	assert.Equal(t, origin(), back.Origin)
	assert.Equal(t, tally.Version, back.Version)
}

// Unless names are asked for, a document shows none.
func TestHTMLShowsAliasesByDefault(t *testing.T) {
	s := summary()
	c, _ := invented()
	var b bytes.Buffer
	require.NoError(t, report.HTML(&b, report.Document{Summary: s, Stills: stills(t, s)}))
	for _, p := range c.Players {
		assert.False(t, strings.Contains(b.String(), p.Name), p.Name)
	}
	assert.True(t, strings.Contains(b.String(), "<bdi>Heron</bdi>"))
	assert.True(t, strings.Contains(b.String(), "<bdi>IV</bdi>"), "initials where there is no alias")

	b.Reset()
	require.NoError(t, report.HTML(&b, report.Document{Summary: s, ShowNames: true}))
	assert.True(t, strings.Contains(b.String(), "Milla Sandvik"))
	assert.False(t, strings.Contains(b.String(), "<img"))
}

// Every wanted picture that is given is shown once; a mark whose clip is gone
// gives way to an earlier one.
func TestHTMLPictures(t *testing.T) {
	s := summary()
	wanted := report.Wanted(s)
	require.Len(t, wanted, 12, "three faults of four players")
	pictures := map[club.ID]report.Still{}
	for i, ids := range wanted {
		pictures[ids[min(1, len(ids)-1)]] = report.Still{JPEG: photo(t, i), Caption: "a caption"}
	}
	var b bytes.Buffer
	require.NoError(t, report.HTML(&b, report.Document{Summary: s, Stills: pictures}))
	assert.Equal(t, 12, strings.Count(b.String(), "<img "))
	assert.True(t, strings.Contains(b.String(), "Keep the pictures and this document safe"))

	pictures[wanted[0][0]] = report.Still{JPEG: []byte("<html>"), Caption: "not a picture"}
	err := report.HTML(io.Discard, report.Document{Summary: s, Stills: pictures})
	require.ErrorContains(t, err, `the picture "not a picture" is not a JPEG`)
}

// What a document has to say in plain words.
func TestDocumentsSayWhatTheyCount(t *testing.T) {
	s := summary()
	var text, page bytes.Buffer
	require.NoError(t, report.Text(&text, s, origin()))
	require.NoError(t, report.HTML(&page, report.Document{Summary: s}))
	for name, document := range map[string]string{"text": text.String(), "page": page.String()} {
		for _, say := range []string{
			"2 March 2026 to 30 March 2026",
			"out of the strokes on which it could have happened",
			"95 % interval",
			"no strokes were logged: faults there are counted per minute",
			"counted per minute",
			"never mixed in one number",
			"Strokes of one turn are alike",
			"and at which somebody has looked for it",
			"7 of 42 turns (148 of 1000 strokes) are not looked through yet: nobody has looked at 5",
			"Two coaches or more have looked at 1 turn.",
			"1 turn is taken as looked through because it holds marks of a time when looks were not kept.",
			"52 strokes not looked at, with 1 mark",
			"5 marks, not looked through",
		} {
			assert.True(t, strings.Contains(document, say), "the %s does not say %q", name, say)
		}
	}
	for _, caution := range []string{"needs consent", "delete it when somebody asks", "Local rules and the club’s policy", "not medical advice", "streak test to exhaustion"} {
		assert.True(t, strings.Contains(page.String(), caution), caution)
	}
}

// Where nobody has looked, marks are told and no document knows a rate.
func TestWhatNobodyLookedAtHasNoRate(t *testing.T) {
	c, turns := invented()
	for i := range turns {
		turns[i].Looks = nil
	}
	s := tally.Summarise(c, turns, "", "")
	var text, page, table bytes.Buffer
	require.NoError(t, report.Text(&text, s, origin()))
	require.NoError(t, report.HTML(&page, report.Document{Summary: s}))
	require.NoError(t, report.CSV(&table, report.FaultTable(s, origin()), report.CSVForm{}))
	assert.Contains(t, text.String(), "Nobody has looked through any of the 42 turns yet (1000 strokes).")
	assert.Contains(t, text.String(), "118 marks, not looked through")
	assert.Contains(t, text.String(), "Not looked through: OVER.")
	assert.NotRegexp(t, `\d of \d+ strokes?, [\d.]+ %`, text.String())
	for _, say := range []string{
		`<p class="note">LATE: 118 marks, not looked through.</p>`,
		fmt.Sprintf(`<p class="note">ELBOW: %d marks, not looked through.</p>`, s.Team.All.Faults[slices.IndexFunc(s.Team.All.Faults, func(l group.FaultLine) bool { return l.Code == "ELBOW" })].Marks-1) + `<p class="note">ELBOW: 1 mark on no stroke that could have it, in no rate.</p>`,
		`<p class="figures">38 marks, not looked through</p>`,
		"Nobody has looked through these strokes yet: until somebody does, nobody can say how often a fault comes.",
	} {
		assert.True(t, strings.Contains(page.String(), say), say)
	}
	assert.False(t, strings.Contains(page.String(), "Not marked:"))
	assert.False(t, strings.Contains(page.String(), `table class="grid"`), "there is nothing to compare the players by")
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(table.String(), "\ufeff"))).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		for i, column := range rows[0] {
			if strings.HasPrefix(column, "rate") || strings.HasPrefix(column, "per_minute") || strings.HasPrefix(column, "strokes_with") {
				assert.Empty(t, row[i], column)
			}
		}
	}

	one := turns[0]
	one.Marks = nil
	page.Reset()
	require.NoError(t, report.HTML(&page, report.Document{Summary: tally.Summarise(c, []club.TurnRecord{one}, "", "")}))
	assert.True(t, strings.Contains(page.String(), "Nobody has looked through this yet."))
	assert.False(t, strings.Contains(page.String(), "No fault was marked"))
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestWriteErrorsAreReturned(t *testing.T) {
	s := summary()
	for name, err := range map[string]error{
		"text": report.Text(broken{}, s, origin()), "csv": report.CSV(broken{}, report.FaultTable(s, origin()), report.CSVForm{}),
		"json": report.JSON(broken{}, s, origin()), "html": report.HTML(broken{}, report.Document{Summary: s}),
	} {
		assert.ErrorIs(t, err, io.ErrClosedPipe, name)
	}
}

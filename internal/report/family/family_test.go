package family_test

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/family"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/meaning"
	"strokeledger/internal/timecode"
)

// played is a player's sheet of so many turns of 20 good strokes, with a fault in use that
// comes on so many of them and one that never does. All words are word.
func played(word string, turns, faults int) tally.Sheet {
	c := club.Catalogue{
		Players: []club.Player{{ID: "p", Name: word}},
		Drills:  []club.Drill{{ID: "d", Name: word, Method: club.Regular, Rung: 1, Streak: 10}, {ID: "e", Name: word, Method: club.Irregular, Rung: 2, Streak: 10}},
		Faults: []club.Fault{
			{ID: "f", Code: "ELBX", Label: word, Cue: word, Sides: club.BothSides, Weight: 3},
			{ID: "g", Code: "NEVX", Label: "g " + word, Cue: word, Sides: club.BothSides, Weight: 1},
		},
	}
	var list []club.TurnRecord
	for i := range turns {
		id := club.ID(fmt.Sprint("t", i))
		r := club.TurnRecord{Turn: club.Turn{ID: id, ClipID: "c", PlayerID: "p", DrillID: []club.ID{"d", "e"}[i%2], First: 1000 * i, Last: 1000*i + 900, LastTicks: 9000},
			Base: timecode.Base{Num: 1, Den: 100}, Date: club.Date(fmt.Sprintf("2026-03-%02d", 1+i%20))}
		for s := range 20 {
			at := club.Stroke{ID: club.ID(fmt.Sprint(id, s)), Frame: r.First + 40*s, Ticks: int64(100 * s), Outcome: club.Good}
			r.Strokes = append(r.Strokes, at)
			if s < faults {
				r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprint("m", id, s)), FaultID: "f", Frame: at.Frame, Ticks: at.Ticks})
			}
		}
		r.Looks = []club.Look{{ID: "l" + id, CoachID: "k", First: r.First, Last: r.Last, LastTicks: 9000, Faults: []club.ID{"f", "g"}}}
		list = append(list, r)
	}
	return tally.Summarise(c, list, "", "").Players[0]
}

func photo(t *testing.T) *family.Picture {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 360, 450)), nil))
	return &family.Picture{JPEG: b.Bytes(), Day: "2026-03-02", Drawn: []picture.Drawing{{Kind: picture.Circle, Places: []picture.Point{{X: .5, Y: .5}, {X: .6, Y: .5}}}}}
}

func page(t *testing.T, p family.Page) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, family.Write(&b, p))
	return b.String()
}

// visible is what a reader sees.
func visible(page string) string {
	_, body, _ := strings.Cut(page, "<body>")
	return regexp.MustCompile(`<[^>]*>`).ReplaceAllString(regexp.MustCompile(`data:[^"]*`).ReplaceAllString(body, ""), "\n")
}

func TestPageIsPlain(t *testing.T) {
	drills := map[club.ID]string{"d": "Forehand, diagonal", "e": "Anywhere"}
	for name, of := range map[string]struct {
		sheet tally.Sheet
		holds []string
	}{
		"a fault to work on": {played("Keep low", 12, 8), []string{"20 good strokes in a row in “", "that was the aim, well done", "One thing to work on\n", "Keep low", "“Keep low.” That holds."}},
		"all holds":          {played("Keep low", 60, 0), []string{"All that was looked at holds."}},
		"hardly anything":    {played("Keep low", 1, 0), []string{"go on as you do"}},
	} {
		text := visible(page(t, family.Page{Name: "Heron", Sheet: of.sheet, Drills: drills, Good: photo(t)}))
		for _, s := range of.holds {
			require.Contains(t, text, s, name)
		}
		require.Less(t, strings.Index(text, "What is good"), strings.Index(text, "One thing to work on"), "what is good comes first")
		for _, never := range []string{"ELBX", "NEVX", "%", "interval", "±", "rung", "irregular"} {
			require.NotContains(t, text, never, name)
		}
	}
}

// That a fault was defined anew is said of a fault that the page names, and of no other.
func TestPageSaysWhatWasRedefined(t *testing.T) {
	const say = "The coaches changed what counts as this on 10 March 2026: what was seen before meant something else."
	for name, of := range map[string]struct {
		changed club.ID
		sheet   tally.Sheet
		says    int
	}{
		"to work on":               {"f", played("Keep low", 12, 8), 1},
		"that holds":               {"f", played("Keep low", 60, 0), 1},
		"that the page leaves out": {"g", played("Keep low", 1, 0), 0},
	} {
		of.sheet.Meanings = map[club.ID]meaning.Said{of.changed: {Coach: "ELBX was defined", Family: say}}
		text := visible(page(t, family.Page{Name: "Heron", Sheet: of.sheet}))
		require.Equal(t, of.says, strings.Count(text, say), name)
		require.NotContains(t, text, "ELBX", name)
	}
}

// Whatever is entered is text, and the page is one side of A4.
func TestPageIsOneSide(t *testing.T) {
	dir := t.TempDir()
	for i, word := range []string{strings.Repeat("word ", 2000), strings.Repeat("漢", 10_000), `</style><script>alert(1)</script>`} {
		sheet := played(word, 12, 8)
		sheet.Meanings = map[club.ID]meaning.Said{}
		for _, f := range sheet.All.Faults {
			sheet.Meanings[f.FaultID] = meaning.Said{Family: "The coaches changed what counts as this on 10 September 2026: what was seen before may have meant something else."}
		}
		text := page(t, family.Page{
			Name: word, Sheet: sheet, Drills: map[club.ID]string{"d": word, "e": word},
			Notes: []string{word, word + "2", word + "3"}, Good: photo(t), Work: photo(t),
		})
		require.NotContains(t, text, "<script")
		require.NotContains(t, text, "http://")
		require.NotContains(t, text, "https://")
		from, to := filepath.Join(dir, fmt.Sprint(i, ".html")), filepath.Join(dir, fmt.Sprint(i, ".pdf"))
		require.NoError(t, os.WriteFile(from, []byte(strings.Replace(text, "</style>", "@page { size: A4 }</style>", 1)), 0o600))
		out, err := exec.Command("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-dev-shm-usage",
			"--user-data-dir="+filepath.Join(dir, "profile"), "--no-pdf-header-footer", "--print-to-pdf="+to, "file://"+from).CombinedOutput()
		require.NoError(t, err, "%s", out)
		info, err := exec.Command("pdfinfo", to).Output()
		require.NoError(t, err)
		require.Regexp(t, `Pages: +1\n`, string(info), "%.20s goes over one side", word)
	}
}

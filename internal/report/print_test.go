package report_test

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/report"
	"strokeledger/internal/tally"
)

// printed is a document as Chromium prints it on paper of that size.
func printed(t *testing.T, page []byte, paper string) string {
	t.Helper()
	dir := t.TempDir()
	// Paper is the printer's to choose: the document itself asks for none.
	page = bytes.Replace(page, []byte("</style>"), []byte("@page { size: "+paper+" }</style>"), 1)
	from, to := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.pdf")
	require.NoError(t, os.WriteFile(from, page, 0o600))
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-dev-shm-usage",
		"--user-data-dir="+filepath.Join(dir, "profile"), "--no-pdf-header-footer", "--print-to-pdf="+to, "file://"+from)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	return to
}

// Both papers hold the whole document: every word inside the margins, no page
// empty, no card, chart or table row cut by the end of a page.
func TestPagePrintsOnBothPapers(t *testing.T) {
	team, one := summary(), ofOne()
	for _, paper := range []struct {
		name          string
		width, height float64 // points
	}{{"A4", 595, 842}, {"Letter", 612, 792}} {
		for name, s := range map[string]tally.Summary{"team": team, "player": one} {
			t.Run(paper.name+" "+name, func(t *testing.T) {
				var b bytes.Buffer
				require.NoError(t, report.HTML(&b, report.Document{Summary: s, Origin: origin(), Stills: stills(t, s)}))
				pdf := printed(t, b.Bytes(), paper.name)

				out, err := exec.Command("pdftotext", "-bbox", pdf, "-").Output()
				require.NoError(t, err)
				pages := strings.Split(string(out), "<page ")[1:]
				require.NotEmpty(t, pages)
				require.Less(t, len(pages), 25)
				size := regexp.MustCompile(`width="([\d.]+)" height="([\d.]+)"`)
				word := regexp.MustCompile(`xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)`)
				for n, p := range pages {
					is := size.FindStringSubmatch(p)
					require.InDelta(t, paper.width, number(t, is[1]), 1)
					require.InDelta(t, paper.height, number(t, is[2]), 1)
					words := word.FindAllStringSubmatch(p, -1)
					require.Greater(t, len(words), 20, "page %d is nearly empty", n+1)
					for _, w := range words {
						// 14 mm of margin are 39 points; the page's number stands in the margin below.
						require.GreaterOrEqual(t, number(t, w[1]), 38.0, "page %d: %q", n+1, w[5])
						require.LessOrEqual(t, number(t, w[3]), paper.width-38, "page %d: %q", n+1, w[5])
						require.LessOrEqual(t, number(t, w[4]), paper.height-10, "page %d: %q", n+1, w[5])
					}
				}
				text, err := exec.Command("pdftotext", "-layout", pdf, "-").Output()
				require.NoError(t, err)
				for _, say := range []string{"Work on next", "Late return to ready", "Irregular against regular", "With care", "Definitions 0a1b2c3d, library at change 412."} {
					require.Contains(t, strings.Join(strings.Fields(string(text)), " "), say)
				}
				require.NotContains(t, string(text), "Sandvik", "names stay away unless asked for")
				seePages(t, pdf, strings.ReplaceAll(paper.name+"-"+name, " ", "-"))
			})
		}
	}
}

// seePages draws the first page and finds the amber of a drawn sign, the dark of the
// text and the white of the paper on it; with SEE set to a folder the pages are
// left there for people to look at.
func seePages(t *testing.T, pdf, name string) {
	t.Helper()
	dir := t.TempDir()
	if see := os.Getenv("SEE"); see != "" {
		dir = see
	}
	stem := filepath.Join(dir, name)
	out, err := exec.Command("pdftoppm", "-r", "60", "-png", pdf, stem).CombinedOutput()
	require.NoError(t, err, string(out))
	files, err := filepath.Glob(stem + "-*.png")
	require.NoError(t, err)
	amber := 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		img, err := png.Decode(bytes.NewReader(raw))
		require.NoError(t, err)
		dark, light := 0, 0
		for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
			for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
				r, g, b, _ := img.At(x, y).RGBA()
				switch {
				case r > 0xd000 && g > 0xa000 && g < 0xd800 && b < 0x8000:
					amber++
				case r < 0x6000 && g < 0x6000 && b < 0x6000:
					dark++
				case r > 0xe000 && g > 0xe000 && b > 0xe000:
					light++
				}
			}
		}
		require.Positive(t, dark, file)
		require.Greater(t, light, dark, "%s is mostly paper", file)
	}
	require.Greater(t, amber, 20, "the arrow on the first picture is printed")
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err, fmt.Sprint(s))
	return v
}

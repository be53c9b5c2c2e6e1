package paper_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/paper"
)

// wall is a full page: long words, typed markup, ticks for each day of the week.
func wall(letter bool) paper.Page {
	p := paper.Page{Title: "Hollin Bank", Sub: "The week from Mon 1 Mar", Letter: letter, Foot: "Written Mon 1 Mar 07:00."}
	today := paper.Part{Title: "Today", Head: []string{"When", "What", "Who"}, Ticks: 1}
	chores := paper.Part{Title: "Chores", Head: []string{"What"}, Ticks: 7, Days: []string{"Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"}}
	for i := range 12 {
		today.Rows = append(today.Rows, []string{fmt.Sprintf("%02d:15", 6+i), "feed the sow & <b>her</b> piglets, " + strings.Repeat("long", 3*i), "Ivo"})
		chores.Rows = append(chores.Rows, []string{fmt.Sprintf("chore %d for Lise", i)})
	}
	p.Parts = []paper.Part{today, chores, {Title: "The rack", Empty: "Nothing cures."}, {Title: "Left out", Head: []string{"What"}}, {Title: strings.Repeat("unbroken", 20), Rows: [][]string{{strings.Repeat("x", 200)}}}}
	return p
}

func TestPageIsText(t *testing.T) {
	body, err := paper.HTML(wall(false))
	require.NoError(t, err)
	text := string(body)
	require.NotContains(t, text, "<b>her</b>", "what people typed is never markup")
	require.Contains(t, text, "&lt;b&gt;her&lt;/b&gt;")
	for _, fetched := range []string{"http:", "https:", "src=", "url(", "@import", "<link", "<script"} {
		require.NotContains(t, text, fetched, "the page is one file")
	}
	require.Contains(t, text, "size: A4")
	require.Contains(t, text, "Nothing cures.")
	require.NotContains(t, text, "Left out")
	require.Equal(t, 12+12*7, strings.Count(text, `class="tick"`))
	body, err = paper.HTML(wall(true))
	require.NoError(t, err)
	require.Contains(t, string(body), "size: letter")
}

// measuring asks the browser what it made of the page; its answer becomes the title.
const measuring = `<script>
const sizes = [...document.querySelectorAll("td, h2, th, p")].map(e => parseFloat(getComputedStyle(e).fontSize));
const wide = [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).length;
document.title = JSON.stringify({
  ticks: document.querySelectorAll(".tick").length, smallest: Math.min(...sizes), wide: wide,
  tick: document.querySelector(".tick").getBoundingClientRect().width,
  ink: getComputedStyle(document.querySelector("td")).color, ground: getComputedStyle(document.documentElement).backgroundColor,
  bold: document.querySelectorAll("td b").length});
</script>`

// TestPageInABrowser opens the page in a headless Chromium, at the width of both papers:
// nothing sticks out, letters and boxes are as large as a wall needs, dark on white. It
// is passed over where there is no browser; the checks bring one.
func TestPageInABrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil || testing.Short() {
		t.Skip("no chromium on this machine, or a short run")
	}
	for name, width := range map[string]int{"A4": 794, "letter": 816} { // at 96 dots to the inch
		t.Run(name, func(t *testing.T) {
			body, err := paper.HTML(wall(name == "letter"))
			require.NoError(t, err)
			dir := t.TempDir()
			file := filepath.Join(dir, "sheet.html")
			require.NoError(t, os.WriteFile(file, bytes.Replace(body, []byte("</body>"), []byte(measuring+"</body>"), 1), 0o600))
			run := func(args ...string) []byte {
				ctx, stop := context.WithTimeout(t.Context(), time.Minute)
				defer stop()
				all := append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--user-data-dir=" + filepath.Join(dir, "browser"), fmt.Sprintf("--window-size=%d,1123", width)}, args...)
				out, err := exec.CommandContext(ctx, browser, append(all, "file://"+file)...).Output()
				require.NoError(t, err)
				return out
			}
			_, rest, found := strings.Cut(string(run("--dump-dom")), "<title>")
			require.True(t, found)
			title, _, _ := strings.Cut(rest, "</title>")
			var got struct {
				Ticks, Wide, Bold int
				Smallest, Tick    float64
				Ink, Ground       string
			}
			require.NoError(t, json.Unmarshal([]byte(strings.ReplaceAll(title, "&quot;", `"`)), &got), title)
			require.Equal(t, 12+12*7, got.Ticks)
			require.Zero(t, got.Wide, "something sticks out of the paper")
			require.Zero(t, got.Bold, "typed markup")
			require.GreaterOrEqual(t, got.Smallest, 15.0, "letters in CSS pixels")
			require.GreaterOrEqual(t, got.Tick, 20.0, "a box that a pencil hits")
			require.Equal(t, "rgb(0, 0, 0)", got.Ink)
			require.Equal(t, "rgb(255, 255, 255)", got.Ground)

			shot := filepath.Join(dir, "sheet.png")
			run("--screenshot=" + shot)
			f, err := os.Open(shot)
			require.NoError(t, err)
			defer f.Close()
			img, err := png.Decode(f)
			require.NoError(t, err)
			dark, white := 0, 0
			size := img.Bounds()
			for y := range size.Dy() {
				for x := range size.Dx() {
					r, g, b, _ := img.At(x, y).RGBA()
					switch sum := r + g + b; {
					case sum < 3*0x5000:
						dark++
					case sum > 3*0xf000:
						white++
					}
				}
			}
			all := float64(size.Dx() * size.Dy())
			require.Greater(t, float64(dark)/all, 0.02, "the page is empty")
			require.Greater(t, float64(white)/all, 0.75, "dark on white")
		})
	}
}

// Package paper writes a page for the kitchen wall as one self-contained HTML file:
// black on white, read at arm's length, sized for A4 or Letter. It knows no desk.
package paper

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
)

// Part is one table of a page. A row shorter than the head is filled up.
type Part struct {
	Title string
	Head  []string   // what the columns hold; none for a plain list
	Rows  [][]string // a row's cells, as a person reads them
	Ticks int        // boxes to tick behind each row
	Days  []string   // what stands over the boxes; as many as Ticks, or none
	On    [][]bool   // which boxes each row has; nil for all of them
	Empty string     // said where there are no rows; a part with neither is left out
}

// Page is what hangs on the wall.
type Page struct {
	Title  string // whose it is
	Sub    string // of when
	Letter bool   // US paper, else A4
	Parts  []Part
	Foot   string // when it was written
}

//go:embed page.html
var pageHTML string

// HTML writes a page. Nothing on it is fetched from anywhere, and what people typed is
// text there, never markup.
func HTML(p Page) ([]byte, error) {
	t, err := template.New("page").Funcs(template.FuncMap{"boxes": func(n int) []struct{} { return make([]struct{}, n) }, "fill": fill, "box": box}).Parse(pageHTML)
	if err != nil {
		return nil, fmt.Errorf("page's template: %w", err)
	}
	var out bytes.Buffer
	if err := t.Execute(&out, p); err != nil {
		return nil, fmt.Errorf("page: %w", err)
	}
	return out.Bytes(), nil
}

// box reports that a row of a part has a box in a column.
func box(p Part, row, column int) bool {
	return row >= len(p.On) || column >= len(p.On[row]) || p.On[row][column]
}

// fill makes a row as long as the head of its table.
func fill(row, head []string) []string {
	out := append([]string(nil), row...)
	for len(out) < len(head) {
		out = append(out, "")
	}
	return out
}

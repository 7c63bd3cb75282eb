package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// table collects rows and prints them in aligned columns.
type table struct {
	rows   [][]string
	indent string
	right  []bool // columns that are aligned to the right, for numbers
	folds  bool   // the last column is broken where the line would grow too long
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

// print writes the rows; the last column is never padded.
func (t *table) print(w io.Writer) {
	var widths []int
	for _, row := range t.rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range t.rows {
		var line strings.Builder
		line.WriteString(t.indent)
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			switch {
			case i < len(t.right) && t.right[i]:
				line.WriteString(pad + cell)
			case i == len(row)-1 && t.folds:
				at := utf8.RuneCountInString(line.String())
				line.WriteString(strings.ReplaceAll(wrap(cell, lineWidth-at, ""), "\n", "\n"+strings.Repeat(" ", at)))
			case i == len(row)-1:
				line.WriteString(cell)
			default:
				line.WriteString(cell + pad)
			}
			if i < len(row)-1 {
				line.WriteString("  ")
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line.String(), " "))
	}
}

// wrap breaks text into lines of at most width characters, each after the
// first with the hanging indent.
func wrap(text string, width int, hanging string) string {
	var b strings.Builder
	column := 0
	for i, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case column+1+n > width:
			b.WriteString("\n" + hanging)
			column = utf8.RuneCountInString(hanging)
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += n
	}
	return b.String()
}

package paper

// column is a part of the page that is filled from the top.
type column struct {
	s           *sheet
	x, y, width float64
}

func (c *column) space(mm float64) { c.y += mm * c.s.scale }

// heading sets a heading with a hairline under it.
func (c *column) heading(text string) {
	c.space(2.2)
	c.y += c.s.textAt(c.x, c.y, c.width, text, headStyle)
	c.s.rule(c.x, c.y+0.3, c.width)
	c.space(1.2)
}

func (c *column) text(text string, st style) { c.y += c.s.textAt(c.x, c.y, c.width, text, st) }

// item sets one entry of a list with a dash before it.
func (c *column) item(text string) {
	const indent = 3.0
	c.s.set(bodyStyle)
	c.s.pdf.Text(c.x, c.y+0.76*c.s.line(bodyStyle), "–")
	c.y += c.s.textAt(c.x+indent, c.y, c.width-indent, text, bodyStyle)
	c.space(0.4)
}

// cell is one place of a row.
type cell struct {
	text  string
	bold  bool
	right bool
}

// row sets the cells of a table; widths are shares of the column's width. It
// returns nothing short of the whole text: cells grow downwards.
func (c *column) row(widths []float64, cells ...cell) {
	const gap = 1.5
	tallest, x := 0.0, c.x
	for i, one := range cells {
		st := bodyStyle
		if one.bold {
			st = boldStyle
		}
		width := widths[i]*c.width - gap
		at := x
		if one.right {
			if w := c.s.measure(one.text, st); w < width {
				at += width - w
			}
		}
		tallest = max(tallest, c.s.textAt(at, c.y, width, one.text, st))
		x += widths[i] * c.width
	}
	c.y += tallest
	c.space(0.35)
}

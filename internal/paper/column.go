package paper

// column is a part of the page that is filled from the top.
type column struct {
	s           *sheet
	x, y, width float64
	flows       bool // onto the next page where this one is full
}

// room starts a page unless so many millimetres are left, where the column may.
func (c *column) room(mm float64) {
	if c.flows && c.y+mm > c.s.bottom {
		c.s.addPage()
		c.y = c.s.y
	}
}

func (c *column) space(mm float64) { c.y += mm * c.s.scale }

// heading sets a heading with a hairline under it.
func (c *column) heading(text string) {
	c.room(18)
	c.space(2.2)
	c.y += c.s.textAt(c.x, c.y, c.width, text, headStyle)
	c.s.rule(c.x, c.y+0.3, c.width)
	c.space(1.2)
}

func (c *column) text(text string, st style) { c.indented(0, text, st) }

// indented sets a text some way in; where the column flows, a line at a time.
func (c *column) indented(by float64, text string, st style) {
	if !c.flows {
		c.y += c.s.textAt(c.x+by, c.y, c.width-by, text, st)
		return
	}
	for _, line := range c.s.wrap(text, st, c.width-by) {
		c.room(c.s.line(st))
		c.y += c.s.textAt(c.x+by, c.y, c.width, line, st)
	}
}

// item sets one entry of a list with a dash before it.
func (c *column) item(text string) {
	const indent = 3.0
	c.room(c.s.line(bodyStyle))
	c.s.print(c.x, c.y+0.76*c.s.line(bodyStyle), "–", bodyStyle)
	c.indented(indent, text, bodyStyle)
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
	c.room(12 * c.s.scale)
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

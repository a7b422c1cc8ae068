// Package term draws in a terminal, with the characters of Unicode's block
// elements and Braille patterns. On a terminal with colours a cell shows up to
// two fabrics; seams between patches of one fabric, and everything on a
// terminal without colours, are drawn in Braille dots. There the patch that is lit is solid.
package term

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/muesli/termenv"

	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Options are how a drawing is shown.
type Options struct {
	Columns int             // how wide, 40 when it is 0
	Profile termenv.Profile // the colours that the terminal has: all in the zero value, none in Ascii
}

// The dots of a cell: Braille has two columns and four rows.
const (
	across = 2
	down   = 4
)

// Render shows a drawing: its patches, the lines between them and their labels.
// Every line ends with a newline.
func Render(d *ink.Drawing, how Options) string {
	if how.Columns <= 0 {
		how.Columns = 40
	}
	box, ok := extent(d)
	if !ok {
		return ""
	}
	s := newScreen(box, how.Columns)
	for _, l := range d.Layers {
		if l.Name == "patches" {
			for _, it := range l.Items {
				if p, ok := it.(*ink.Path); ok && p.Fill != 0 {
					s.fill(p)
				}
			}
		}
	}
	for _, l := range d.Layers {
		if l.Name == "highlight" {
			for _, it := range l.Items {
				if p, ok := it.(*ink.Path); ok {
					s.light(p)
				}
			}
		}
		if l.Name == "labels" {
			for _, it := range l.Items {
				if t, ok := it.(*ink.Text); ok {
					s.label(t)
				}
			}
		}
	}
	return s.String(how.Profile)
}

// extent is the box around the patches.
func extent(d *ink.Drawing) (geom.Box, bool) {
	var box geom.Box
	any := false
	for _, l := range d.Layers {
		if l.Name != "patches" {
			continue
		}
		for _, it := range l.Items {
			if p, ok := it.(*ink.Path); ok {
				for _, c := range p.Chains {
					b := geom.Polygon(c.Points).Bounds()
					if any {
						b = b.Union(box)
					}
					box, any = b, true
				}
			}
		}
	}
	return box, any && box.Width() > 0 && box.Height() > 0
}

// screen is the dots of a drawing, and the letters over them.
type screen struct {
	columns, rows int
	box           geom.Box
	patch         []int16        // of every dot, row by row; 0 is none
	colour        []ink.Colour   // of every patch
	ring          [][]geom.Point // round every patch
	letter        []rune         // of every cell; 0 is none
	lit           int16          // the patch that is lit; 0 is none
}

// maxRows keeps a tall drawing within bounds.
const maxRows = 400

func newScreen(box geom.Box, columns int) *screen {
	// A cell is about twice as high as it is wide, so that dots are square.
	rows := int(math.Ceil(float64(columns*across) * box.Height() / box.Width() / down))
	rows = min(max(rows, 1), maxRows)
	return &screen{
		columns: columns, rows: rows, box: box,
		patch:  make([]int16, columns*across*rows*down),
		colour: []ink.Colour{0}, ring: [][]geom.Point{nil}, letter: make([]rune, columns*rows),
	}
}

func (s *screen) width() int { return s.columns * across }

// dot is the patch at a dot.
func (s *screen) dot(x, y int) int16 {
	if x < 0 || y < 0 || x >= s.width() || y >= s.rows*down {
		return 0
	}
	return s.patch[y*s.width()+x]
}

// fill gives a path's dots to it, row by row by the even-odd rule: a dot is inside where
// an odd number of edges cross its row to the right of its middle.
func (s *screen) fill(p *ink.Path) {
	if len(s.colour) > math.MaxInt16 {
		return
	}
	id := int16(len(s.colour))
	s.colour, s.ring = append(s.colour, p.Fill), append(s.ring, nil)
	size := s.box.Width() / float64(s.width())
	first := func(x float64) int { // the first dot whose middle is not left of x
		return min(max(0, int(math.Ceil((x-s.box.Min.X)/size-0.5))), s.width())
	}
	var crossings []float64
	for _, c := range p.Chains {
		s.ring[id] = c.Points
		poly := geom.Polygon(c.Points)
		bounds := poly.Bounds()
		top := max(0, int((bounds.Min.Y-s.box.Min.Y)/size-0.5))
		bottom := min(s.rows*down-1, int((bounds.Max.Y-s.box.Min.Y)/size+0.5))
		for y := top; y <= bottom; y++ {
			crossings = crossed(crossings[:0], poly, s.box.Min.Y+(float64(y)+0.5)*size)
			row := s.patch[y*s.width() : (y+1)*s.width()]
			for i := 0; i+1 < len(crossings); i += 2 {
				for x := first(crossings[i]); x < first(crossings[i+1]); x++ {
					row[x] = id
				}
			}
		}
	}
}

// crossed adds where the edges of a polygon cross a row, from left to right.
func crossed(xs []float64, poly geom.Polygon, y float64) []float64 {
	for i := range poly {
		if e := poly.Edge(i); (e.A.Y > y) != (e.B.Y > y) {
			xs = append(xs, e.A.X+(y-e.A.Y)/(e.B.Y-e.A.Y)*(e.B.X-e.A.X))
		}
	}
	slices.Sort(xs)
	return xs
}

// light lights the patch that a closed path goes round. A sliver between the dots gets
// one of them.
func (s *screen) light(p *ink.Path) {
	size := s.box.Width() / float64(s.width())
	for _, c := range p.Chains {
		id := slices.IndexFunc(s.ring, func(ring []geom.Point) bool { return slices.Equal(ring, c.Points) })
		if id <= 0 || !c.Closed {
			continue
		}
		s.lit = int16(id)
		if !slices.Contains(s.patch, s.lit) {
			at := geom.Polygon(c.Points).InteriorPoint().Sub(s.box.Min).Scale(1 / size)
			if x, y := int(at.X), int(at.Y); s.dot(x, y) != 0 {
				s.patch[y*s.width()+x] = s.lit
			}
		}
	}
}

// label writes a text into the cells round its place, as near as there is room
// in its patch for its letters and, if it can be, a blank on both sides.
func (s *screen) label(t *ink.Text) {
	middle := t.Bounds().Bounds().Centre()
	size := s.box.Width() / float64(s.columns)
	x, y := (middle.X-s.box.Min.X)/size, (middle.Y-s.box.Min.Y)/(2*size)
	id := s.dot(int(x*across), int(y*down))
	n := utf8.RuneCountInString(t.String)
	if id == 0 || n == 0 {
		return
	}
	for _, blank := range [...]int{1, 0} {
		best, least := -1, math.Inf(1)
		for row := range s.rows {
			for column := 0; column+n <= s.columns; column++ {
				far := math.Hypot(float64(column)+float64(n)/2-x, 2*(float64(row)+0.5-y))
				if far < least && s.free(id, row, column-blank, n+2*blank) {
					best, least = row*s.columns+column, far
				}
			}
		}
		if best >= 0 {
			for _, r := range t.String {
				s.letter[best] = r
				best++
			}
			return
		}
	}
}

// free says whether cells belong to one patch, more or less, and have no letters.
func (s *screen) free(id int16, row, column, n int) bool {
	if column < 0 || column+n > s.columns {
		return false
	}
	for c := column; c < column+n; c++ {
		if s.letter[row*s.columns+c] != 0 {
			return false
		}
		own := 0
		for y := range down {
			for x := range across {
				if s.dot(c*across+x, row*down+y) == id {
					own++
				}
			}
		}
		if own < 6 {
			return false
		}
	}
	return true
}

// String is the screen in characters.
func (s *screen) String(profile termenv.Profile) string {
	var b strings.Builder
	for row := range s.rows {
		var line strings.Builder
		last := cell{}
		for column := range s.columns {
			c := s.cell(row, column, profile != termenv.Ascii)
			if profile != termenv.Ascii && (c.fore != last.fore || c.back != last.back) {
				line.WriteString(c.sequence(profile))
			}
			last = c
			line.WriteRune(c.r)
		}
		text := line.String()
		if profile != termenv.Ascii {
			text += termenv.CSI + termenv.ResetSeq + "m"
		} else {
			text = strings.TrimRight(text, " \u2800")
		}
		b.WriteString(text)
		b.WriteString("\n")
	}
	return b.String()
}

// cell is a character and its colours.
type cell struct {
	r          rune
	fore, back ink.Colour
}

func (c cell) sequence(profile termenv.Profile) string {
	parts := []string{termenv.ResetSeq}
	if c.fore != 0 {
		parts = append(parts, profile.Color(c.fore.String()).Sequence(false))
	}
	if c.back != 0 {
		parts = append(parts, profile.Color(c.back.String()).Sequence(true))
	}
	return termenv.CSI + strings.Join(parts, ";") + "m"
}

// cell is the character of a cell.
func (s *screen) cell(row, column int, coloured bool) cell {
	letter := s.letter[row*s.columns+column]
	if !coloured {
		if letter == 0 {
			letter = s.braille(row, column, false)
		}
		return cell{r: letter}
	}
	most, second := s.majority(row, column)
	if letter != 0 {
		return cell{letter, ink.TextOn(most), most}
	}
	if second == most {
		c := cell{' ', 0, most}
		if r := s.braille(row, column, true); r != '\u2800' && most != 0 {
			c.r, c.fore = r, ink.TextOn(most)
		}
		return c
	}
	if second == 0 { // the terminal's own ground shows beside the drawing
		return cell{s.quadrants(row, column, most), most, 0}
	}
	return cell{s.quadrants(row, column, second), second, most}
}

// majority are the two colours that have most of a cell's dots, the same one
// twice when there is only one.
func (s *screen) majority(row, column int) (most, second ink.Colour) {
	var seen [across * down]ink.Colour
	var dots [across * down]int
	n := 0
	for y := range down {
		for x := range across {
			c := s.colour[s.dot(column*across+x, row*down+y)]
			i := 0
			for i < n && seen[i] != c {
				i++
			}
			if i == n {
				seen[n] = c
				n++
			}
			dots[i]++
		}
	}
	best, next := 0, -1
	for i := 1; i < n; i++ {
		if dots[i] > dots[best] {
			best, next = i, best
		} else if next < 0 || dots[i] > dots[next] {
			next = i
		}
	}
	if next < 0 {
		return seen[best], seen[best]
	}
	if seen[best] == 0 { // nothing is never the ground
		best, next = next, best
	}
	return seen[best], seen[next]
}

// quarters are the characters for the quarters of a cell that are filled:
// 1 upper left, 2 upper right, 4 lower left, 8 lower right.
var quarters = []rune(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")

// quadrants is the character whose filled quarters are where the cell has the
// colour. A quarter is two dots, one above the other; the upper one decides, in both
// columns alike, so that level edges stay level.
func (s *screen) quadrants(row, column int, c ink.Colour) rune {
	bits := 0
	for q := range 4 {
		if s.colour[s.dot(column*across+q%2, row*down+q/2*2)] == c {
			bits |= 1 << q
		}
	}
	return quarters[bits]
}

// The bits of a Braille pattern's dots, row by row (The Unicode Standard,
// Braille Patterns, U+2800 to U+28FF).
var brailleBits = [down][across]rune{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}

// braille is the pattern of the dots where one patch ends: those whose
// neighbour to the left or above belongs to another, those at the border, and all of the
// patch that is lit. Where colours tell patches apart already, only patches of one colour are parted.
func (s *screen) braille(row, column int, coloured bool) rune {
	parted := func(id, other int16) bool {
		return id != other && (!coloured || id != 0 && other != 0 && s.colour[id] == s.colour[other])
	}
	r := rune(0x2800)
	for y := range down {
		for x := range across {
			dx, dy := column*across+x, row*down+y
			id := s.dot(dx, dy)
			edge := parted(id, s.dot(dx-1, dy)) || parted(id, s.dot(dx, dy-1))
			if !coloured && s.lit != 0 {
				// Solid, with a rim of nothing, so that its edge is to be seen.
				if id == s.lit {
					r |= brailleBits[y][x]
					continue
				}
				edge = edge && s.dot(dx-1, dy) != s.lit && s.dot(dx, dy-1) != s.lit
			}
			if id != 0 && !coloured && (s.dot(dx+1, dy) == 0 || s.dot(dx, dy+1) == 0) {
				edge = true
			}
			if edge {
				r |= brailleBits[y][x]
			}
		}
	}
	return r
}

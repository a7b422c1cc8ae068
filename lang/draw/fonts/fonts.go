// Package fonts holds the typefaces that drawings are set in, and measures
// text in them.
//
// Text is set in Go, or Go Bold; letters they have not (many scripts, ✂) come
// from DejaVu Sans, and what that lacks too (Chinese, Japanese, Korean) from Droid
// Sans Fallback. Runs says which face sets which part of a text, in the order in which
// it is seen, Arabic letters joined up (joined.go). What no face has, the Indic scripts among
// it, is shown as a box; Missing tells.
package fonts

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"io"
	"strings"
	"sync"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/bidi"
)

// CapHeight is the height of a capital or a figure, in ems, near enough for
// every face.
const CapHeight = 0.72

// Descent is how far letters reach below the line, in ems.
const Descent = 0.22

// Face is a typeface.
type Face struct {
	Name string // a short one, for a PDF

	load  func() []byte
	once  sync.Once
	bytes []byte
	font  *sfnt.Font

	mu      sync.Mutex
	buf     sfnt.Buffer
	glyphs  map[rune]sfnt.GlyphIndex
	advance map[rune]float64
}

//go:embed DejaVuSans.ttf.gz
var dejaVu []byte

//go:embed DroidSansFallback.ttf.gz
var droid []byte

// The faces.
var (
	Regular  = &Face{Name: "regular", load: func() []byte { return goregular.TTF }}
	Bold     = &Face{Name: "bold", load: func() []byte { return gobold.TTF }}
	Wide     = &Face{Name: "wide", load: unpacked(dejaVu)}
	EastAsia = &Face{Name: "eastasia", load: unpacked(droid)}
)

// unpacked loads a face that is packed. The bytes are the program's own, so
// that failing to read them is a mistake in building it.
func unpacked(packed []byte) func() []byte {
	return func() []byte {
		r, err := gzip.NewReader(bytes.NewReader(packed))
		if err != nil {
			return nil
		}
		plain, err := io.ReadAll(r)
		if err != nil {
			return nil
		}
		return plain
	}
}

func (f *Face) open() *sfnt.Font {
	f.once.Do(func() {
		f.bytes = f.load()
		f.glyphs, f.advance = map[rune]sfnt.GlyphIndex{}, map[rune]float64{}
		f.font, _ = sfnt.Parse(f.bytes) // a test opens every face
	})
	return f.font
}

// TTF is the face as a TrueType file.
func (f *Face) TTF() []byte {
	f.open()
	return f.bytes
}

// Has says whether the face has a letter.
func (f *Face) Has(r rune) bool { return f.glyph(r) != 0 }

func (f *Face) glyph(r rune) sfnt.GlyphIndex {
	open := f.open()
	if open == nil {
		return 0
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.glyphLocked(open, r)
}

func (f *Face) glyphLocked(open *sfnt.Font, r rune) sfnt.GlyphIndex {
	g, ok := f.glyphs[r]
	if !ok {
		g, _ = open.GlyphIndex(&f.buf, r)
		f.glyphs[r] = g
	}
	return g
}

// units is the size that glyphs are loaded at: fine enough for any picture.
const units = 1000

// Advance is how far a letter moves the pen, in ems.
func (f *Face) Advance(r rune) float64 {
	open := f.open()
	if open == nil {
		return 0
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	a, ok := f.advance[r]
	if !ok {
		if fix, err := open.GlyphAdvance(&f.buf, f.glyphLocked(open, r), fixed.I(units), font.HintingNone); err == nil {
			a = float64(fix) / 64 / units
		}
		f.advance[r] = a
	}
	return a
}

// Outline is a letter's outline in ems, y running down from the line it
// stands on. Each call of move begins a new closed chain.
func (f *Face) Outline(r rune, move, line func(x, y float64), quad func(cx, cy, x, y float64)) {
	open := f.open()
	if open == nil {
		return
	}
	f.mu.Lock()
	segments, err := open.LoadGlyph(&f.buf, f.glyphLocked(open, r), fixed.I(units), nil)
	own := make([]sfnt.Segment, len(segments))
	copy(own, segments)
	f.mu.Unlock()
	if err != nil {
		return
	}
	em := func(v fixed.Int26_6) float64 { return float64(v) / 64 / units }
	for _, s := range own {
		a := s.Args
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			move(em(a[0].X), em(a[0].Y))
		case sfnt.SegmentOpLineTo:
			line(em(a[0].X), em(a[0].Y))
		case sfnt.SegmentOpQuadTo:
			quad(em(a[0].X), em(a[0].Y), em(a[1].X), em(a[1].Y))
		}
	}
}

// Run is a part of a text that one face sets.
type Run struct {
	Face *Face
	Text string
}

// visual is a text in the order in which it is seen, from left to right.
func visual(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return r >= 0x590 && r < 0x900 || r >= 0xfb1d && r < 0xff00 }) {
		return text // nothing runs from right to left
	}
	var p bidi.Paragraph
	if _, err := p.SetString(text); err != nil {
		return text
	}
	order, err := p.Order()
	if err != nil {
		return text
	}
	var out strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			out.WriteString(bidi.ReverseString(run.String()))
		} else {
			out.WriteString(run.String())
		}
	}
	return out.String()
}

// Runs are the parts of a text. What no face has is left to the first, which
// shows a box for it.
func Runs(text string, bold bool) []Run {
	first := Regular
	if bold {
		first = Bold
	}
	text = visual(joined(text))
	var runs []Run
	start, was := 0, first
	for i, r := range text {
		face := faceOf(r, first)
		if face != was && i > start {
			runs = append(runs, Run{was, text[start:i]})
			start = i
		}
		was = face
	}
	if start < len(text) {
		runs = append(runs, Run{was, text[start:]})
	}
	return runs
}

func faceOf(r rune, first *Face) *Face {
	switch {
	case r < utf8.RuneSelf || first.Has(r):
		return first
	case Wide.Has(r):
		return Wide
	case EastAsia.Has(r):
		return EastAsia
	}
	return first
}

// Width is how wide a text is, in ems.
func Width(text string, bold bool) float64 {
	var w float64
	for _, run := range Runs(text, bold) {
		for _, r := range run.Text {
			w += run.Face.Advance(r)
		}
	}
	return w
}

// Wrap breaks a text into lines no wider than width ems, at spaces, or
// inside a word that is wider than a line.
func Wrap(text string, bold bool, width float64) []string {
	var lines []string
	line, used := "", 0.0
	space := Width(" ", bold)
	put := func(word string, w float64) {
		switch {
		case line == "":
			line, used = word, w
		case used+space+w <= width:
			line, used = line+" "+word, used+space+w
		default:
			lines = append(lines, line)
			line, used = word, w
		}
	}
	for _, word := range words(text) {
		w := Width(word, bold)
		for w > width && utf8.RuneCountInString(word) > 1 {
			head := fitting(word, bold, width)
			put(head, Width(head, bold))
			word = word[len(head):]
			w = Width(word, bold)
		}
		put(word, w)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// words are the words of a text; a no-break space does not part them.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\t' || r == '\n' || r == '\r' })
}

// fitting is the longest head of a word, at least a letter, that fits.
func fitting(word string, bold bool, width float64) string {
	var w float64
	for i, r := range word {
		w += Width(string(r), bold)
		if w > width && i > 0 {
			return word[:i]
		}
	}
	return word
}

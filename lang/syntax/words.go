package syntax

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"sewable/lang/near"
	"sewable/lang/source"
)

// Place is a set of places where a statement may stand.
type Place uint8

// The places.
const (
	InFile Place = 1 << iota
	InBlock
	InSection
	InColourway
	InSetting

	anywhere = InFile | InBlock | InSection | InColourway | InSetting
)

var placeNames = []struct {
	place Place
	name  string
}{
	{InFile, "at the top of a file"}, {InBlock, "in a block"}, {InSection, "in a section"},
	{InColourway, "in a colorway"}, {InSetting, "in a setting"},
}

// String names the places as a sentence does: "in a block or in a section".
func (p Place) String() string {
	var names []string
	for _, n := range placeNames {
		if p&n.place != 0 {
			names = append(names, n.name)
		}
	}
	if len(names) > 1 {
		last := len(names) - 1
		return strings.Join(names[:last], ", ") + " or " + names[last]
	}
	return strings.Join(names, "")
}

// StatementInfo describes one form of statement.
type StatementInfo struct {
	Word  string // the first word; empty for a line of a colourway, which begins with a name
	Where Place
	Body  Place  // what stands between its braces; 0 when it has none
	Shape string // how it is typed
	// Form says what it needs, as findings say it.
	Form    string
	Meaning string // one line for an editor

	// Contextual: its word is one only where it begins a statement; elsewhere it can be a name.
	Contextual bool

	snippet string // see Snippet
	by      reader // its grammar, and how it is read
}

// needs is the sentence that says what it needs, with an example.
func (s *StatementInfo) needs() string {
	if s.Shape == s.Word {
		return s.Form
	}
	return s.Form + ", as in `" + s.Shape + "`"
}

// example is its shape, read: a pointer to a node.
func (s *StatementInfo) example() any {
	place := s.Where & -s.Where // one of them
	return readStatement(new(workbench), place, s.sentence()).node
}

// sentence is the shape without what a reader of pieces takes away.
func (s *StatementInfo) sentence() string {
	return strings.TrimSuffix(strings.TrimSuffix(s.Shape, " {"), " …")
}

// Snippet is the statement with places to fill in, ${1:name}, for editors.
func (s *StatementInfo) Snippet() string {
	if s.snippet != "" {
		return s.snippet
	}
	return snippet(s.sentence(), params(s.example()), 0)
}

// statements is the language: every form of statement. Two forms of one
// word follow each other; chooseForm tells them apart.
var statements = []*StatementInfo{
	{
		Word: "use", Where: InFile, Shape: `use "path"`,
		Form:    "`use` needs the path of a file in quotes",
		Meaning: "makes the fabrics, lets, blocks and colorways of another file available",
		by:      tagged[Use](),
	},
	{
		Word: "units", Where: InFile, Shape: "units in",
		Form:    "`units` needs `in`, `mm` or `cm`",
		Meaning: "the unit of numbers without a unit in this file",
		snippet: "units ${1|in,mm,cm|}",
		by:      byHand[Units](readUnits),
	},
	{
		Word: "allowance", Where: InFile | InBlock, Shape: "allowance 1/4",
		Form:    "an allowance needs a size",
		Meaning: "the seam allowance; with `outer`, that of a block's outer edge",
		by:      tagged[Allowance](),
	},
	{
		Word: "fabric", Where: InFile | InBlock, Shape: `fabric night "Night sky" #1d2b4f width 42 directional`,
		Form:    "a fabric needs a name; a title in quotes, a color such as #1d2b4f, a `width` and `directional` may follow",
		Meaning: "a fabric, its title, its color on drawings and its usable width",
		snippet: `fabric ${1:name} "${2:Title}" ${3:#c3dcea}`,
		by:      tagged[Fabric](),
	},
	{
		Word: "let", Where: InFile | InBlock, Shape: "let h = 2 1/2",
		Form:    "`let` needs a name, `=` and a number",
		Meaning: "a name for a number: a length, a ratio or an angle, depending on use",
		by:      byHand[Let](readLet),
	},
	{
		Word: "colourway", Where: InFile | InBlock, Body: InColourway, Shape: `colourway dusk "After sundown" {`,
		Form:    "a colorway needs a name; a title in quotes may follow, and `{` ends the line",
		Meaning: "other fabrics for a block, or for every block of the file",
		snippet: "colourway ${1:name} \"${2:Title}\" {\n\t${3:sky} = ${4:plum}\n}",
		by:      tagged[Colourway](),
	},
	{
		Word: "colorway", Where: InFile | InBlock, Body: InColourway, Shape: `colorway dusk "After sundown" {`,
		Form:    "a colorway needs a name; a title in quotes may follow, and `{` ends the line",
		Meaning: "other fabrics for a block, or for every block of the file",
		by:      tagged[Colourway](),
	},
	{
		Word: "", Where: InColourway, Shape: "sky = plum",
		Form:    "a line of a colorway needs a fabric, `=` and the fabric that replaces it",
		Meaning: "one fabric of a colorway and the fabric that replaces it",
		by:      tagged[Swap](),
	},
	{
		Word: "block", Where: InFile, Body: InBlock, Shape: `block "Little Sloop" 6 by 6 {`,
		Form:    "a block needs a title in quotes, a width, `by` and a height, and `{` ends the line",
		Meaning: "a block and its finished size",
		snippet: "block \"${1:Title}\" ${2:6} by ${3:6} {\n\tallowance ${4:1/4}\n\n\t$0\n}",
		by:      tagged[Block](),
	},
	{
		Word: "setting", Where: InFile, Body: InSetting, Shape: `setting "Harbour runner" {`,
		Form:    "a setting needs a title in quotes, and `{` ends the line",
		Meaning: "a whole quilt: blocks in rows, with borders and binding",
		snippet: "setting \"${1:Title}\" {\n\trows ${2:2}\n\tcolumns ${3:2}\n\tfill \"${4:Block}\"\n\t$0\n}",
		by:      tagged[Setting](),
	},
	{
		Word: "note", Where: InFile | InBlock | InSection | InSetting, Shape: `note "press the beam first"`,
		Form:    "a note needs its words in quotes",
		Meaning: "words for the quilter, printed there",
		by:      tagged[Note](),
	},
	{
		Word: "point", Where: InBlock, Shape: "point p = (3, 5 1/2)",
		Form:    "`point` needs a name, `=` and a point",
		Meaning: "a name for a point",
		snippet: "point ${1:p} = (${2:0}, ${3:0})",
		by:      byHand[PointDef](readPointDef),
	},
	{
		Word: "seam", Where: InBlock, Shape: "seam ridge from P to Q",
		Form:    "a seam needs a name, `from` a point and `to` a point",
		Meaning: "a named straight line; usable wherever two points name a line",
		by:      tagged[SeamDef](),
	},
	{
		Word: "section", Where: InBlock, Body: InSection, Shape: `section A "Left of the mast" {`,
		Form:    "a section needs a name; a title in quotes and `beyond` its lines may follow, and `{` ends the line",
		Meaning: "a foundation, sewn by itself",
		snippet: "section ${1:A} {\n\toutline ${2:P Q R}\n\tpatch 1 ${3:fabric} $0\n}",
		by:      tagged(checkSection),
	},
	{
		Word: "section", Where: InBlock, Shape: "section B = A mirrored across P Q",

		Form: "a copied section needs `=`, the section it copies, and `mirrored across` a line, " +
			"`turned` degrees `about` a point, `moved (dx, dy)` or `scaled` a ratio `about` a point",
		Meaning: "copies of sections, with the joins among them; `of` a block for those of another",
		snippet: "section ${1:B} = ${2:A} ${3|mirrored across,turned 90 about,moved|} $0",
		by:      tagged(checkCopy),
	},
	{
		Word: "size", Where: InBlock, Contextual: true, Shape: `size mini "Three inch mini" 3 by 3`,
		Form:    "a size needs a name, a width, `by` and a height; a title in quotes may stand before the width",
		Meaning: "another finished size of the block: all of it scales but the allowances",
		by:      tagged[Size](),
	},
	{
		Word: "join", Where: InBlock, Shape: "join A to B",
		Form:    "a join needs two sections",
		Meaning: "sews the unit that holds the first section to the unit that holds the second",
		by:      tagged(checkJoin),
	},
	{
		Word: "finish", Where: InBlock, Shape: "finish A to E",
		Form:    "`finish` needs two sections",
		Meaning: "sews the rest of a partial join",
		by:      tagged[Finish](),
	},
	{
		Word: "notch", Where: InBlock | InSection, Shape: "notch m P",
		Form:    "a notch needs a name and a point",
		Meaning: "a match mark on an edge",
		by:      tagged[Notch](),
	},
	{
		Word: "outline", Where: InBlock | InSection, Shape: "outline P Q R …",
		Form:    "an outline needs its corners in order, three or more",
		Meaning: "the finished outline of a block or a section",
		by:      byHand[Outline](readOutline),
	},
	{
		Word: "patch", Where: InSection, Shape: "patch 3 sky beyond P Q",
		Form:    "a patch needs a number, a fabric, and three or more corners, `beyond` a line or `around` a point",
		Meaning: "a patch, its place in the sewing order, its fabric and its shape",
		by:      byHand[Patch](readPatch),
	},
	{
		Word: "patch", Where: InBlock, Shape: "patch sky P Q R …",
		Form:    "a patch outside a section needs a fabric and three or more corners",
		Meaning: "a patch that belongs to no section yet",
		by:      byHand[loosePatch](readPatch),
	},
	{
		Word: "rows", Where: InSetting, Shape: "rows 2",
		Form:    "`rows` needs a whole number",
		Meaning: "how many rows of blocks",
		by:      tagged[Rows](),
	},
	{
		Word: "columns", Where: InSetting, Shape: "columns 2",
		Form:    "`columns` needs a whole number",
		Meaning: "how many blocks in a row",
		by:      tagged[Columns](),
	},
	{
		Word: "fill", Where: InSetting, Shape: `fill "Little Sloop", "Lantern" turned 90`,
		Form:    "`fill` needs the titles of blocks in quotes, with commas between them; a size, a colorway, `turned` degrees and `mirrored` may follow each",
		Meaning: "the blocks, left to right and top to bottom, the list repeating",
		snippet: `fill "${1:Block}"`,
		by:      tagged[Fill](),
	},
	{
		Word: "row", Where: InSetting, Contextual: true, Shape: `row "Little Sloop", sashing 1 sand, "Lantern" turned 90`,
		Form: "a row needs the titles of blocks in quotes, or `sashing` or `spacer` with a width and a fabric, with commas between them; " +
			"a size, a colorway, `turned` degrees and `mirrored` may follow each block",
		Meaning: "a row of blocks and strips, left to right; the rows follow each other from the top",
		snippet: `row "${1:Block}"`,
		by:      tagged[Row](),
	},
	{
		Word: "on", Where: InSetting, Shape: "on point sky",
		Form:    "`on point` needs the fabric of the setting triangles",
		Meaning: "sets the blocks on point",
		by:      tagged[OnPoint](),
	},
	{
		Word: "sashing", Where: InSetting, Shape: "sashing 1 1/2 sand",
		Form:    "sashing needs a width and a fabric; `around` may follow",
		Meaning: "strips between the blocks; with `around`, round the outside too",
		by:      tagged[Sashing](),
	},
	{
		Word: "cornerstone", Where: InSetting, Shape: "cornerstone coral",
		Form:    "a cornerstone needs a fabric",
		Meaning: "squares where the sashing crosses",
		by:      tagged[Cornerstone](),
	},
	{
		Word: "border", Where: InSetting, Shape: "border 3 water",
		Form:    "a border needs a width and a fabric",
		Meaning: "a border; several follow each other outward",
		by:      tagged[Border](),
	},
	{
		Word: "binding", Where: InSetting, Shape: "binding cut 2 1/4 cedar",
		Form:    "a binding needs `cut`, the width its strips are cut, and a fabric",
		Meaning: "the binding and the width its strips are cut",
		by:      tagged[Binding](),
	},
	{
		Word: "backing", Where: InSetting, Shape: "backing sand",
		Form:    "a backing needs a fabric",
		Meaning: "the fabric for the back",
		by:      tagged[Backing](),
	},
	{
		Word: "batting", Where: InSetting, Shape: "batting",
		Form:    "nothing follows `batting`",
		Meaning: "batting between top and back",
		by:      byHand[Batting](func(*parser) (Statement, *fault) { return new(Batting), nil }),
	},
}

// PointInfo describes one form of a point.
type PointInfo struct {
	Word    string // the first word; empty for a pair of numbers
	Shape   string // how it is typed
	Meaning string

	node reflect.Type // its grammar
}

// pointForms are the forms of a point besides a name, in the order of the reference.
var pointForms = []*PointInfo{
	{"", "(x, y)", "x to the right and y up from the lower left corner", reflect.TypeFor[Pair]()},
	{"mid", "mid P Q", "the point halfway between two points", reflect.TypeFor[Mid]()},
	{"along", "along P Q by L", "the point that is L from P toward Q; a seam's name may replace P Q", reflect.TypeFor[Along]()},
	{"part", "part 1/3 of P Q", "the point that divides the way from P to Q", reflect.TypeFor[Part]()},
	{"where", "where P Q meets R S", "the point where two lines cross", reflect.TypeFor[Meet]()},
	{"mirror", "mirror P across Q R", "the point on the other side of a line", reflect.TypeFor[Mirror]()},
	{"turn", "turn P about Q by 45", "the point turned around another, degrees counterclockwise", reflect.TypeFor[Turn]()},
	{"move", "move P by (dx, dy)", "the point that is dx to the right of P and dy up", reflect.TypeFor[Move]()},
}

// pointPrefix makes a statement of a point.
const pointPrefix = "point p = "

// example is its shape, read: a pointer to a node.
func (p *PointInfo) example() any {
	return readStatement(new(workbench), InBlock, pointPrefix+p.Shape).node.(*PointDef).Value
}

// Snippet is the form with places to fill in, ${1:P}, for editors.
func (p *PointInfo) Snippet() string { return snippet(p.Shape, params(p.example()), len(pointPrefix)) }

// snippet is a shape with its parts as places to fill in; they count from an offset.
func snippet(shape string, parts []param, from int) string {
	s, done := "", 0
	for i, p := range parts {
		at := p.at.Shift(-from)
		if shape[at.Start] == '"' {
			at = source.Span{Start: at.Start + 1, End: at.End - 1}
		}
		s += shape[done:at.Start] + fmt.Sprintf("${%d:%s}", i+1, shape[at.Start:at.End])
		done = at.End
	}
	return s + shape[done:]
}

func pointFormOf(node reflect.Type) *PointInfo {
	return pointForms[slices.IndexFunc(pointForms, func(p *PointInfo) bool { return p.node == node })]
}

// otherWords are the words inside points, numbers and the rest, each with its
// one-line meaning.
var otherWords = []Keyword{
	{"about", "the center of a turn"},
	{"across", "the line of a mirror"},
	{"around", "the first patch: what the later seams leave around a point inside it; in a setting, sashing round the outside too"},
	{"beyond", "the far side of the straight line through two points, or of a named seam; of a section, of each of its lines"},
	{"by", "between the two numbers of a size, or before a distance or an angle"},
	{"cm", "centimeters"},
	{"cut", "a cut size, not a finished one"},
	{"directional", "a one-way print; it keeps its direction in a copy that is turned"},
	{"from", "the first end of a seam"},
	{"halved", "cut once corner to corner, the long side to the seam"},
	{"in", "inches"},
	{"inset", "a set-in seam (Y-seam): a join with a corner, on purpose"},
	{"meets", "where P Q meets R S: the point where two lines cross"},
	{"mirrored", "a mirrored copy"},
	{"mm", "millimeters"},
	{"moved", "a moved copy"},
	{"of", "part 1/3 of P Q; or a section of another block: C of \"Toadstool\""},
	{"open", "press open: half the allowance to each side"},
	{"outer", "the allowance of a block's outer edge"},
	{"partial", "a join of which only a part is sewn now; `finish` sews the rest"},
	{"press", "which way the allowance of a join is pressed"},
	{"quartered", "cut twice corner to corner, the outer side to the seam"},
	{"square", "a square piece, cut corner to corner"},
	{"strip", "a strip of this width, cut to length while sewing"},
	{"to", "the other end of a seam, or the other side of a join"},
	{"toward", "press toward A: the allowance lies under that section"},
	{"turned", "a copy turned, degrees counterclockwise"},
	{"width", "the usable width of a fabric"},
	{"with", "the swaps of a copy: with sky = plum, water = ink"},
}

// contextual are the words that are words only in their place: anywhere else they can be names.
var contextual = []Keyword{
	{scaled, "a copy of another size: scaled 3/4 about P"},
	{"spacer", "a filler strip in a row of a quilt"},
}

// Keyword is a word of the language; none but the contextual ones can be a name.
type Keyword struct{ Word, Meaning string }

// ContextualWords lists the words that can be names where they mean nothing, in alphabetical order.
func ContextualWords() []Keyword { return words(true) }

// isWord tells a word from a mark.
func isWord(text string) bool { return classes[text[0]] == letter }

// Statements lists every form of statement, in the order of the reference.
func Statements() []*StatementInfo { return slices.Clone(statements) }

// Keywords lists every reserved word in alphabetical order.
func Keywords() []Keyword { return words(false) }

func words(inContext bool) (words []Keyword) {
	add := func(word, meaning string) {
		if word != "" && IsContextual(word) == inContext && !slices.ContainsFunc(words, func(k Keyword) bool { return k.Word == word }) {
			words = append(words, Keyword{word, meaning})
		}
	}
	for _, k := range slices.Concat(otherWords, contextual) {
		add(k.Word, k.Meaning)
	}
	for _, p := range pointForms[1:] {
		add(p.Word, p.Shape+": "+p.Meaning)
	}
	for _, s := range statements {
		add(s.Word, s.Meaning)
	}
	slices.SortFunc(words, func(a, b Keyword) int { return strings.Compare(a.Word, b.Word) })
	return words
}

// Points lists the forms of a point that begin with a word, in the order of the reference.
func Points() []*PointInfo { return slices.Clone(pointForms[1:]) }

// vocabulary gives every word of the language its forms of statement, none
// for a word that begins no statement.
var vocabulary map[string]*vocable

type vocable struct {
	word       string // a copy that holds no file in memory
	forms      []*StatementInfo
	isPoint    bool // begins a point form
	contextual bool // a word in its place alone, and no reserved one
}

// swap is the form of a line of a colourway.
var swap *StatementInfo

func init() {
	vocabulary = map[string]*vocable{}
	for _, k := range otherWords {
		vocabulary[k.Word] = &vocable{word: k.Word}
	}
	for _, k := range contextual {
		vocabulary[k.Word] = &vocable{word: k.Word, contextual: true}
	}
	for _, p := range pointForms[1:] {
		vocabulary[p.Word] = &vocable{word: p.Word, isPoint: true}
	}
	for _, s := range statements {
		switch v := vocabulary[s.Word]; {
		case s.Word == "":
			swap = s
		case v == nil:
			vocabulary[s.Word] = &vocable{word: s.Word, forms: []*StatementInfo{s}, contextual: s.Contextual}
		default:
			v.forms = append(v.forms, s)
		}
	}
}

// IsReserved reports whether a word belongs to the language, wherever it stands, and so cannot be
// a name.
func IsReserved(word string) bool {
	v := vocabulary[word]
	return v != nil && !v.contextual
}

// IsContextual reports whether a word belongs to the language in its place alone.
func IsContextual(word string) bool {
	v := vocabulary[word]
	return v != nil && v.contextual
}

// IsName reports whether a text can be a name: it is no reserved word, and not too long.
func IsName(text string) bool {
	t := Tokens(text)
	return len(t) == 1 && t[0].Kind == KindName && t[0].Text == text && utf8.RuneCountInString(text) <= MaxNameLength
}

// Quote is a text as a string of the language. It has to stand on one line.
func Quote(text string) string { return `"` + quoted.Replace(text) + `"` }

var quoted = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

// nearestStatement is the statement word that was probably meant, one that
// may stand at the place before any other; "" when none is near.
func nearestStatement(word string, place Place) string {
	here, all := make([]string, 0, 64), make([]string, 0, 64)
	length := utf8.RuneCountInString(word)
	for _, s := range statements {
		// Words of quite another length are not near; leaving them out here saves most of the work.
		if s.Word == "" || max(len(s.Word)-length, length-len(s.Word)) > max(1, length/3) {
			continue
		}
		all = append(all, s.Word)
		if s.Where&place != 0 {
			here = append(here, s.Word)
		}
	}
	if found := near.Nearest(word, here); found != "" || len(here) == len(all) {
		return found
	}
	return near.Nearest(word, all)
}

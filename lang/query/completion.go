package query

import (
	"fmt"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Choice is one thing that can be typed at the cursor.
type Choice struct {
	Label   string
	Kind    ChoiceKind
	Detail  string
	Insert  string      // what is typed; with Snippet, ${1:name} are places to fill in
	Snippet bool        // Insert is a snippet
	Replace source.Span // what it takes the place of
	Rank    int         // less comes first
	Likely  bool        // the first to offer
	Import  string      // the path to `use` for it; empty when none is needed
	Colour  string      // of a fabric
}

// ChoiceKind tells choices apart.
type ChoiceKind uint8

// The kinds of choice.
const (
	ChoiceStatement ChoiceKind = iota
	ChoiceWord
	ChoiceFabric
	ChoicePoint
	ChoiceSeam
	ChoiceSection
	ChoiceLet
	ChoiceNumber
	ChoiceBlock
	ChoiceColourway
	ChoiceSize
	ChoicePath
	ChoiceRule
	ChoiceForm  // a form of a point
	ChoicePlace // a place in the block, by its coordinates
)

// Around is what completion needs to know beyond the file.
type Around struct {
	Snippets bool
	Rules    []Offered // for `// accept`
	Imports  []Offered // fabrics of files that are not used yet; In is the path to use
	Paths    []string  // for `use`
}

// Offered is a name from elsewhere.
type Offered struct{ Name, Detail, In string }

// completion is a cursor with what stands before it.
type completion struct {
	f      *File
	around Around
	c      Cursor
	before []syntax.Token // of the statement, up to the word that is being typed
	at     source.Span    // that word; empty when none is
	out    []Choice
}

// Complete lists what can stand at an offset.
func Complete(f *File, offset int, around Around) []Choice {
	x := &completion{f: f, around: around, c: At(f, offset), at: source.Span{Start: offset, End: offset}}
	if x.inComment() {
		return x.out
	}
	x.split()
	switch {
	case x.inString():
	case len(x.before) == 0 && x.c.Place != syntax.InColourway:
		x.statements()
	default:
		x.expected()
	}
	return x.out
}

func (x *completion) add(c Choice) {
	if c.Insert == "" {
		c.Insert = c.Label
	}
	c.Replace = x.at
	x.out = append(x.out, c)
}

// inComment completes the rule of an accept.
func (x *completion) inComment() bool {
	line := x.lineBefore()
	at := strings.Index(line, "//")
	if at < 0 || strings.Count(line[:at], `"`)%2 == 1 {
		return false
	}
	words := strings.Fields(line[at+2:])
	typing := !strings.HasSuffix(line, " ")
	switch {
	case len(words) == 1 && !typing && words[0] == "accept", len(words) == 2 && typing && words[0] == "accept":
		if typing {
			x.at.Start -= len(words[1])
		}
		for _, r := range x.around.Rules {
			x.add(Choice{Label: r.Name, Kind: ChoiceRule, Detail: r.Detail, Insert: r.Name + ": "})
		}
	}
	return true
}

func (x *completion) lineBefore() string {
	text := x.f.Source.Text[:x.at.End]
	return text[strings.LastIndexByte(text, '\n')+1:]
}

// split finds the word that is being typed and the tokens before it.
func (x *completion) split() {
	start := x.at.End - len(x.lineBefore())
	if it := x.c.Item; it != nil && it.Stmt.Len() > 0 && it.Stmt.Start <= x.at.End && x.at.End <= it.Raw.End {
		start = it.Stmt.Start
	}
	for _, t := range syntax.Tokens(x.f.Source.Text[start:x.at.End]) {
		t.Span = t.Span.Shift(start)
		x.before = append(x.before, t)
	}
	if n := len(x.before); n > 0 {
		last := x.before[n-1]
		if last.End == x.at.End && (last.Kind == syntax.KindWord || last.Kind == syntax.KindName || last.Kind == syntax.KindNumber) {
			x.at.Start = last.Start
			x.before = x.before[:n-1]
			if it := x.c.Token; it.Start == last.Start && it.End > last.End {
				x.at.End = it.End // the rest of the word goes too
			}
		}
	}
}

// inString completes what stands between quotes.
func (x *completion) inString() bool {
	n := len(x.before)
	if n == 0 {
		return false
	}
	last := x.before[n-1]
	open := last.Kind == syntax.KindBad && strings.HasPrefix(last.Text, `"`) || last.Kind == syntax.KindString && last.End > x.c.Offset
	if !open || last.Start >= x.c.Offset {
		return false
	}
	whole := x.c.Token
	x.at = source.Span{Start: last.Start + 1, End: x.c.Offset}
	if whole.Kind == syntax.KindString && whole.Start == last.Start {
		x.at.End = whole.End - 1
	}
	x.before = x.before[:n-1]
	for _, slot := range x.next().Slots {
		switch slot.Is {
		case "path":
			for _, p := range x.around.Paths {
				x.add(Choice{Label: p, Kind: ChoicePath})
			}
		case "block":
			for _, t := range inScope(x.f, nil) {
				if t.named.Kind == block.KindBlock {
					x.add(Choice{Label: t.named.Name, Kind: ChoiceBlock})
				}
			}
		}
	}
	return true
}

// statements offers the statements that may stand here, the next patch first.
func (x *completion) statements() {
	if x.c.Section != nil && x.c.Place == syntax.InSection {
		x.nextPatch()
	}
	for i, s := range syntax.Statements() {
		if s.Word == "" || s.Where&x.c.Place == 0 || s.Word == "colorway" {
			continue
		}
		c := Choice{Label: s.Word, Kind: ChoiceStatement, Detail: s.Shape, Rank: 10 + i}
		if snippet := s.Snippet(); snippet != s.Word && x.around.Snippets {
			c.Insert, c.Snippet = snippet, true
		}
		if s.Word == "section" && s.Body == 0 {
			c.Label = "section … ="
		}
		x.add(c)
	}
}

// nextNumber is the number that comes next in the section.
func (x *completion) nextNumber() int {
	taken := map[string]bool{} // also by statements that cannot be read yet
	for _, it := range x.c.Section.Item.Body {
		if it.Word != "patch" || it == x.c.Item {
			continue
		}
		if words := strings.Fields(x.f.text(it.Stmt)); len(words) > 1 {
			taken[words[1]] = true
		}
	}
	next := 1
	for taken[fmt.Sprint(next)] {
		next++
	}
	return next
}

// nextPatch offers the patch that comes next in the section.
func (x *completion) nextPatch() {
	next := x.nextNumber()
	c := Choice{Label: fmt.Sprintf("patch %d", next), Kind: ChoiceStatement, Detail: "the next patch", Likely: true}
	if x.around.Snippets {
		c.Snippet = true
		c.Insert = fmt.Sprintf("patch %d ${1:fabric} beyond ${2:P} ${3:Q}", next)
		if next == 1 {
			c.Insert = "patch 1 ${1:fabric} ${2:P Q R}"
		}
	} else {
		c.Insert = c.Label + " "
	}
	x.add(c)
}

func colourOf(t thing) (title, colour string) {
	if x, ok := t.value.(*block.Fabric); ok {
		return x.Title, x.Colour
	}
	return "", ""
}

func (x *completion) detail(t thing) string {
	switch v := t.value.(type) {
	case *block.NamedPoint:
		if !v.Broken {
			return geom.FormatPlace(v.Exact.Point(), x.f.Unit)
		}
	case *block.Let:
		if !v.Broken {
			return number(v.Value.Num)
		}
	case *block.NamedSeam:
		if !v.Broken {
			return x.f.length(v.Line.Len())
		}
	case *block.Section:
		return v.Title
	case *block.Colourway:
		return v.Title
	case *block.Size:
		return x.f.sized(v.Width.Float64(), v.Height.Float64())
	}
	return ""
}

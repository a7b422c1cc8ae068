package format

import (
	"regexp"
	"strings"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// line is one line to print; a statement that runs on has several.
type line struct {
	item    *syntax.Item
	indent  int    // levels of two spaces
	columns []band // what stands before the comment, parted where it may be lined up
	comment string
	text    string // the finished line without indentation; set by align
	asTyped string // one or more lines as they were typed, instead of all that
}

// band is a run of cells that are lined up with the lines above and below when
// those have a band of the same kind; an empty kind is never lined up.
type band struct {
	kind  string
	cells []string
	right int // which cell is set to the right, numbers for instance; -1 for none
	most  int // the most spaces that lining up may put into a cell
}

func plain(text string) []band { return []band{{cells: []string{text}, right: -1}} }

type layouter struct {
	text  string
	lines []line
}

func layOut(t *syntax.Tree) []line {
	l := &layouter{text: t.File.Text}
	l.items(t.Items, 0, false)
	align(l.lines)
	return l.lines
}

// items lays out what stands on one level. A blank line at the beginning goes,
// unless it is kept because it may end a statement that cannot be read.
func (l *layouter) items(items []*syntax.Item, indent int, keep bool) {
	var blank *syntax.Item // the first blank line since the last item
	for _, item := range items {
		if item.Kind == syntax.Blank {
			if blank == nil {
				blank = item
			}
			continue
		}
		if blank != nil && (keep || blank != items[0]) {
			l.add(line{item: blank})
		}
		blank = nil
		l.item(item, indent)
		if item.Kind == syntax.Opens {
			l.items(item.Body, indent+1, item.Node == nil)
			if item.Close != nil {
				l.add(line{item: item.Close, indent: indent, columns: plain("}"), comment: l.cut(item.Close.Comment)})
			}
		}
	}
}

func (l *layouter) add(n line) { l.lines = append(l.lines, n) }

func (l *layouter) cut(s source.Span) string { return l.text[s.Start:s.End] }

func (l *layouter) item(item *syntax.Item, indent int) {
	stmt := l.cut(item.Stmt)
	switch {
	case item.Kind == syntax.Remark:
		l.add(line{item: item, indent: indent, columns: plain(l.cut(item.Comment))})
	case item.Node == nil:
		l.unreadable(item, stmt, indent)
	case strings.Contains(stmt, "\n"):
		l.runningOn(item, stmt, indent)
	default:
		n := line{item: item, indent: indent, columns: columns(item.Node, syntax.Tokens(stmt)), comment: l.cut(item.Comment)}
		if hasBrace(item) {
			n.columns = append(n.columns, band{cells: []string{"{"}, right: -1})
		}
		l.add(n)
	}
}

// hasBrace reports whether a `{` stands behind the item's statement.
func hasBrace(item *syntax.Item) bool {
	return item.Brace().Len() > 0 && item.Brace().Start >= item.Stmt.End
}

var lineBreaks = regexp.MustCompile(`\r*\n`)

// unreadable keeps an item as typed: one line is indented, several are left alone.
func (l *layouter) unreadable(item *syntax.Item, stmt string, indent int) {
	if strings.Contains(stmt, "\n") {
		raw := l.cut(item.Raw)
		if item.Raw.Start == 0 {
			_, raw = cutMark(raw)
		}
		if hasBrace(item) { // its `}` is found by its indentation
			raw = strings.Repeat("  ", indent) + l.text[item.Stmt.Start:item.Raw.End]
		}
		l.add(line{item: item, asTyped: lineBreaks.ReplaceAllString(strings.TrimRight(raw, " \t\r\n"), "\n")})
		return
	}
	n := line{item: item, indent: indent, columns: plain(stmt), comment: l.cut(item.Comment)}
	if hasBrace(item) {
		n.columns = append(n.columns, band{cells: []string{"{"}, right: -1})
		if stmt == "" {
			n.columns = n.columns[1:]
		}
	}
	l.add(n)
}

// runningOn keeps the line breaks of a statement and indents what runs on.
func (l *layouter) runningOn(item *syntax.Item, stmt string, indent int) {
	var tokens []syntax.Token
	first, operand := true, false
	flush := func(comment string, last bool) {
		if len(tokens) == 0 && comment == "" {
			return
		}
		var text string
		text, operand = joinAfter(operand, tokens)
		if text == "" {
			text, comment = comment, ""
		}
		n := line{item: item, indent: indent, columns: plain(text), comment: comment}
		if !first {
			n.indent += 2
		}
		if last && hasBrace(item) {
			n.columns = append(n.columns, band{cells: []string{"{"}, right: -1})
		}
		l.add(n)
		tokens, first = nil, false
	}
	end := 0
	for _, token := range syntax.Tokens(stmt) {
		if strings.Contains(stmt[end:token.Start], "\n") {
			flush("", false)
		}
		end = token.End
		if token.Kind == syntax.KindComment {
			flush(token.Text, false)
			continue
		}
		tokens = append(tokens, token)
	}
	flush(l.cut(item.Comment), true)
}

package syntax

import (
	"cmp"
	"slices"
	"strings"

	"sewable/lang/memo"
	"sewable/lang/source"
)

// The second pass nests the pieces by their braces and has each statement read.
//
// A missing or superfluous brace should cost as little as possible. `block`
// and `setting` only stand at the top of a file, so each begins a region, and
// counting braces within a region tells whether one is missing or too many.
// Only then does a statement that cannot stand where it is, or the
// indentation of a brace, tell where.

// frame is an open body.
type frame struct {
	item       *Item
	place      Place
	base       int // where its body begins in pending
	indent     int
	bare       bool // opened without a brace
	statements int
	first      int     // its piece
	remarks    remarks // before it
}

type builder struct {
	reader *Reader
	work   *workbench
	text   string
	pieces []*piece
	tree   *Tree
	at     int // where the piece that is nested begins

	kept           *memo.Table[sectionAt, *sectionItems] // nil: nothing is remembered
	before         remarks                               // before this piece
	items          []Item                                // room for items
	region         int                                   // where the next region begins
	missing, extra int                                   // closing braces of this region
	tooDeep        int
	complained     bool // of a brace on this line
	large          []largeNumber
}

func (b *builder) build() {
	w := b.work
	w.pending, w.frames = w.pending[:0], w.frames[:0]
	for i := 0; i < len(b.pieces); i++ {
		if i == b.region {
			b.enterRegion(i)
		}
		if n := b.remembered(i); n > 0 {
			i += n - 1
			continue
		}
		b.piece(i, b.pieces[i])
		b.at += b.pieces[i].length
	}
	b.popAll("the end of the file")
	b.tree.Items = append([]*Item(nil), w.pending...) // nil when empty, however often the bench was used
	b.checkUnit()
	slices.SortStableFunc(b.tree.Errors, func(a, c *Error) int { return cmp.Compare(a.At.Start, c.At.Start) })
	b.hush()
	scopeAccepts(b.tree.Accepts, b.tree.Items, source.Span{Start: 0, End: len(b.text)})
}

// body is the place between the braces of a statement, 0 when it has none.
func (p *piece) body() Place {
	if p.first == nil || p.first.forms == nil || p.copies {
		return 0
	}
	return p.first.forms[0].Body
}

// where is the set of places where a piece may stand; 0 when unknown.
func (p *piece) where() (where Place) {
	if p.kind == statementPiece && p.first != nil {
		for _, form := range p.first.forms {
			where |= form.Where
		}
	}
	return where
}

func (p *piece) opens() bool { return p.kind == statementPiece && (p.brace >= 0 || p.body() != 0) }

// enterRegion closes everything before a `block` or `setting` and counts the
// braces up to the next.
func (b *builder) enterRegion(at int) {
	pieces := b.pieces
	if at > 0 {
		b.popAll(quote(b.firstLine(pieces[at].stmt.Shift(b.at))))
	}
	open := 0
	for b.region++; b.region <= len(pieces); b.region++ {
		if p := pieces[b.region-1]; p.opens() {
			open++
		} else if p.kind == closePiece {
			open--
		}
		if b.region < len(pieces) && pieces[b.region].body()&(InBlock|InSetting) != 0 {
			break
		}
	}
	b.missing, b.extra = max(0, open), max(0, -open)
}

func (b *builder) firstLine(s source.Span) string {
	line, _, _ := strings.Cut(b.text[s.Start:s.End], "\n")
	return strings.TrimSpace(line)
}

func (b *builder) place() Place {
	if n := len(b.work.frames); n > 0 {
		return b.work.frames[n-1].place
	}
	return InFile
}

func (b *builder) piece(i int, p *piece) {
	if !p.partial {
		b.complained = false
	}
	b.before = b.remarks()
	item := b.item(i)
	item.Raw, item.Stmt, item.Extra = source.Span{Start: b.at, End: b.at + p.length}, p.stmt.Shift(b.at), &noExtra
	if p.comment.Len() > 0 || p.opens() {
		item.Extra = &Extra{}
	}
	if p.comment.Len() > 0 {
		item.Comment = p.comment.Shift(b.at)
	}
	item.brace = int32(p.brace + 1)
	b.noteAccept(item, p)
	switch p.kind {
	case blankPiece:
		b.add(item)
	case remarkPiece:
		item.Kind = Remark
		b.add(item)
	case closePiece:
		b.close(i, p, item)
	case statementPiece:
		b.statement(i, p, item)
	}
}

func (b *builder) add(item *Item) { b.work.pending = append(b.work.pending, item) }

func (b *builder) fail(item *Item, f *fault) {
	b.tree.Errors = append(b.tree.Errors, &Error{
		At: f.at.Shift(item.Stmt.Start), Kind: f.kind, Message: f.message, Detail: f.detail, Name: f.name, Item: item,
	})
}

func (b *builder) statement(i int, p *piece, item *Item) {
	b.popFor(p, item)
	if n := len(b.work.frames); n > 0 {
		b.work.frames[n-1].statements++
	}
	place := b.place()
	stmt := b.text[item.Stmt.Start:item.Stmt.End]
	found := p.found
	if found == nil || p.place != place {
		if b.kept != nil && len(stmt) > b.reader.long {
			stmt = strings.Clone(stmt) // what is kept holds on to no file
		}
		found = b.reader.read(b.work, place, stmt)
		if b.kept != nil {
			if p.found != nil { // another text may have it, as it is
				own := *p
				p = &own
				b.pieces[i] = p
			}
			p.found, p.place = found, place
		}
	}
	b.add(item)
	item.Node = found.node
	if p.first != nil {
		item.Word = p.first.word
	} else {
		item.Word = stmt[:wordEnd(stmt, 0)]
	}
	if found.largest > 0 {
		b.large = append(b.large, largeNumber{item, found.largest, found.largestAt})
	}
	failed := found.fault != nil
	if failed {
		f := *found.fault
		if item.Stmt.Len() == 0 {
			f.at = braceIn(item) // a brace alone
		}
		b.fail(item, &f)
	}
	body := p.body()
	if !p.opens() {
		item.Kind = Simple
		if item.Node == nil {
			item.Kind = Unreadable
		}
	} else {
		item.Kind = Opens
		switch {
		case body == 0 && found.node != nil:
			item.Node = nil
			if !failed {
				b.fail(item, &fault{at: braceIn(item), message: "unexpected `{` after " + quote(b.firstLine(item.Stmt)),
					detail: withArticle(found.form) + " has no braces"})
			}
			failed = true
		case p.brace < 0 && !failed:
			b.fail(item, &fault{at: source.Span{Start: 0, End: item.Stmt.Len()}, kind: Unclosed,
				message: "expected `{` at the end of the line", detail: found.form.needs()})
			failed = true
		}
		b.open(i, p, item, body)
	}
	if !failed {
		b.layout(p, item)
	}
}

// braceIn is the place of an item's brace, relative to its statement.
func braceIn(item *Item) source.Span { return item.Brace().Shift(-item.Stmt.Start) }

// open opens the body of an item.
func (b *builder) open(i int, p *piece, item *Item, body Place) {
	if len(b.work.frames) == MaxBraces {
		item.Kind, item.Node = Unreadable, nil
		b.tooDeep++
		b.fail(item, &fault{at: source.Span{Start: 0, End: item.Stmt.Len()}, kind: Limit, message: "braces nest at most 20 deep"})
		return
	}
	if body == 0 {
		body = anywhere
		if p.first == nil {
			if guess := vocabulary[nearestStatement(item.Word, b.place())]; guess != nil && guess.forms[0].Body != 0 {
				body = guess.forms[0].Body
			}
		}
	}
	b.work.frames = append(b.work.frames, frame{
		item: item, place: body, base: len(b.work.pending), indent: p.indent(), bare: p.brace < 0, first: i, remarks: b.before,
	})
}

// layout reports a brace that shares its line, once a line.
func (b *builder) layout(p *piece, item *Item) {
	messages := [...]string{
		textBehind:    "`{` ends its line",
		braceBehind:   "`}` needs a line of its own",
		closeThenText: "`}` needs a line of its own",
		braceBelow:    "`{` belongs at the end of the line before",
	}
	if p.layout == tidy || b.complained {
		return
	}
	b.complained = true
	at := item.Brace().Start
	if p.layout == braceBehind {
		at = item.Raw.End
	}
	b.fail(item, &fault{at: source.Span{Start: at, End: at + 1}.Shift(-item.Stmt.Start), kind: Malformed, message: messages[p.layout],
		detail: "what shares the line with it goes on another line; the formatter does that"})
}

// close ends the innermost body, or finds that the brace is one too many.
func (b *builder) close(i int, p *piece, item *Item) {
	if b.tooDeep > 0 {
		b.tooDeep--
		item.Kind = Unreadable
		b.add(item)
		return
	}
	frames := b.work.frames
	n := len(frames)
	if n == 0 || b.extra > 0 && b.bodyGoesOn(i) {
		b.extra = max(0, b.extra-1)
		item.Kind = Unreadable
		b.add(item)
		b.fail(item, &fault{at: source.Span{Start: 0, End: 1}, kind: Unclosed, message: "this `}` closes nothing", detail: "remove it"})
		return
	}
	if b.missing > 0 && !p.partial {
		for k := n - 2; k >= 0 && n-1-k <= b.missing; k-- {
			if frames[k].indent == p.indent() && frames[k+1].indent > p.indent() {
				b.popTo(k+1, "the `}` that closes "+quote(b.firstLine(frames[k].item.Stmt)))
				break
			}
		}
	}
	if n = len(b.work.frames); n > 1 && frames[n-1].bare && frames[n-1].statements == 0 {
		b.popTo(n-1, "")
	}
	top := b.work.frames[len(b.work.frames)-1]
	item.Kind = Closes
	top.item.Close = item
	b.endBody(top, len(b.work.pending))
	b.layout(p, item)
	b.remember(top, i)
}

// bodyGoesOn reports whether what follows a closing brace still belongs to the
// body it would close.
func (b *builder) bodyGoesOn(i int) bool {
	frames := b.work.frames
	here, outside := b.place(), InFile
	if n := len(frames); n > 1 {
		outside = frames[n-2].place
	}
	at := b.at
	for i++; i < b.region; i++ {
		at += b.pieces[i-1].length
		p := b.pieces[i]
		switch p.kind {
		case closePiece:
			return false
		case statementPiece:
			where := p.where()
			if p.first != nil && p.first.word == "patch" && here == InSection {
				behind := skipSpace(b.text, at+p.stmt.Start+len("patch"))
				return behind < at+p.stmt.End && classes[b.text[behind]] == digit
			}
			return where&here != 0 && where&outside == 0
		}
	}
	return false
}

// popFor closes bodies that lack a brace, when the statement shows that they have
// ended before it.
func (b *builder) popFor(p *piece, item *Item) {
	where := p.where()
	if where == 0 || where&b.place() != 0 {
		return
	}
	for k := len(b.work.frames) - 1; k >= 0 && len(b.work.frames)-k <= b.missing; k-- {
		outside := InFile
		if k > 0 {
			outside = b.work.frames[k-1].place
		}
		if where&outside != 0 {
			b.popTo(k, quote(b.firstLine(item.Stmt)))
			return
		}
	}
}

func (b *builder) popAll(before string) { b.popTo(0, before) }

// popTo closes all but the outermost k bodies, which lack a brace. Blank
// lines and comments at their ends belong to what follows.
func (b *builder) popTo(k int, before string) {
	for len(b.work.frames) > k {
		top := b.work.frames[len(b.work.frames)-1]
		b.missing = max(0, b.missing-1)
		end := len(b.work.pending)
		for end > top.base && b.work.pending[end-1].Kind <= Remark {
			end--
		}
		b.endBody(top, end)
		if top.bare || top.item.Word == "" {
			continue
		}
		b.fail(top.item, &fault{at: source.Span{Start: 0, End: max(1, top.item.Stmt.Len())}, kind: Unclosed,
			message: "this `" + top.item.Word + "` is not closed", detail: "expected `}` on a line of its own before " + before})
	}
	if k == 0 {
		b.tooDeep = 0
	}
}

// endBody gives the innermost open item its body, pending up to end.
func (b *builder) endBody(top frame, end int) {
	w := b.work
	top.item.Body = append([]*Item(nil), w.pending[top.base:end]...)
	w.pending = append(w.pending[:top.base], w.pending[end:]...)
	w.frames = w.frames[:len(w.frames)-1]
}

// largeNumber is a bare number that is too much in inches, the largest of its item.
type largeNumber struct {
	item  *Item
	value float64
	at    source.Span
}

// checkUnit finds bare numbers that are too large in the file's unit.
func (b *builder) checkUnit() {
	if len(b.large) == 0 {
		return
	}
	most := float64(MaxInches)
	for _, item := range b.tree.Items {
		if u, ok := item.Node.(*Units); ok {
			most = maxIn[units[u.Unit.Text]]
			break
		}
	}
	for _, l := range b.large {
		if l.value > most {
			if l.item.Node = nil; l.item.Kind == Simple {
				l.item.Kind = Unreadable
			}
			b.fail(l.item, tooLarge(l.at))
		}
	}
}

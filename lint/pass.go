package lint

import (
	"cmp"
	"fmt"
	"iter"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/visible"
)

// Pass is one rule at work on one file. It gives the rule what it reads and
// takes what it has to say.
type Pass struct {
	File     *block.File // nil for a rule about settings
	Settings *Settings   // those that hold for the file

	rule  *Rule
	level Level       // of the rule, as set
	size  *block.Size // in which the file's one block is looked at; nil for the file as it is
	src   *source.File
	hides []*Accepted // the accepts of the rule
	keep  bool        // findings that are accepted
	out   []*Report
	long  struct { // the long statement that a finding was in last
		at     source.Span
		normal string
	}
}

// Sewing is how a block is sewn: its divisions, seams, orders and joins.
func (p *Pass) Sewing(b *block.Block) *sew.Block { return sew.Analyse(b) }

// Used reports whether anything in the file refers to a named thing.
func (p *Pass) Used(n *block.Named) bool { return p.File.Used(n) }

// At is a place of the file that is linted, from a span of it.
func (p *Pass) At(span source.Span) block.Place { return block.Place{File: p.src, Span: span} }

// Blocks are the blocks of the file that could be read and resolved as a
// whole. Of a broken block nothing can be said as to how it goes together.
func (p *Pass) Blocks() iter.Seq[*block.Block] {
	return func(yield func(*block.Block) bool) {
		for _, b := range p.File.Blocks {
			if !b.Broken && !yield(b) {
				return
			}
		}
	}
}

// Sections are the sections of the file that were typed out, or are copies of another size, and could be read
// and resolved. Other copies are left out: what is wrong with the original is said once,
// there, and Report.Section counts the copies.
func (p *Pass) Sections() iter.Seq[*block.Section] {
	return func(yield func(*block.Section) bool) {
		for _, b := range p.File.Blocks {
			for _, s := range b.Sections {
				if s.Own() && !s.Broken && !yield(s) {
					return
				}
			}
		}
	}
}

// Patches are the patches of Sections, in sewing order.
func (p *Pass) Patches() iter.Seq[*block.Patch] {
	return func(yield func(*block.Patch) bool) {
		for s := range p.Sections() {
			for _, patch := range s.Patches {
				if !yield(patch) {
					return
				}
			}
		}
	}
}

// Copies is how many sections come from this one at its size, copies of copies included.
func Copies(s *block.Section) int {
	n := 0
	for _, t := range s.Block.Sections {
		if t != s && t.Reported() == s {
			n++
		}
	}
	return n
}

// Label is how a quilter calls a patch: C4.
func Label(p *block.Patch) string { return p.Called() }

// Report is a finding in the making; its methods add what belongs to it. It is nil
// where an accept hides the finding or its rule is off, and stays so: nothing is made of what nobody reads.
//
//	p.Report(patch.ShapeAt(), "%s is only %s wide", lint.Label(patch), p.Len(width)).
//		Patch(patch).
//		Related(other.At, "next to this one")
type Report struct {
	f      Finding
	at     block.Place
	copies int
	scaled bool  // it is about a copy of another size, whose statements are another's: no fix changes them
	level  Level // the highest this finding may have; 0: the rule's
}

// Report says that something is wrong at a place. The message has no line
// break; it says what is wrong, then what to do.
func (p *Pass) Report(at block.Place, format string, args ...any) *Report {
	if p.rule.AlwaysMandatory() {
		return p.insist(at, format, args)
	}
	by := p.hiddenBy(at)
	if p.level == Off || by != nil && !p.keep {
		return nil
	}
	r := p.report(at, format, args)
	if by != nil {
		r.f.Accepted = cmp.Or(by.Reason, "no reason given")
	}
	return r
}

// Insist is Report of a mandatory finding, for a rule of which only some are: see Rule.MandatoryWhere.
func (p *Pass) Insist(at block.Place, format string, args ...any) *Report {
	return p.insist(at, format, args)
}

func (p *Pass) insist(at block.Place, format string, args []any) *Report {
	for _, a := range p.hides {
		if p.covered(a, at) {
			a.Refused++
		}
	}
	r := p.report(at, format, args)
	r.f.Mandatory = true
	return r
}

func (p *Pass) report(at block.Place, format string, args []any) *Report {
	r := &Report{at: at}
	r.f.Message = sentence(sprintf(format, args))
	p.out = append(p.out, r)
	return r
}

// hiddenBy is the accept that covers a place; where several do, the last. It counts the finding for each.
func (p *Pass) hiddenBy(at block.Place) (by *Accepted) {
	for _, a := range p.hides {
		if p.covered(a, at) {
			a.Hidden++
			by = a
		}
	}
	return by
}

// covered reports whether an accept holds at a place: it is about that place, in all sizes, or about the size.
func (p *Pass) covered(a *Accepted, at block.Place) bool {
	return at.File.Path == p.src.Path && (covers(a.Scope, at.Start) || p.size != nil && covers(a.Scope, p.size.Item.Stmt.Start))
}

// Hidden reports whether an accept hides the finding, so that a fix that is dear to
// work out need not be.
func (r *Report) Hidden() bool { return r == nil }

// sentence begins with a capital and ends with a full stop. A message that begins
// with a name, or a word in backquotes, keeps it as it is written.
func sentence(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	word, _, _ := strings.Cut(s, " ")
	if articles[word] {
		s = string(unicode.ToUpper(first)) + s[size:]
	}
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".?!") {
		s += "."
	}
	return s
}

// articles are the words that the reader's sentences begin with.
var articles = map[string]bool{"a": true, "an": true, "the": true, "this": true, "there": true, "no": true, "one": true, "each": true, "nothing": true}

// sprintf leaves a message without arguments as it is. What it quotes of a file is shown.
func sprintf(format string, args []any) string {
	if len(args) > 0 {
		format = fmt.Sprintf(format, args...)
	}
	return visible.Text(format)
}

// Block says which block it is about.
func (r *Report) Block(b *block.Block) *Report {
	if r != nil && b != nil {
		r.f.Block = b.Name
	}
	return r
}

// Section says which section it is about, and adds how many copies of it
// have the same trouble.
func (r *Report) Section(s *block.Section) *Report {
	if r == nil || s == nil {
		return r
	}
	r.f.Section = s.Name
	r.copies = Copies(s)
	if s.CopyOf != nil && s.Own() {
		r.scaled = true
	}
	return r.Block(s.Block)
}

// Patch says which patch it is about, and so which section.
func (r *Report) Patch(p *block.Patch) *Report {
	if r == nil || p == nil {
		return r
	}
	r.f.Patch = p.Number
	return r.Section(p.Section)
}

// In says where it is by names alone, for what could not be resolved.
func (r *Report) In(block, section string, patch int) *Report {
	if r != nil {
		r.f.Block, r.f.Section, r.f.Patch = block, section, patch
	}
	return r
}

// Alone leaves the copies unmentioned: they do not share the trouble.
func (r *Report) Alone() *Report {
	if r != nil {
		r.copies = -1
	}
	return r
}

// As marks this finding lower than the rule's level.
func (r *Report) As(l Level) *Report {
	if r != nil {
		r.level = l
	}
	return r
}

// Unused marks the place as something that could go without loss.
func (r *Report) Unused() *Report {
	if r != nil {
		r.f.Unused = true
	}
	return r
}

// Related adds another place that has to do with it.
func (r *Report) Related(at block.Place, format string, args ...any) *Report {
	if r != nil {
		r.f.Related = append(r.f.Related, Related{placeOf(at), sprintf(format, args)})
	}
	return r
}

// Fix adds a way to mend it that is right whatever was meant.
func (r *Report) Fix(title string, edits ...Edit) *Report { return r.fix(Fix{title, true, edits}) }

// Suggest adds a way to mend it that somebody has to choose.
func (r *Report) Suggest(title string, edits ...Edit) *Report { return r.fix(Fix{title, false, edits}) }

func (r *Report) fix(f Fix) *Report {
	if r != nil {
		f.Title = visible.Text(f.Title)
		r.f.Fixes = append(r.f.Fixes, f)
	}
	return r
}

// findings adds what the pass reported, complete and free of the file.
func (p *Pass) findings(out []Finding) []Finding {
	out = slices.Grow(out, len(p.out))
	for _, r := range p.out {
		f := r.f
		f.Place = placeOf(r.at)
		line := r.at.File.LineSpan(f.Start.Line - 1)
		shown := around(r.at.File, line, f.Span.Start)
		f.Line = strings.Clone(r.at.File.Text[shown.Start:shown.End])
		if shown.Start > line.Start {
			f.Left = r.at.File.Position(shown.Start).Column - 1
		}
		f.Statement = p.statement(f, shown)
		f.Rule = p.rule.Name
		if f.Level = p.level; f.Mandatory {
			f.Level = p.rule.Level
		}
		if r.scaled || p.size != nil {
			f.Fixes = nil
		}
		if p.size != nil {
			f.as(p.size)
		}
		if r.level != 0 {
			f.Level = min(f.Level, r.level)
		}
		f.Message = withCopies(f.Message, r.copies)
		f.Block, f.Section = strings.Clone(f.Block), strings.Clone(f.Section)
		for _, fix := range f.Fixes {
			for i := range fix.Edits {
				fix.Edits[i].New = strings.Clone(fix.Edits[i].New)
			}
		}
		out = append(out, f)
	}
	return out
}

// maxShown is how many bytes of a line are kept on each side of a place: more than anybody sees of it.
const maxShown = 1 << 9

// around is what is kept of a line: all of it, or, of a long one, what is around an offset.
func around(f *source.File, line source.Span, offset int) source.Span {
	if line.Len() <= 2*maxShown {
		return line
	}
	begins := func(at int) int { // of the character that holds it
		for at > line.Start && at < line.End && !utf8.RuneStart(f.Text[at]) {
			at--
		}
		return at
	}
	return source.Span{Start: begins(max(line.Start, offset-maxShown)), End: begins(min(line.End, offset+maxShown))}
}

// statement is the text of the statement or the comment that a finding is in. Within its
// line it is a part of it, so that it needs no room of its own; a long one is as its fingerprint takes it.
func (p *Pass) statement(f Finding, line source.Span) string {
	if p.File == nil || p.File.Tree == nil || f.File != p.src.Path {
		return ""
	}
	item := p.File.Tree.ItemAt(f.Span.Start)
	if item == nil {
		return ""
	}
	at := item.Stmt
	if item.Comment.Len() > 0 && item.Comment.Contains(f.Span.Start) {
		at = item.Comment
	}
	if line.Start <= at.Start && at.End <= line.End {
		return f.Line[at.Start-line.Start : at.End-line.Start]
	}
	if at.Len() <= maxShown {
		return strings.Clone(p.src.Text[at.Start:at.End])
	}
	if p.long.at != at { // once for all findings in it
		f.Statement = p.src.Text[at.Start:at.End]
		p.long.at, p.long.normal = at, strings.Clone(f.Listed(f.Normal()).Statement)
	}
	return p.long.normal
}

// remark is words in parentheses at the end, as against a point.
var remark = regexp.MustCompile(`\([^()]*[a-z][^()]*\)$`)

// withCopies adds "(and 7 copies)" to the sentence that says what is wrong, the first.
func withCopies(message string, n int) string {
	if n <= 0 {
		return message
	}
	count := "and 1 copy"
	if n > 1 {
		count = fmt.Sprintf("and %d copies", n)
	}
	what, remedy, more := strings.Cut(message, ". ")
	stop := ""
	if more {
		stop = ". "
	} else if strings.HasSuffix(what, ".") {
		what, stop = strings.TrimSuffix(what, "."), "."
	}
	if remark.MatchString(what) {
		return fmt.Sprintf("%s; %s)%s%s", strings.TrimSuffix(what, ")"), count, stop, remedy)
	}
	return fmt.Sprintf("%s (%s)%s%s", what, count, stop, remedy)
}

// Comment is the place of a comment with the white space in front of it, and
// with its whole line when it stands alone: what goes when the comment goes.
func (p *Pass) Comment(at source.Span) block.Place {
	text := p.src.Text
	for at.Start > 0 && (text[at.Start-1] == ' ' || text[at.Start-1] == '\t') {
		at.Start--
	}
	if at.Start == 0 || text[at.Start-1] == '\n' {
		if n := strings.IndexByte(text[at.End:], '\n'); n >= 0 {
			at.End += n + 1
		}
	}
	return p.At(at)
}

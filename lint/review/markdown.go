package review

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"sewable/lang/english"
	"sewable/lint/output"
)

// maxMarkdown is how long a comment is at most: what hosts of repositories take is
// 65,536 characters and more (common practice), and every character may be four bytes.
const maxMarkdown = 60_000

// maxRows is how many lines of a group a comment shows.
const maxRows = 100

// openRows is how many rows of a block are shown without unfolding.
const openRows = 12

// Markdown writes a report as a comment for a pull request. Long lists are folded, and what
// does not fit is left out and counted.
func Markdown(w io.Writer, r *Report) error {
	var b strings.Builder
	fmt.Fprintf(&b, "## %s\n\n**%s**\n\n", escapeMarkdown(r.title()), escapeMarkdown(r.Headline()))
	const reserve = 600
	left := 0
	for _, g := range r.Groups() {
		fmt.Fprintf(&b, "### %s\n\n", escapeMarkdown(g.Title))
		folded := g.Name == GroupRest || g.Name == GroupReprint && len(g.Lines) > openRows
		if folded {
			fmt.Fprintf(&b, "<details><summary>%s</summary>\n\n", english.Count(len(g.Lines), "line", "lines"))
		}
		for i, line := range g.Lines {
			line = "- " + escapeMarkdown(line) + "\n"
			if b.Len()+len(line) > maxMarkdown/2 || i == maxRows {
				fmt.Fprintf(&b, "- and %d more, which do not fit here\n", len(g.Lines)-i)
				break
			}
			b.WriteString(line)
		}
		b.WriteString("\n")
		if folded {
			b.WriteString("</details>\n\n")
		}
	}
	items := slices.DeleteFunc(r.items(), func(it item) bool { return !it.alone() })
	for _, item := range items {
		text := markdownOf(item)
		if b.Len()+len(text) > maxMarkdown-reserve {
			left++
			continue
		}
		b.WriteString(text)
	}
	if left > 0 {
		fmt.Fprintf(&b, "\n%d more are not shown because of the length limit of a comment; `sewable review` shows them all.\n", left)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func markdownOf(it item) string {
	var b strings.Builder
	rows, parts := 0, it.parts()
	for _, p := range parts {
		rows += len(p.Rows)
	}
	fmt.Fprintf(&b, "\n### %s\n\n", escapeMarkdown(it.name))
	if it.where != "" {
		fmt.Fprintf(&b, "%s\n\n", escapeMarkdown(it.where))
	}
	folded := rows > openRows
	if folded {
		fmt.Fprintf(&b, "<details><summary>%d lines of details</summary>\n\n", rows)
	}
	for _, p := range parts {
		fmt.Fprintf(&b, "**%s**\n\n", escapeMarkdown(p.Title))
		if p.Head != nil {
			row := func(cells []string) {
				for _, c := range cells {
					b.WriteString("| " + escapeMarkdown(c) + " ")
				}
				b.WriteString("|\n")
			}
			row(p.Head)
			b.WriteString(strings.Repeat("| --- ", len(p.Head)) + "|\n")
			for _, cells := range p.Rows {
				row(cells)
			}
		} else {
			for _, cells := range p.Rows {
				fmt.Fprintf(&b, "- %s\n", escapeMarkdown(cells[0]))
			}
		}
		b.WriteString("\n")
	}
	if folded {
		b.WriteString("</details>\n")
	}
	return b.String()
}

// escapeMarkdown makes text that stands for itself in GitHub Flavored Markdown: punctuation is
// escaped by a backslash (CommonMark 0.31, 2.4), what HTML knows by an entity. A space of no width
// stands behind @ and #, since hosts look for names and numbers in what the page says in the
// end, and would call people and link to things (common practice).
func escapeMarkdown(s string) string {
	var b strings.Builder
	for _, r := range output.Plain(s) {
		switch {
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '&':
			b.WriteString("&amp;")
		case r == '@' || r == '#':
			fmt.Fprintf(&b, "&#%d;&#8203;", r)
		case strings.ContainsRune("\\`*_{}[]|~$!", r):
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == utf8.RuneError:
			b.WriteRune('\ufffd')
		default:
			b.WriteRune(r)
		}
	}
	// An address would become a link.
	return strings.NewReplacer("://", "&#58;//", "www.", "www&#46;").Replace(b.String())
}

package review

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"sewable/lint/output"
)

// maxMarkdown is how long a comment is at most: what hosts of repositories take is
// 65,536 characters and more (common practice), and every character may be four bytes.
const maxMarkdown = 60_000

// openRows is how many rows of a block are shown without unfolding.
const openRows = 12

// Markdown writes a report as a comment for a pull request. Long lists are folded, and what
// does not fit is left out and counted.
func Markdown(w io.Writer, r *Report) error {
	var b strings.Builder
	fmt.Fprintf(&b, "## %s\n\n**%s**\n\n", escapeMarkdown(r.title()), escapeMarkdown(r.Headline()))
	items := r.items()
	const reserve = 600
	left := 0
	for _, item := range items {
		line := fmt.Sprintf("- **%s**: %s\n", escapeMarkdown(item.name), escapeMarkdown(item.brief()))
		if b.Len()+len(line) > maxMarkdown/2 {
			left++
			continue
		}
		b.WriteString(line)
	}
	if left > 0 {
		fmt.Fprintf(&b, "- and %d more, which do not fit here\n", left)
	}
	for _, s := range r.Asides() {
		if s = "\n" + escapeMarkdown(s) + "\n"; b.Len()+len(s) < maxMarkdown-reserve {
			b.WriteString(s)
		}
	}
	left = 0
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
	rows := 0
	for _, p := range it.parts {
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
	for _, p := range it.parts {
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

package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/muesli/termenv"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
	"sewable/lang/draw/term"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/seams"
)

// A planAnswer is one way to add the seams that a drawing lacks.
type planAnswer struct {
	Sections  int        `json:"sections"`
	Patches   int        `json:"patches"`
	Split     []string   `json:"split"` // patches of the drawing, no background, that are divided
	Seams     []planSeam `json:"seams"`
	Lines     int        `json:"lines"` // that the seams lie on
	Narrowest string     `json:"narrowest"`
	Sharpest  float64    `json:"sharpest"` // degrees
	Taken     bool       `json:"taken"`

	says string
}

type planSeam struct {
	From string `json:"from"`
	To   string `json:"to"`
}

// added says which seams were added, or why none help.
func (w planWords) added(out *blockPlan, p *edit.Planned) {
	x := p.Added
	out.Background = x.Background
	name := func(shape int) string { return w.shape(x.Shapes[shape]) }
	names := func(shapes []int) []string {
		var words []string
		for _, n := range shapes {
			words = append(words, name(n))
		}
		return words
	}
	for i, a := range x.Result.Answers {
		s := a.Score
		one := planAnswer{Sections: s.Sections, Patches: s.Patches, Split: append([]string{}, names(a.Split)...), Seams: []planSeam{}, Lines: s.Lines,
			Narrowest: geom.Format(s.Narrowest, w.unit), Sharpest: s.Sharpest, Taken: i == x.Taken}
		for _, line := range a.Seams {
			from, to := w.ends(line)
			one.Seams = append(one.Seams, planSeam{from, to})
		}
		say := []string{fmt.Sprintf("%s in %s", english.Count(s.Patches, "patch", "patches"), english.Count(s.Sections, "section", "sections"))}
		if n := len(a.Seams); n > 0 {
			say = append(say, fmt.Sprintf("adds %s, %s in all", english.Count(n, "seam", "seams"), w.ruler(s.Length, geom.Nearest)))
		} else {
			say = append(say, "adds no seam")
		}
		if s.Splits > 0 {
			say = append(say, fmt.Sprintf("splits %s, which makes %s", english.List(one.Split), english.Count(s.Splits, "more patch", "more patches")))
		}
		say = append(say, fmt.Sprintf("narrowest patch %s, sharpest corner %.0f°", w.ruler(s.Narrowest, geom.Down), s.Sharpest))
		one.says = strings.Join(say, "; ")
		out.Answers = append(out.Answers, one)
	}
	if len(out.Answers) > 0 {
		for _, n := range x.Notched {
			out.Remarks = append(out.Remarks, fmt.Sprintf("%s is split whatever is added: it has a notch, and no finished patch has one", name(n)))
		}
	}
	w.nudges(out, x)
	switch {
	case len(out.Answers) == 0:
		w.hopeless(out, x)
	case x.Exhausted:
		out.sure = "The search is complete: no seams along the lines of the drawing, or between its motifs, do better with as few lines or one more."
	case x.Stopped:
		out.sure = fmt.Sprintf("The search was stopped by --time after %d ways to add seams. No answer adds seams on fewer than %s.", x.States, english.Count(x.Least, "line", "lines"))
	default:
		out.sure = fmt.Sprintf("The search ended after %d ways to add seams; there are more. No answer adds seams on fewer than %s.", x.States, english.Count(x.Least, "line", "lines"))
	}
}

// ruler is a length as a ruler shows it; one under its finest mark is exact.
func (w planWords) ruler(length float64, way geom.Rounding) string {
	if mark := geom.Mark(w.unit); length >= mark {
		length = geom.Round(length, mark, way)
	}
	return geom.Format(length, w.unit)
}

// nudges say which corners to move so that fewer seams do.
func (w planWords) nudges(out *blockPlan, x *edit.Added) {
	for _, n := range x.Nudges {
		out.Remarks = append(out.Remarks, fmt.Sprintf("move the corner at %s by %s to %s, and %s become %s", w.at(n.From), w.ruler(n.From.Dist(n.To), geom.Nearest), geom.FormatPoint(n.To, w.unit),
			english.Count(n.Before, "seam", "seams"), english.Count(n.After, "seam", "seams")))
	}
}

// hopeless says why no seams help.
func (w planWords) hopeless(out *blockPlan, x *edit.Added) {
	for _, c := range x.Hopeless {
		var around, whole []string
		for _, n := range c.Shapes {
			around = append(around, w.shape(x.Shapes[n]))
			if slices.Contains(w.of.Add.Whole, x.Shapes[n].Fabric) {
				whole = append(whole, w.shape(x.Shapes[n]))
			}
		}
		out.Remarks = append(out.Remarks, fmt.Sprintf("the corner at %s, between %s, needs a seam straight through it, and each one would split %s, which --whole keeps whole",
			w.at(c.At), english.List(around), english.Choice(whole)))
	}
	if len(x.Hopeless) == 0 {
		say := "no seams along its lines make it sewable"
		if len(w.of.Add.Whole) > 0 {
			say += fmt.Sprintf(" with %s kept whole", english.List(w.of.Add.Whole))
		}
		out.Remarks = append(out.Remarks, say)
	}
}

// shape names a patch of a drawing by its fabric and a place in it.
func (w planWords) shape(x *edit.DrawnPatch) string {
	if len(x.Corners) < 3 {
		return x.Fabric
	}
	return x.Fabric + " at " + w.at(x.Corners.InteriorPoint())
}

// answers writes them for people.
func (p blockPlan) answers(out io.Writer) {
	if len(p.Answers) == 0 {
		return
	}
	fmt.Fprintf(out, "  Seams have to be added. Background: %s (--background names others).\n", english.List(p.Background))
	for i, a := range p.Answers {
		taken := ""
		if a.Taken {
			taken = ", taken here"
		}
		fmt.Fprintf(out, "  Answer %d%s: %s\n", i+1, taken, a.says)
		if a.Taken {
			for _, s := range a.Seams {
				fmt.Fprintf(out, "    seam from %s to %s\n", s.From, s.To)
			}
		}
	}
	fmt.Fprintf(out, "  %s\n", p.sure)
	if len(p.Answers) > 1 {
		fmt.Fprintln(out, "  --take 2 takes the second answer, and so on.")
	}
}

// answerPictures are the answers as blocks, the seams that are added lit.
func answerPictures(f *block.File, b *block.Block, x *edit.Added) []*ink.Drawing {
	var out []*ink.Drawing
	at := slices.Index(f.Blocks, b)
	for i, p := range x.Answers {
		after := f.With(edit.Apply(f.Source.Text, p.Edits))
		if len(after.Blocks) != len(f.Blocks) {
			continue
		}
		d := draw.Block(sew.Analyse(after.Blocks[at]), draw.Options{Size: 300, Labels: draw.PatchLabels})
		d.Title = fmt.Sprintf("%d: %s", i+1, scoreWords(x.Result.Answers[i].Score))
		out = append(out, d)
	}
	return out
}

func scoreWords(s seams.Score) string {
	return fmt.Sprintf("%s, %s", english.Count(s.Sections, "section", "sections"), english.Count(s.Patches, "patch", "patches"))
}

// draw shows the answers side by side.
func (p blockPlan) draw(s streams) error {
	const gap, narrow, wide = 2, 16, 30
	if len(p.pictures) == 0 {
		return nil
	}
	style := styleOf(s.raw.out)
	width := 100
	if style.Width > 0 {
		width = style.Width
	}
	columns := min(wide, max(narrow, (width-gap*(len(p.pictures)-1))/len(p.pictures)))
	abreast := max(1, (width+gap)/(columns+gap))
	for first := 0; first < len(p.pictures); first += abreast {
		var rows []string
		for i, d := range p.pictures[first:min(first+abreast, len(p.pictures))] {
			lines := strings.Split(strings.TrimRight(term.Render(d, term.Options{Columns: columns, Profile: style.Profile}), "\n"), "\n")
			lines = append([]string{fmt.Sprintf("Answer %d", first+i+1)}, lines...)
			for k, l := range lines {
				if k == len(rows) {
					rows = append(rows, "")
				}
				pad := i*(columns+gap) - shownWidth(rows[k])
				rows[k] += strings.Repeat(" ", max(0, pad)) + l
			}
		}
		for _, r := range rows {
			if _, err := fmt.Fprintln(s.raw.out, strings.TrimRight(r, " ")); err != nil {
				return err
			}
		}
	}
	return nil
}

// shownWidth is how many columns a line takes, without its sequences for color.
func shownWidth(line string) int {
	n := 0
	for len(line) > 0 {
		if strings.HasPrefix(line, termenv.CSI) {
			if i := strings.IndexByte(line, 'm'); i > 0 {
				line = line[i+1:]
				continue
			}
		}
		_, size := utf8.DecodeRuneInString(line)
		n, line = n+1, line[size:]
	}
	return n
}

// writePictures draws the answers of plans into a file.
func writePictures(path string, plans []blockPlan) error {
	var all []*ink.Drawing
	for _, p := range plans {
		all = append(all, p.pictures...)
	}
	if len(all) == 0 {
		return errors.New("--pictures: no seams were added, so there are no answers to draw; `sewable draw` draws the block")
	}
	var out bytes.Buffer
	if err := svg.Write(&out, draw.Album(all), svg.Options{}); err != nil {
		return err
	}
	return writeBytes(path, out.Bytes())
}

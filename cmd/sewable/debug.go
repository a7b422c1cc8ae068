package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strings"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

type debugCmd struct {
	What string `arg:"" enum:"tokens,tree,model,division" help:"tokens, tree, model or division."`
	File string `arg:"" help:"The file, or - for standard input."`
}

// Run shows what a file is read as, at one of four stages.
func (c debugCmd) Run(ctx context.Context, s streams) error {
	gate := new(files.Gate)
	path, text := c.File, ""
	var err error
	if path == "-" {
		path = "stdin.block"
		text, err = readStdin(ctx, s)
	} else {
		text, err = readNamed(gate, path)
	}
	if err != nil {
		return err
	}
	out := bufio.NewWriter(s.out)
	file := source.New(path, text)
	switch c.What {
	case "tokens":
		debugTokens(out, file)
	case "tree":
		tree := syntax.Parse(file)
		debugItems(out, tree, tree.Items, 0)
		for _, e := range tree.Errors {
			fmt.Fprintf(out, "%s %s: %s; %s\n", file.Position(e.At.Start), e.Kind, e.Message, e.Detail)
		}
	case "model":
		debugModel(out, block.NewLoader(syntax.NewReader(), gate.Block).OpenText(path, text))
	case "division":
		debugDivisions(out, block.NewLoader(syntax.NewReader(), gate.Block).OpenText(path, text))
	}
	return out.Flush()
}

func debugTokens(w io.Writer, f *source.File) {
	for _, t := range syntax.Tokens(f.Text) {
		fmt.Fprintf(w, "%-7s %-11s %s\n", f.Position(t.Start), t.Kind, t.Text)
	}
}

func debugItems(w io.Writer, t *syntax.Tree, items []*syntax.Item, depth int) {
	for _, it := range items {
		fmt.Fprintf(w, "%-7s %s%s", t.File.Position(it.Raw.Start), strings.Repeat("  ", depth), it.Kind)
		switch {
		case it.Node != nil:
			fmt.Fprintf(w, " %s", syntax.Dump(it.Node))
		case it.Kind == syntax.Unreadable:
			fmt.Fprintf(w, " %q", t.File.Text[it.Stmt.Start:it.Stmt.End])
		}
		if it.Comment.Len() > 0 {
			fmt.Fprintf(w, " %s", t.File.Text[it.Comment.Start:it.Comment.End])
		}
		fmt.Fprintln(w)
		debugItems(w, t, it.Body, depth+1)
		if it.Close != nil {
			debugItems(w, t, []*syntax.Item{it.Close}, depth)
		}
	}
}

func debugModel(w io.Writer, f *block.File) {
	fmt.Fprintf(w, "file %s unit %s partial %t\n", f.Source.Path, f.Unit, f.Partial)
	for _, u := range f.Uses {
		fmt.Fprintf(w, "use %q found %t\n", u.Path, u.File != nil)
	}
	for _, x := range f.Fabrics {
		fmt.Fprintf(w, "fabric %s %q %s\n", x.Name, x.Title, x.Colour)
	}
	for _, b := range f.Blocks {
		fmt.Fprintf(w, "block %q %s by %s broken %t\n", b.Name, debugLength(b.Width), debugLength(b.Height), b.Broken)
		for _, s := range b.Sections {
			fmt.Fprintf(w, "  section %s outline %s broken %t", s.Name, debugPolygon(s.Outline, f.Unit), s.Broken)
			if s.CopyOf != nil {
				fmt.Fprintf(w, " copy of %s", s.CopyOf.Name)
			}
			fmt.Fprintln(w)
			for _, p := range s.Patches {
				fabric := "?"
				if p.Fabric != nil {
					fabric = p.Fabric.Name
				}
				fmt.Fprintf(w, "    patch %d %s %s\n", p.Number, fabric, debugPolygon(p.Corners, f.Unit))
			}
			for _, n := range s.Notches {
				fmt.Fprintf(w, "    notch %s %s\n", n.Name, geom.FormatPoint(n.Point, f.Unit))
			}
		}
		for _, j := range b.Joins {
			fmt.Fprintf(w, "  join %s to %s kind %d\n", debugName(j.A), debugName(j.B), j.Kind)
		}
		for _, n := range b.Notches {
			fmt.Fprintf(w, "  notch %s %s\n", n.Name, geom.FormatPoint(n.Point, f.Unit))
		}
	}
	for _, x := range f.Settings {
		fmt.Fprintf(w, "setting %q %d by %d, %d cells in %d rows of their own\n", x.Name, x.Rows, x.Columns, len(x.Cells), len(x.OwnRows))
	}
	for _, p := range f.Problems {
		fmt.Fprintf(w, "%s problem kind %d cause %d name %q near %q\n", f.Source.Position(p.At.Start), p.Kind, p.Cause, p.Name, p.Near)
	}
}

func debugDivisions(w io.Writer, f *block.File) {
	for _, b := range f.Blocks {
		for _, s := range b.Sections {
			fmt.Fprintf(w, "block %q section %s\n", b.Name, s.Name)
			if s.Broken {
				fmt.Fprintln(w, "  broken")
				continue
			}
			parts := make([]geom.Polygon, len(s.Patches))
			for i, p := range s.Patches {
				parts[i] = p.Corners
			}
			d := sew.Divide(s.Outline, parts)
			fmt.Fprintf(w, "  %d corners\n", d.Corners())
			for i, p := range s.Patches {
				var near []int
				for _, q := range d.Neighbours(i) {
					near = append(near, s.Patches[q].Number)
				}
				fmt.Fprintf(w, "  patch %d %s beside %v\n", p.Number, debugPolygon(d.Part(i), f.Unit), near)
			}
			for _, flaw := range d.Flaws() {
				fmt.Fprintf(w, "  %s %s at %s\n", flaw.Kind, geom.FormatArea(flaw.Area, f.Unit), geom.FormatPlace(flaw.At, f.Unit))
			}
		}
	}
}

func debugPolygon(p geom.Polygon, u geom.Unit) string {
	words := make([]string, len(p))
	for i, c := range p {
		words[i] = geom.FormatPoint(c, u)
	}
	return strings.Join(words, " ")
}

func debugLength(n geom.Num) string { return geom.FormatExact(n.Float64(), geom.Inches) }

func debugName(s *block.Section) string {
	if s == nil {
		return "?"
	}
	return s.Name
}

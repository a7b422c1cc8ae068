package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/muesli/termenv"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/pdf"
	"sewable/lang/draw/png"
	"sewable/lang/draw/svg"
	"sewable/lang/draw/term"
	"sewable/lang/files"
	"sewable/lang/near"
	"sewable/lang/sew"
	"sewable/lint"
	"sewable/lint/marks"
	"sewable/lint/output"
)

type drawCmd struct {
	Path      string   `arg:"" name:"file" help:"A file."`
	Block     []string `placeholder:"TITLE" help:"Only this block. Repeatable."`
	Section   []string `placeholder:"NAME" help:"Only this section. Repeatable."`
	Setting   []string `placeholder:"TITLE" help:"Only this setting. Repeatable."`
	Out       string   `short:"o" placeholder:"FILE" help:"File to write; its name ends in .svg, .png or .pdf. Default: draw in the terminal."`
	Text      bool     `help:"Draw in the terminal."`
	Sewn      bool     `xor:"side" help:"Show the front of the block (the default)."`
	Printed   bool     `xor:"side" help:"Show the printed side of the foundation: mirrored."`
	Colourway string   `name:"colorway" aliases:"colourway" placeholder:"NAME" help:"Use this colorway."`
	sizeFlag
	Grey     bool   `name:"gray" aliases:"grey" help:"Grays and hatching, readable without color."`
	Key      bool   `help:"List the fabrics below the drawing."`
	Findings bool   `help:"Mark the findings on the drawing and list them below."`
	Labels   string `enum:"patches,sections,none" default:"patches" help:"Labels in the drawing: patches, sections or none."`
	Width    int    `default:"1200" help:"Width of a PNG in pixels."`
	Columns  int    `default:"0" help:"Width of a terminal drawing in characters. Default: the terminal's, at most 80."`
	Config   string `placeholder:"FILE" help:"Use only this settings file."`
}

// The bounds of what can be asked for.
const (
	maxDots     = 16_384
	leastColumn = 10
	maxColumns  = 500
)

// Run draws what is asked for: what is named, else a file's blocks, or, when it has
// none, its settings.
func (c drawCmd) Run(ctx context.Context, s streams) error {
	format := strings.ToLower(strings.TrimPrefix(filepath.Ext(c.Out), "."))
	switch {
	case c.Out != "" && !slices.Contains([]string{"svg", "png", "pdf"}, format):
		return fmt.Errorf("-o %s: the name must end in .svg, .png or .pdf", c.Out)
	case c.Out != "" && c.Text:
		return errors.New("--text draws in the terminal and -o writes a file; use one of them")
	case c.Out == "" && c.Key:
		return errors.New("--key lists the fabrics in a file, not in the terminal; add -o, such as -o block.svg")
	case c.Out != "" && c.Columns != 0:
		return errors.New("--columns is for drawings in the terminal; --width sets the pixels of a PNG")
	case c.Width < 1 || c.Width > maxDots:
		return fmt.Errorf("--width is %d; it must be from 1 to %d", c.Width, maxDots)
	case c.Columns != 0 && (c.Columns < leastColumn || c.Columns > maxColumns):
		return fmt.Errorf("--columns is %d; it must be from %d to %d", c.Columns, leastColumn, maxColumns)
	}
	o, err := lintOptions(c.Config)
	if err != nil {
		return err
	}
	f, err := open(o, c.Path)
	if err != nil {
		return err
	}
	var found []lint.Finding
	if c.Findings {
		r, err := lint.Run(ctx, []string{f.Source.Path}, o)
		if err != nil {
			return err
		}
		found = r.Findings
	}
	pictures, err := c.pictures(f, found)
	if err != nil {
		return err
	}
	if c.Out == "" {
		return c.show(s, pictures)
	}
	var out bytes.Buffer
	switch format {
	case "svg":
		err = svg.Write(&out, draw.Album(pictures), svg.Options{})
	case "png":
		s.sayBoxes(pictures)
		err = png.Write(&out, draw.Album(pictures), c.Width)
	case "pdf":
		s.sayBoxes(pictures)
		err = pdf.Write(&out, pictures, pdf.Options{Title: pictures[0].Title})
	}
	if err != nil {
		return err
	}
	return writeBytes(c.Out, out.Bytes())
}

// pictures are the drawings that are asked for.
func (c drawCmd) pictures(f *block.File, found []lint.Finding) ([]*ink.Drawing, error) {
	var out []*ink.Drawing
	named := len(c.Block)+len(c.Setting)+len(c.Section) > 0
	blocks, err := c.blocks(f)
	if err == nil {
		blocks, err = c.sizeFlag.of(blocks)
	}
	if err != nil {
		return nil, err
	}
	for i, b := range blocks {
		sewing := sew.Analyse(b)
		o := c.options()
		o.Findings = marked(b, nil, found, i == 0)
		if c.Colourway != "" {
			if o.Colourway = block.ColourwayOf(b, c.Colourway); o.Colourway == nil {
				return nil, noColourway(b, c.Colourway)
			}
		}
		if len(c.Section) == 0 {
			out = append(out, draw.Block(sewing, o))
			continue
		}
		for _, name := range c.Section {
			i := slices.IndexFunc(sewing.Sections, func(s *sew.Section) bool { return s.Of.Name == name })
			if i < 0 {
				var known []string
				for _, s := range sewing.Sections {
					known = append(known, s.Of.Name)
				}
				return nil, fmt.Errorf("%q has no section %s%s", b.Name, name, lint.DidYouMean(near.Nearest(name, known)))
			}
			o.Findings = marked(b, sewing.Sections[i], found, false)
			out = append(out, draw.Section(sewing.Sections[i], o))
		}
	}
	if c.Colourway != "" && (len(c.Setting) > 0 || len(blocks) == 0) {
		return nil, errors.New("--colorway is for blocks; a setting names its own colorways in `fill`")
	}
	if c.Size != "" && (len(c.Setting) > 0 || len(blocks) == 0) {
		return nil, errSizeOfSetting
	}
	var known []string
	drawn := make(map[string]bool)
	for _, set := range f.Settings {
		known = append(known, set.Name)
		if !slices.Contains(c.Setting, set.Name) && (named || len(f.Blocks) > 0) {
			continue
		}
		d, err := draw.Setting(set, c.options())
		if err != nil {
			return nil, err
		}
		out, drawn[set.Name] = append(out, d), true
	}
	for _, name := range c.Setting {
		if !drawn[name] {
			return nil, fmt.Errorf("there is no setting called %q%s", name, lint.DidYouMean(near.Nearest(name, known)))
		}
	}
	if len(out) == 0 {
		return nil, noBlock([]*block.File{f}, "there is nothing to draw in "+f.Source.Path)
	}
	return out, nil
}

// blocks are the blocks that are asked for.
func (c drawCmd) blocks(f *block.File) ([]*block.Block, error) {
	if len(c.Block) == 0 {
		switch {
		case len(c.Setting) > 0:
			return nil, nil
		case len(c.Section) > 0 && len(f.Blocks) != 1:
			return nil, errors.New("--section needs --block to say which block it is in")
		}
		return f.Blocks, nil
	}
	var out []*block.Block
	var known []string
	for _, b := range reachable(f) {
		known = append(known, b.Name)
	}
	for _, name := range c.Block {
		i := slices.Index(known, name)
		if i < 0 {
			return nil, fmt.Errorf("there is no block called %q%s", name, lint.DidYouMean(near.Nearest(name, known)))
		}
		out = append(out, reachable(f)[i])
	}
	return out, nil
}

func noColourway(b *block.Block, name string) error {
	var known []string
	for _, c := range block.Colourways(b) {
		known = append(known, c.Name)
	}
	return fmt.Errorf("%q has no colorway %s%s", b.Name, name, lint.DidYouMean(near.Nearest(name, known)))
}

// options are how things are drawn.
func (c drawCmd) options() draw.Options {
	o := draw.Options{Grey: c.Grey, Key: c.Key}
	if c.Printed {
		o.View = draw.Printed
	}
	o.Labels = map[string]draw.Labels{"patches": draw.PatchLabels, "sections": draw.SectionLabels, "none": draw.NoLabels}[c.Labels]
	return o
}

// marked are the findings in a block, and, with the first block of a file, the errors of
// the file itself. Given a section, those that are in it or lie on it.
func marked(b *block.Block, section *sew.Section, found []lint.Finding, first bool) []draw.Finding {
	var out []draw.Finding
	for _, f := range found {
		if !f.IsOf(b) && !(first && f.Block == "" && f.Level == lint.Error) {
			continue
		}
		if mark, ok := marks.In(section, f.In(b)); ok {
			out = append(out, mark)
		}
	}
	return out
}

// show draws in the terminal, in the colours it has.
func (c drawCmd) show(s streams, pictures []*ink.Drawing) error {
	style := styleOf(s.raw.out)
	columns := c.Columns
	if columns == 0 {
		columns = 80
		if style.Width > 0 {
			columns = min(columns, style.Width)
		}
	}
	for i, p := range pictures {
		head := ""
		if len(pictures) > 1 {
			head = output.Plain(p.Title) + "\n"
			if i > 0 {
				head = "\n" + head
			}
		}
		text := term.Render(p, term.Options{Columns: columns, Profile: style.Profile})
		if c.Printed && style.Profile == termenv.Ascii && i == 0 {
			head += "(mirrored)\n"
		}
		if _, err := fmt.Fprint(s.raw.out, head, text); err != nil {
			return err
		}
	}
	return nil
}

// sayBoxes says which letters of drawings are shown as boxes.
func (s streams) sayBoxes(drawings []*ink.Drawing) {
	if missing := ink.Missing(drawings...); missing != "" {
		fmt.Fprintf(s.err, "sewable: no font has these characters, so each is shown as a box: %s\n", missing)
	}
}

// writeText writes a file that is named on the command line, whole or not at all.
func writeText(path, text string) error { return writeBytes(path, []byte(text)) }

func writeBytes(path string, content []byte) error {
	return files.Write(path, func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
}

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

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/guide"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/pdf"
	"sewable/lang/draw/sheet"
	"sewable/lang/geom"
	"sewable/lang/near"
	"sewable/lang/sew"
	"sewable/lint"
	"sewable/lint/output"
)

type printCmd struct {
	Paths     []string `arg:"" name:"file" help:"Files or folders."`
	Out       string   `short:"o" required:"" placeholder:"FILE" help:"File to write; its name ends in .pdf, or for a guide in .html."`
	Block     []string `placeholder:"TITLE" help:"Only this block. Repeatable."`
	Colourway string   `name:"colorway" aliases:"colourway" placeholder:"NAME" help:"Use this colorway."`
	sizeFlag
	Copies int    `default:"1" help:"Number of each block."`
	Paper  string `enum:"letter,a4," default:"" help:"letter or a4. Default: as in sewable.toml."`
	Margin string `placeholder:"LENGTH" help:"Printer margin, such as \"12 mm\". Default: as in sewable.toml."`
	Bare   bool   `help:"Only the foundations, without the first pages."`
	Marks  bool   `help:"Mark on the foundations where off-center pieces go."`
	Guide  bool   `help:"Instead, print a step-by-step sewing guide."`
	Steps  string `enum:"full,short," default:"" help:"Steps of the guide: full (every move, the default) or short (one picture a step)."`
	forceFlag
	Config string `placeholder:"FILE" help:"Use only this settings file."`
}

// Run lints what is to be printed, then prints it. A file without blocks of its own is
// printed as its settings need it.
func (c printCmd) Run(ctx context.Context, s streams) error {
	if err := c.check(); err != nil {
		return err
	}
	o, err := lintOptions(c.Config)
	if err != nil {
		return err
	}
	p := &printing{printCmd: c, o: o}
	if err := p.open(ctx); err != nil {
		return err
	}
	if err := p.lint(ctx, s); err != nil {
		return err
	}
	patterns, err := p.patterns()
	if err == nil {
		err = p.write(s, patterns)
	}
	var failed *notWritten
	if err != nil && !errors.As(err, &failed) {
		// The blocks are at fault.
		fmt.Fprintf(s.err, "sewable: %s\n", strings.ReplaceAll(err.Error(), "\n", "\nsewable: "))
		return errFound
	}
	return err
}

func (c printCmd) check() error {
	ext := strings.ToLower(filepath.Ext(c.Out))
	switch {
	case ext != ".pdf" && !(c.Guide && ext == ".html"):
		if c.Guide {
			return fmt.Errorf("-o %s: the name of a guide must end in .pdf or .html", c.Out)
		}
		return fmt.Errorf("-o %s: the name must end in .pdf", c.Out)
	case c.Steps != "" && !c.Guide:
		return errors.New("--steps needs --guide")
	case c.Guide && (c.Marks || c.Bare):
		return errors.New("--marks and --bare are for foundations; remove --guide")
	case c.Copies < 1 || c.Copies > sheet.MaxCopies:
		return fmt.Errorf("--copies is %d; it must be from 1 to %d", c.Copies, sheet.MaxCopies)
	}
	if c.Margin != "" {
		if n, ok := lint.ParseLength(c.Margin); !ok || n.Sign() < 0 || n.Float64() > 3*geom.Inch {
			return fmt.Errorf("--margin needs a length with its unit, up to 3 in, such as \"12 mm\" or \"1/2 in\", not %q", c.Margin)
		}
	}
	return nil
}

// printing is what is to be printed.
type printing struct {
	printCmd
	o       lint.Options
	wanted  []wanted
	known   map[wantedKey]int // in wanted
	paths   []string          // of the files with what is wanted
	titles  map[string]bool
	setting *lint.Settings // those of the first file
	found   []lint.Finding // at error level, accepted or not
}

// wanted is so many of a block.
type wanted struct {
	block     *block.Block
	colourway *block.Colourway
	copies    int
	at        cloth.Placed // of a setting: how it lies there
	numbers   []int        // of a setting: the places that it is for, as one reads them
	of        *block.Setting
}

// wantedKey is what makes two blocks to print one: the same sheets serve both.
type wantedKey struct {
	block      *block.Block
	of         *block.Setting
	colourway  *block.Colourway
	mirrored   bool
	up, turned float64
}

func (p *printing) open(ctx context.Context) error {
	paths, err := lint.FindFiles(p.Paths, p.o.Config)
	if err != nil {
		return err
	}
	p.titles, p.known = make(map[string]bool), make(map[wantedKey]int)
	var known []string
	var read []*block.File
	var drawn []*block.Block
	for i, path := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		f, err := p.o.Loader.Open(path)
		if err != nil {
			return err
		}
		read = append(read, f)
		if i == 0 {
			p.setting = p.o.Config.For(f.Source.Path).For(f.Unit)
		}
		for _, b := range f.Blocks {
			known = append(known, b.Name)
			if len(p.Block) == 0 || slices.Contains(p.Block, b.Name) {
				p.titles[b.Name] = true
				drawn = append(drawn, b)
			}
		}
		if len(f.Blocks) == 0 && len(p.Block) == 0 && len(paths) == 1 {
			for _, set := range f.Settings {
				if err := p.addSetting(set); err != nil {
					return err
				}
			}
		}
	}
	for _, name := range p.Block {
		if !p.titles[name] {
			return fmt.Errorf("there is no block called %q%s", name, lint.DidYouMean(near.Nearest(name, known)))
		}
	}
	sized, err := p.sizeFlag.of(drawn)
	if err != nil {
		return err
	}
	for _, b := range sized {
		p.add(wanted{block: b, copies: p.Copies})
	}
	if len(p.wanted) == 0 {
		return noBlock(read, "there is no block to print")
	}
	if p.Colourway != "" {
		for i, w := range p.wanted {
			if p.wanted[i].colourway = block.ColourwayOf(w.block, p.Colourway); p.wanted[i].colourway == nil {
				return noColourway(w.block, p.Colourway)
			}
		}
	}
	return nil
}

func (p *printing) add(w wanted) {
	key := wantedKey{w.block, w.of, w.colourway, w.at.Mirrored, w.at.Up, w.at.Turned}
	if i, ok := p.known[key]; ok {
		p.wanted[i].copies += w.copies
		p.wanted[i].numbers = append(p.wanted[i].numbers, w.numbers...)
		return
	}
	p.known[key] = len(p.wanted)
	p.wanted = append(p.wanted, w)
	if path := w.block.File.Source.Path; !slices.Contains(p.paths, path) {
		p.paths = append(p.paths, path)
	}
}

// addSetting adds the blocks of a setting, mirrored ones and colourways apart, and turned ones where
// a print is kept upright.
func (p *printing) addSetting(set *block.Setting) error {
	if p.Colourway != "" {
		return errors.New("--colorway is for blocks; a setting names its own colorways in `fill`")
	}
	if p.Size != "" {
		return errSizeOfSetting
	}
	quilt, err := cloth.QuiltOf(set)
	if err != nil {
		return err
	}
	if path := set.At.File.Path; !slices.Contains(p.paths, path) {
		p.paths = append(p.paths, path)
	}
	p.titles[set.Name] = true
	for n, i := range quilt.Where {
		at := quilt.Blocks[i]
		if !at.Directional() {
			at.Turned, at.Up = 0, 0
		}
		p.add(wanted{block: at.Block, colourway: at.Colourway, copies: p.Copies, at: at, numbers: []int{n + 1}, of: set})
	}
	return nil
}

// lint says what is wrong at error level with what is to be printed, and ends
// the command unless it is to be printed by force.
func (p *printing) lint(ctx context.Context, s streams) error {
	o := p.o
	o.Accepted = true
	r, err := lint.Run(ctx, p.paths, o)
	if err != nil {
		return err
	}
	if len(r.Failures) > 0 {
		return r.Failures[0]
	}
	r.Findings = slices.DeleteFunc(r.Findings, func(f lint.Finding) bool {
		return f.Level < lint.Error || f.Block != "" && !slices.ContainsFunc(p.wanted, func(w wanted) bool {
			return f.IsOf(w.block) || w.of != nil && f.Block == w.of.Name
		})
	})
	p.found = slices.Clone(r.Findings)
	r.Findings = slices.DeleteFunc(r.Findings, func(f lint.Finding) bool { return f.Accepted != "" })
	if len(r.Findings) == 0 {
		return nil
	}
	if err := s.why(r); err != nil || p.Force {
		return err
	}
	fmt.Fprintln(s.err, "sewable: nothing printed: fix the errors above, or use --force, which marks every sheet \"cannot be sewn\"")
	return errFound
}

// remarks are what the pages of a block say of its findings: why it cannot be sewn, and what is accepted.
func (p *printing) remarks(b *block.Block) (faults, accepted []string) {
	for _, f := range p.found {
		switch {
		case !f.IsOf(b) && (f.Block != "" || f.File != b.File.Source.Path):
		case f.Accepted == "":
			faults = append(faults, output.Plain(f.Message))
		default:
			accepted = append(accepted, output.AcceptedWords(f))
		}
	}
	return faults, accepted
}

// patterns are the blocks with their cut lists.
func (p *printing) patterns() ([]sheet.Pattern, error) {
	options := func(f *block.File) cloth.Options { return p.o.Config.For(f.Source.Path).For(f.Unit).Cutting() }
	var out []sheet.Pattern
	for _, w := range p.wanted {
		unit := w.block.File.Unit
		list, err := cloth.NewList(cloth.Order{
			Blocks: []cloth.Placed{{Block: w.block, Colourway: w.colourway, Mirrored: w.at.Mirrored, Up: w.at.Up, Turned: w.at.Turned, Count: w.copies}}, Kits: 1,
		}, cloth.OrderOptions{Options: options, Unit: unit, Ruler: cloth.DefaultRuler, Squaring: cloth.DefaultSquaring(unit)})
		if err != nil && !p.Force {
			return nil, err
		}
		faults, accepted := p.remarks(w.block)
		out = append(out, sheet.Pattern{
			Block: sew.Analyse(w.block), Colourway: w.colourway, Cuts: list,
			Cloth: options(w.block.File), Copies: w.copies, Mirrored: w.at.Mirrored, Turned: w.at.Turned, Up: w.at.Up, Numbers: w.numbers, Setting: w.of, Faults: faults, Accepted: accepted,
		})
	}
	return out, nil
}

// guide is how a guide is written.
func (p *printing) guide() guide.Options { return guide.Options{Short: p.Steps == "short"} }

// how is the paper.
func (p *printing) how() sheet.Options {
	how := sheet.Options{Paper: paperOf(p.setting), Margin: p.setting.Margin.Float64(), Bare: p.Bare, Marks: p.Marks}
	for _, known := range [2]sheet.Paper{sheet.Letter, sheet.A4} {
		if p.Paper == known.Name {
			how.Paper = known
		}
	}
	if n, ok := lint.ParseLength(p.Margin); ok {
		how.Margin = n.Float64()
	}
	return how
}

// paperOf is the paper as set.
func paperOf(s *lint.Settings) sheet.Paper {
	return sheet.Paper{Name: s.Paper.Name, Width: s.Paper.Width.Float64(), Height: s.Paper.Height.Float64()}
}

// notWritten is a file that could not be written; the blocks are not at fault.
type notWritten struct{ error }

func (p *printing) write(s streams, patterns []sheet.Pattern) error {
	var out bytes.Buffer
	title := patterns[0].Block.Of.Name
	if len(patterns) > 1 {
		title = fmt.Sprintf("%d blocks", len(patterns))
	}
	if p.Guide {
		title += ", sewing guide"
	}
	if err := p.render(s, &out, patterns, title); err != nil {
		return err
	}
	if err := writeBytes(p.Out, out.Bytes()); err != nil {
		return &notWritten{err}
	}
	return nil
}

func (p *printing) render(s streams, w io.Writer, patterns []sheet.Pattern, title string) error {
	if p.Guide && strings.EqualFold(filepath.Ext(p.Out), ".html") {
		return guide.HTML(w, patterns, p.guide())
	}
	var pages []*ink.Drawing
	if p.Guide {
		for _, pattern := range patterns {
			own, err := guide.Pages(pattern, p.how(), p.guide())
			if err != nil {
				return err
			}
			pages = append(pages, own...)
		}
	} else {
		var err error
		if pages, err = sheet.Pages(patterns, p.how()); err != nil {
			return err
		}
	}
	s.sayBoxes(pages)
	return pdf.Write(w, pages, pdf.Options{Title: title})
}

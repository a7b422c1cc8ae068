package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"time"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/near"
	"sewable/lang/syntax"
	"sewable/lang/visible"
	"sewable/lint"
)

type planCmd struct {
	Path       string        `arg:"" name:"file" help:"A block file with drawings: patches without sections, or lines only."`
	Block      string        `placeholder:"TITLE" help:"Plan only this block."`
	Again      bool          `help:"Replan blocks that already have sections. Their sections and joins are discarded; titles are kept where a section stays the same."`
	Write      bool          `help:"Write the plan into the file. Without it no file is changed."`
	Out        string        `short:"o" placeholder:"FILE" help:"Write the planned file here; it must not exist yet."`
	Diff       bool          `help:"Show what would change in the file."`
	Print      bool          `help:"Print the planned file instead of the report."`
	Why        bool          `help:"Show the decisions: which seam is cut first, and what the others would cost."`
	Time       time.Duration `default:"5s" help:"Time limit for each block. Only large drawings need it."`
	Take       int           `placeholder:"N" help:"Where seams have to be added, take answer N instead of the first."`
	Background []string      `placeholder:"FABRIC" help:"These fabrics are background: their patches may be divided wherever it helps. Without it, those that take up a whole side of the block."`
	Whole      []string      `placeholder:"FABRIC" help:"Add no seam through patches of these fabrics."`
	Pictures   string        `placeholder:"FILE" help:"Draw the answers side by side into this SVG."`
	Paper      string        `enum:"letter,a4," default:"" help:"letter or a4: sections have to fit on a sheet of it. Default: as in sewable.toml."`
	Tiled      bool          `help:"Sections may be larger than a sheet: they are printed over several."`
	Snap       string        `placeholder:"LENGTH" default:"1/16 in" help:"In a block drawn in lines, line ends this close to another line are joined to it. Each one is listed."`
	Format     string        `enum:"text,json" default:"text" help:"text or json."`
	Config     string        `placeholder:"FILE" help:"Use only this settings file."`
}

// Help is what `sewable plan --help` says at length.
func (planCmd) Help() string {
	return `Divides a block that is drawn as patches without sections, or as lines only, into sections that can be sewn, with their
orders, straight joins and notches: the fewest sections, then the fewest match points and bulky intersections, then
sections of similar size. The weights are in sewable.toml. Up to about 40 patches the plan is proved to be the best, and
the same file always gives the same plan. In larger drawings --time may end the search, and then another run may find
another plan.

Where no straight seams divide a drawing, or patches lie over each other (the later ones are seen), seams are added: up to
five answers, the best first, drawn side by side; --take writes another than the first. What an answer is judged by is
weighed in sewable.toml.

Exit codes: 0 every drawing is planned, 1 one of them has no plan, 2 the run failed, 130 stopped by Ctrl-C.`
}

// maxClose is the furthest that ends are closed over.
const maxClose = 5 * geom.Millimetre

// Run plans the drawings of a file.
func (c planCmd) Run(ctx context.Context, s streams) error {
	o, unit, err := c.options()
	if err != nil {
		return err
	}
	text, err := readNamed(o.Gate(), c.Path)
	if err != nil {
		return err
	}
	loader := block.NewLoader(syntax.NewReader(), o.Gate().Block)
	path, err := filepath.Abs(c.Path)
	if err != nil {
		return err
	}
	read := func(text string) *block.File { return loader.OpenText(path, text) }
	f := read(text)
	settings := *o.For(c.Path).For(f.Unit)
	if settings.Paper, err = c.paper(settings.Paper); err != nil {
		return err
	}
	how := settings.PlanFor()
	how.Close, how.Again = unit, c.Again
	how.Add.Background, how.Add.Whole, how.Add.Take = c.Background, c.Whole, c.Take
	if c.Tiled {
		how.SheetWidth, how.SheetHeight = 0, 0
	}

	chosen, err := c.chosen(f)
	if err != nil {
		return err
	}
	var plans []blockPlan
	planned := text
	for n, i := range chosen {
		if ctx.Err() != nil {
			break
		}
		one, err := c.one(ctx, s, f, f.Blocks[i], how, settings.Paper.Name)
		if err != nil {
			return err
		}
		plans = append(plans, one)
		if len(one.edits) == 0 { // the file is as it was read
			continue
		}
		planned = edit.Apply(planned, one.edits)
		if n+1 < len(chosen) {
			f = read(planned)
		}
	}
	stopped := ctx.Err()
	if stopped != nil {
		c.Write, c.Out, planned = false, "", text
	}
	if err := c.report(s, o.Gate(), text, planned, plans); err != nil {
		return err
	}
	if stopped != nil {
		return stopped
	}
	if slices.ContainsFunc(plans, func(p blockPlan) bool { return p.Unplanned != "" }) {
		return errFound
	}
	return nil
}

// options are the settings, and how near ends are closed.
func (c planCmd) options() (*lint.Config, float64, error) {
	shown := 0
	for _, is := range []bool{c.Diff, c.Print, c.Format == "json"} {
		if is {
			shown++
		}
	}
	switch {
	case shown > 1:
		return nil, 0, errors.New("use only one of --diff, --print and --format json")
	case c.Why && (c.Diff || c.Print):
		return nil, 0, errors.New("--why is part of the report, but --diff and --print show the file instead; remove one of them")
	case c.Print && (c.Write || c.Out != ""):
		return nil, 0, errors.New("--print shows the planned file instead of writing it; remove it, or --write and -o")
	case c.Take < 0:
		return nil, 0, fmt.Errorf("--take is %d; answers count from 1", c.Take)
	case c.Pictures != "" && filepath.Ext(c.Pictures) != ".svg":
		return nil, 0, fmt.Errorf("--pictures is %q; the name must end in .svg", c.Pictures)
	case c.Write && c.Out != "":
		return nil, 0, errors.New("--write changes the file itself and -o writes another; use one of them")
	case c.Time <= 0:
		return nil, 0, fmt.Errorf("--time is %v; it must be positive, such as 5s", c.Time)
	}
	if c.Out != "" {
		if files.Exists(c.Out) {
			return nil, 0, fmt.Errorf("%s already exists. Choose another name with -o, or move it", c.Out)
		}
	}
	n, ok := lint.ParseLength(c.Snap)
	if !ok || n.Sign() < 0 || n.Float64() > maxClose {
		return nil, 0, fmt.Errorf("--snap is %q; it must be a length with its unit, up to 5 mm", c.Snap)
	}
	o, err := lintOptions(c.Config)
	return o.Config, n.Float64(), err
}

// chosen are the numbers of the blocks to plan: the one asked for, or those that are
// drawings; with --again all.
func (c planCmd) chosen(f *block.File) ([]int, error) {
	var out []int
	var names []string
	sections := 0
	for i, b := range f.Blocks {
		names = append(names, b.Name)
		switch {
		case c.Block != "" && b.Name != c.Block:
		case c.Block != "" || c.Again || len(b.Loose) > 0 || len(b.Sections) == 0:
			out = append(out, i)
		default:
			sections++
		}
	}
	switch {
	case len(out) > 0:
		return out, nil
	case c.Block != "":
		message := fmt.Sprintf("there is no block %q in %s", c.Block, c.Path)
		if n := near.Nearest(c.Block, names); n != "" {
			message += fmt.Sprintf("; did you mean %q?", n)
		}
		return nil, errors.New(message)
	case sections > 0:
		return nil, fmt.Errorf("every block in %s already has sections; --again replans them", c.Path)
	}
	return nil, noBlock([]*block.File{f}, fmt.Sprintf("there is no block in %s; `sewable lint` says what is wrong with it", c.Path))
}

// one plans a block. Only what ends the run is an error.
func (c planCmd) one(ctx context.Context, s streams, f *block.File, b *block.Block, how edit.PlanFor, paper string) (blockPlan, error) {
	limited, cancel := context.WithTimeout(ctx, c.Time)
	defer cancel()
	said := startProgress(s.raw.err, func(n int64) string { return fmt.Sprintf("%d ways to add seams tried", n) })
	how.Add.Progress = func(states, _ int) { said.reach(states) }
	p, err := edit.Plan(limited, f, b, how)
	said.stop()
	if errors.Is(err, edit.ErrTake) {
		return blockPlan{}, fmt.Errorf("--take is %d, but %q has %s", c.Take, b.Name, english.Count(len(p.Added.Answers), "answer", "answers"))
	}
	w := planWords{unit: f.Unit, of: how, path: c.Path, paper: paper}
	out := w.plan(b, p, err)
	if c.Why && p != nil && p.Plan != nil {
		out.Why = w.why(p.Plan)
		if out.paper != "" {
			out.Why = append(out.Why, out.paper)
		}
	}
	if p != nil && p.Added != nil {
		out.pictures = answerPictures(f, b, p.Added)
	}
	return out, nil
}

// paper is the paper that sections have to fit on.
func (c planCmd) paper(set lint.Paper) (lint.Paper, error) {
	if c.Paper != "" && c.Tiled {
		return set, errors.New("--tiled prints a section over several sheets, whatever the paper; use either --tiled or --paper")
	}
	for _, p := range lint.Papers {
		if p.Name == c.Paper {
			return p, nil
		}
	}
	return set, nil
}

// report says what was planned, and writes what is to be written.
func (c planCmd) report(s streams, gate *files.Gate, text, planned string, plans []blockPlan) error {
	if c.Write && planned != text {
		if err := gate.Rewrite(c.Path, text, planned, files.Block); err != nil {
			return err
		}
	}
	if c.Out != "" {
		if err := writeText(c.Out, planned); err != nil {
			return err
		}
	}
	if c.Pictures != "" {
		if err := writePictures(c.Pictures, plans); err != nil {
			return err
		}
	}
	var err error
	switch {
	case c.Print:
		if _, err = io.WriteString(s.text(), planned); err == nil {
			for _, p := range plans {
				if p.Unplanned != "" {
					p.write(s.err)
				}
			}
		}
	case c.Diff:
		err = s.diff(c.Path, " (planned)", text, planned)
	case c.Format == "json":
		err = visible.JSON(s.raw.out, plans)
	default:
		for i, p := range plans {
			if i > 0 {
				fmt.Fprintln(s.out)
			}
			p.write(s.out)
			if err := p.draw(s); err != nil {
				return err
			}
		}
	}
	if err == nil && planned != text {
		switch {
		case c.Write:
			fmt.Fprintf(s.err, "%s: written\n", visible.Text(c.Path))
		case c.Out != "":
			fmt.Fprintf(s.err, "%s: written\n", visible.Text(c.Out))
		case !c.Print && !c.Diff && c.Format == "text":
			fmt.Fprintln(s.err, "Nothing is written yet: --write puts the plan into the file, --diff shows the change, -o writes another file.")
		}
	}
	return err
}

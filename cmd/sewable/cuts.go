package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw/labels"
	"sewable/lang/draw/pdf"
	"sewable/lang/draw/sheet"
	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/near"
	"sewable/lang/sew"
	"sewable/lint"
	"sewable/lint/output"
)

type cutsCmd struct {
	Paths     []string `arg:"" name:"file" help:"Files or folders."`
	Block     []string `placeholder:"TITLE" help:"Only this block. Repeatable."`
	Setting   []string `placeholder:"TITLE" help:"Only this setting. Repeatable."`
	Colourway string   `name:"colorway" aliases:"colourway" placeholder:"NAME" help:"Cut the blocks in this colorway."`
	sizeFlag
	Quantity  copies `default:"1" help:"Number of each block or setting in a kit."`
	Kits      copies `default:"1" help:"Number of kits."`
	Format    string `enum:"text,markdown,csv,json" default:"text" help:"Output format: text, markdown, csv or json."`
	Labels    bool   `help:"Instead, write a label for each piece, in cutting order: as CSV, or with -o as PDF."`
	Patches   bool   `help:"Instead, list each patch: how its piece is placed, its margin, and what other ways of cutting it would use."`
	Why       bool   `help:"Also show where the fabric goes, and whether another layout could use less."`
	Out       string `short:"o" placeholder:"FILE" help:"File for the labels; its name ends in .pdf or .csv."`
	Triangles bool   `help:"Cut half-square and quarter-square triangles where that saves fabric."`
	Long      string `enum:"lengthwise,joined,refused" default:"lengthwise" help:"How to cut strips longer than the width of fabric: lengthwise, joined (pieced end to end) or refused."`
	Squaring  string `placeholder:"LENGTH" help:"Length lost to squaring up the end of a fabric, such as \"1 in\"."`
	Units     string `placeholder:"UNIT" help:"Unit of the list: in, mm or cm. Default: that of the first file."`
	forceFlag
	Config string `placeholder:"FILE" help:"Use only this settings file."`
}

// maxCopies is how many kits, or copies in a kit, may be asked for.
const maxCopies = 100_000

// copies are so many kits, or so many of each block in a kit.
type copies int

// UnmarshalText reads a flag.
func (c *copies) UnmarshalText(text []byte) error {
	n, err := strconv.Atoi(string(text))
	if err != nil || n < 1 || n > maxCopies {
		return fmt.Errorf("%s is not a number from 1 to %d", text, maxCopies)
	}
	*c = copies(n)
	return nil
}

// Run lints what is to be cut, then prints the cut list. It ends as found when
// something cannot be cut as it stands.
func (c cutsCmd) Run(ctx context.Context, s streams) error {
	if err := c.check(); err != nil {
		return err
	}
	o, err := lintOptions(c.Config)
	if err != nil {
		return err
	}
	wanted, err := c.open(ctx, o)
	if err != nil {
		return err
	}
	if err := wanted.lint(ctx, s, o, c.Force); err != nil {
		return err
	}
	if c.Patches {
		return c.patches(s, wanted, o.Config)
	}
	list, err := c.list(wanted, o.Config)
	if err != nil {
		// The blocks are at fault, or the cloth is too narrow for them.
		fmt.Fprintf(s.err, "sewable: %s\n", strings.ReplaceAll(err.Error(), "\n", "\nsewable: "))
		return errFound
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	list.Faults = wanted.faults
	if c.Labels {
		return c.labels(s, list, wanted)
	}
	switch c.Format {
	case "markdown":
		return cutlist.Markdown(s.out, list, c.Why)
	case "csv":
		return cutlist.CSV(s.raw.out, list)
	case "json":
		return cutlist.JSON(s.raw.out, list)
	}
	return cutlist.Text(s.out, list, c.Why)
}

// check looks at the command line.
func (c cutsCmd) check() error {
	_, unit := geom.UnitNamed(c.Units)
	switch ext := c.ext(); {
	case c.Units != "" && !unit:
		return fmt.Errorf("--units must be in, mm or cm, not %q", c.Units)
	case c.Patches && (c.Labels || c.Format != "text" && c.Format != "json"):
		return errors.New("--patches writes text or JSON; it does not go with --labels")
	case c.Why && (c.Labels || c.Patches || c.Format != "text" && c.Format != "markdown"):
		return errors.New("--why goes with a cut list as text or Markdown; JSON always has these figures")
	case c.Out != "" && !c.Labels:
		return errors.New("-o only works with --labels. Redirect the cut list to a file with >")
	case c.Out != "" && ext != ".pdf" && ext != ".csv":
		return fmt.Errorf("-o %s: the name must end in .pdf or .csv", c.Out)
	case c.Labels && c.Format != "text" && (c.Format != "csv" || ext == ".pdf"):
		return errors.New("--labels writes CSV, or PDF with -o and a name that ends in .pdf; remove --format")
	}
	_, err := c.squaring(geom.Inches)
	return err
}

// ext says what kind of file the labels go to.
func (c cutsCmd) ext() string { return strings.ToLower(filepath.Ext(c.Out)) }

// patches writes how the piece of each patch is cut and laid.
func (c cutsCmd) patches(s streams, w *cutOrder, config *lint.Config) error {
	pieces, err := w.patches(c.options(config))
	if err != nil {
		fmt.Fprintf(s.err, "sewable: %s\n", err)
		return errFound
	}
	if c.Triangles {
		order, how, err := c.order(w, config)
		if err != nil {
			return err
		}
		decide := cloth.Decide(order, how)
		for _, b := range pieces {
			for _, p := range b.Patches {
				decide(p)
			}
		}
	}
	if c.Format == "json" {
		return cutlist.PatchesJSON(s.raw.out, pieces, w.faults, w.unit)
	}
	for _, fault := range w.faults {
		fmt.Fprintf(s.out, "CANNOT BE SEWN. %s\n", fault)
	}
	return cutlist.Patches(s.out, pieces, w.unit)
}

// labels writes the labels.
func (c cutsCmd) labels(s streams, list *cloth.List, w *cutOrder) error {
	if c.Out == "" {
		return cutlist.LabelsCSV(s.raw.out, list)
	}
	var out bytes.Buffer
	if c.ext() == ".csv" {
		if err := cutlist.LabelsCSV(&out, list); err != nil {
			return err
		}
		return writeBytes(c.Out, out.Bytes())
	}
	title := w.title()
	pages, err := labels.Pages(list, labels.Options{
		Title: title, Alert: sheet.Pattern{Faults: w.faults}.Alert(), Paper: paperOf(w.setting), Margin: w.setting.Margin.Float64(),
		Width: w.setting.LabelWidth.Float64(), Height: w.setting.LabelHeight.Float64(), Gap: w.setting.LabelGap.Float64(),
	})
	if err != nil {
		return err
	}
	s.sayBoxes(pages)
	if err := pdf.Write(&out, pages, pdf.Options{Title: title + ", labels"}); err != nil {
		return err
	}
	return writeBytes(c.Out, out.Bytes())
}

func (c cutsCmd) squaring(unit geom.Unit) (float64, error) {
	if c.Squaring == "" {
		return cloth.DefaultSquaring(unit), nil
	}
	n, ok := lint.ParseLength(c.Squaring)
	if most := 10 * 36 * geom.Inch; !ok || n.Sign() < 0 || n.Float64() > most {
		return 0, fmt.Errorf("--squaring needs a length with its unit, such as \"1 in\" or \"2 cm\", not %q", c.Squaring)
	}
	return n.Float64(), nil
}

// cutOrder is what the paths and flags name.
type cutOrder struct {
	unit     geom.Unit
	blocks   []cloth.Placed
	settings []*block.Setting
	setting  *lint.Settings // those of the first file
	faults   []string       // why it cannot be sewn, in sentences
}

// title is what is cut, in a few words.
func (w *cutOrder) title() string {
	switch {
	case len(w.settings) == 1 && len(w.blocks) == 0:
		return w.settings[0].Name
	case len(w.settings) > 0:
		return fmt.Sprintf("%d settings and blocks", len(w.settings)+len(w.blocks))
	case len(w.blocks) > 1:
		return fmt.Sprintf("%d blocks", len(w.blocks))
	case w.blocks[0].Colourway != nil:
		return w.blocks[0].Block.Name + ", " + w.blocks[0].Colourway.Name
	}
	return w.blocks[0].Block.Name
}

// open reads the files and finds what is to be cut: what was named; else the settings of
// each file, and the blocks of files without any.
func (c cutsCmd) open(ctx context.Context, o lint.Options) (*cutOrder, error) {
	paths, err := lint.FindFiles(c.Paths, o.Config)
	if err != nil {
		return nil, err
	}
	w := &cutOrder{}
	var read []*block.File
	var blocks, settings []string // all there are, for a wrong name
	named := len(c.Block)+len(c.Setting) > 0
	found := make(map[string]bool)
	for i, path := range paths {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		f, err := o.Loader.Open(path)
		if err != nil {
			return nil, err
		}
		read = append(read, f)
		if i == 0 {
			w.unit, w.setting = f.Unit, o.Config.For(f.Source.Path).For(f.Unit)
		}
		for _, set := range f.Settings {
			settings = append(settings, set.Name)
			if slices.Contains(c.Setting, set.Name) || !named {
				found[set.Name] = true
				w.settings = append(w.settings, set)
			}
		}
		for _, b := range reachable(f) {
			blocks = append(blocks, b.Name)
			own := b.File == f && len(f.Settings) == 0
			if slices.Contains(c.Block, b.Name) && !w.has(b) || !named && own {
				found[b.Name] = true
				w.blocks = append(w.blocks, cloth.Placed{Block: b, Count: int(c.Quantity)})
			}
		}
	}
	for _, name := range c.Block {
		if !found[name] {
			return nil, fmt.Errorf("there is no block called %q%s", name, lint.DidYouMean(near.Nearest(name, blocks)))
		}
	}
	for _, name := range c.Setting {
		if !found[name] {
			return nil, fmt.Errorf("there is no setting called %q%s", name, lint.DidYouMean(near.Nearest(name, settings)))
		}
	}
	if u, ok := geom.UnitNamed(c.Units); ok {
		w.unit = u
	}
	if len(w.blocks)+len(w.settings) == 0 {
		return nil, noBlock(read, "there is no block to cut")
	}
	if err := w.sized(c.sizeFlag); err != nil {
		return nil, err
	}
	return w, w.dress(c.Colourway)
}

// reachable are a file's own blocks and those of the files it uses.
func reachable(f *block.File) []*block.Block {
	all := slices.Clone(f.Blocks)
	for _, u := range f.Uses {
		if u.File != nil {
			all = append(all, u.File.Blocks...)
		}
	}
	return all
}

// has says whether a block is wanted already: a used file may be named too.
func (w *cutOrder) has(b *block.Block) bool {
	return slices.ContainsFunc(w.blocks, func(p cloth.Placed) bool {
		return p.Block.Name == b.Name && files.Absolute(p.Block.File.Source.Path) == files.Absolute(b.File.Source.Path)
	})
}

// sized puts the blocks in the size that is asked for.
func (w *cutOrder) sized(c sizeFlag) error {
	if c.Size == "" {
		return nil
	}
	if len(w.settings) > 0 {
		return errSizeOfSetting
	}
	drawn, count := make([]*block.Block, len(w.blocks)), w.blocks[0].Count
	for i, p := range w.blocks {
		drawn[i] = p.Block
	}
	sized, err := c.of(drawn)
	w.blocks = nil
	for _, b := range sized {
		w.blocks = append(w.blocks, cloth.Placed{Block: b, Count: count})
	}
	return err
}

// dress puts the blocks in a colourway.
func (w *cutOrder) dress(colourway string) error {
	if colourway == "" {
		return nil
	}
	if len(w.settings) > 0 {
		return errors.New("--colorway is for blocks; a setting names its own colorways in `fill`")
	}
	for i, p := range w.blocks {
		way := block.ColourwayOf(p.Block, colourway)
		if way == nil {
			var known []string
			for _, c := range block.Colourways(p.Block) {
				known = append(known, c.Name)
			}
			return fmt.Errorf("%q has no colorway %s%s", p.Block.Name, colourway, lint.DidYouMean(near.Nearest(colourway, known)))
		}
		w.blocks[i].Colourway = way
	}
	return nil
}

// lint checks every file that something is cut from. It says what is wrong at
// error level with what is to be cut, and ends the command unless it is
// to be cut by force.
func (w *cutOrder) lint(ctx context.Context, s streams, o lint.Options, force bool) error {
	names, paths := make(map[string]bool), []string{} // of settings; of files
	var blocks []*block.Block
	add := func(b *block.Block) {
		blocks = append(blocks, b)
		f := b.File
		if !slices.Contains(paths, f.Source.Path) {
			paths = append(paths, f.Source.Path)
		}
	}
	for _, p := range w.blocks {
		add(p.Block)
	}
	for _, set := range w.settings {
		names[set.Name] = true
		if path := set.At.File.Path; !slices.Contains(paths, path) {
			paths = append(paths, path)
		}
		for _, cell := range set.Cells {
			if cell.Block != nil {
				add(cell.Block)
			}
		}
	}
	r, err := lint.Run(ctx, paths, o)
	if err != nil {
		return err
	}
	if len(r.Failures) > 0 {
		return r.Failures[0]
	}
	r.Findings = slices.DeleteFunc(r.Findings, func(f lint.Finding) bool {
		return f.Level < lint.Error || f.Block != "" && !names[f.Block] && !slices.ContainsFunc(blocks, f.IsOf)
	})
	if len(r.Findings) == 0 {
		return nil
	}
	for _, f := range r.Findings {
		w.faults = append(w.faults, output.Plain(f.What()))
	}
	if err := s.why(r); err != nil || force {
		return err
	}
	var faulty []string
	known := map[string]bool{}
	for _, f := range r.Findings {
		name := f.File
		if f.Block != "" {
			name = fmt.Sprintf("%q", f.Block)
		}
		if !known[name] {
			known[name] = true
			faulty = append(faulty, name)
		}
	}
	if more := len(faulty) - maxNames; more > 1 {
		faulty = append(faulty[:maxNames], fmt.Sprintf("%d more", more))
	}
	have := "have"
	if len(faulty) == 1 {
		have = "has"
	}
	fmt.Fprintf(s.err, "sewable: no cut list: %s %s errors. Fix them, or use --force, which marks the list \"cannot be sewn\"\n", english.List(faulty), have)
	return errFound
}

// list works the cut list out.
func (c cutsCmd) list(w *cutOrder, config *lint.Config) (*cloth.List, error) {
	order, how, err := c.order(w, config)
	if err != nil {
		return nil, err
	}
	return cloth.NewList(order, how)
}

// order is what is cut, and how.
func (c cutsCmd) order(w *cutOrder, config *lint.Config) (cloth.Order, cloth.OrderOptions, error) {
	order := cloth.Order{Blocks: w.blocks, Kits: int(c.Kits)}
	for _, set := range w.settings {
		q, err := cloth.QuiltOf(set)
		if err != nil {
			return order, cloth.OrderOptions{}, err
		}
		for range c.Quantity {
			order.Quilts = append(order.Quilts, q)
		}
	}
	squaring, err := c.squaring(w.unit)
	return order, cloth.OrderOptions{
		Options: c.options(config),
		Unit:    w.unit, Ruler: cloth.DefaultRuler, Squaring: squaring,
		Long: map[string]cloth.Long{"lengthwise": cloth.Lengthwise, "joined": cloth.Joined, "refused": cloth.Refused}[c.Long],
	}, err
}

// options are how the pieces of a file are cut.
func (c cutsCmd) options(config *lint.Config) func(*block.File) cloth.Options {
	return func(f *block.File) cloth.Options {
		o := config.For(f.Source.Path).For(f.Unit).Cutting()
		o.Triangles = c.Triangles
		return o
	}
}

// patches are the pieces of all blocks that are cut, for each place of the quilt where they
// are other pieces: of a colourway, mirrored, and turned where a print is kept upright.
func (w *cutOrder) patches(options func(*block.File) cloth.Options) ([]cutlist.BlockPatches, error) {
	var out []cutlist.BlockPatches
	seen := make(map[cloth.Placed]bool)
	sewn := make(map[*block.Block]*sew.Block)
	add := func(at cloth.Placed) {
		if at.Block == nil {
			return
		}
		if sewn[at.Block] == nil {
			sewn[at.Block] = sew.Analyse(at.Block)
		}
		at.Count = 0
		pieces := cloth.Pieces(sewn[at.Block], at, options(at.Block.File))
		if !slices.ContainsFunc(pieces, func(p *cloth.PlacedPiece) bool { return p.Pick.Keeps }) {
			at.Up, at.Turned = 0, 0 // turned, it is cut and laid the same
		}
		if !seen[at] {
			seen[at] = true
			out = append(out, cutlist.BlockPatches{Block: at.Block.Name, At: at, Patches: pieces})
		}
	}
	for _, p := range w.blocks {
		add(p)
	}
	for _, set := range w.settings {
		q, err := cloth.QuiltOf(set)
		if err != nil {
			return nil, err
		}
		for _, p := range q.Blocks {
			add(p)
		}
	}
	return out, nil
}

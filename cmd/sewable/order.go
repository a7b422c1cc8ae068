package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/rules"
)

type orderCmd struct {
	Paths  []string `arg:"" name:"file" help:"Files or folders."`
	Format string   `enum:"text,json" default:"text" help:"text or json."`
}

// An order is how a section is sewn, or, when it has joins, how a block's
// sections are joined. Its numbers are those of the patches, or count the joins
// from 1 as written.
type order struct {
	File    string   `json:"file"`
	Block   string   `json:"block"`
	Section string   `json:"section,omitempty"`
	Joins   []string `json:"joins,omitempty"` // "A to B", as written

	Sewable bool `json:"sewable"`
	// AsWritten: the written order is the one that works.
	AsWritten bool          `json:"asWritten"`
	Order     []int         `json:"order"` // one that works, the written one when it does
	Waits     map[int][]int `json:"waits"` // what each must wait for while the first stays first
	Core      []int         `json:"core"`  // what has to be divided, or cannot be joined, when no order works
	// Unclear says why nothing can be said: then Sewable is false and the rest empty.
	Unclear string `json:"unclear,omitempty"`

	gaveUp bool     // there may be an order of the joins
	faults []string // of joins, for Core: what is wrong with each
	alone  bool     // the block has one section or none: there is nothing to join
}

// Help says what counts as sewable.
func (orderCmd) Help() string {
	return `If the written order does not work but another does, that one is printed, and JSON has "asWritten": false. Where "sewable lint" finds
an error that cannot be accepted, no order is printed: the error is the reason, JSON has "sewable": false, and the exit code is 1. An
error in one section leaves the orders of the others; the last line of a block, its joins, counts the errors of all.`
}

// Run prints an order for every section and for the joins of every block. It
// ends as found when something has none.
func (c orderCmd) Run(ctx context.Context, s streams) error {
	config := lint.NewConfig(rules.All)
	paths, err := lint.FindFiles(c.Paths, config)
	if err != nil {
		return err
	}
	loader := block.NewLoader(syntax.NewReader(), config.Gate().Block)
	orders := []order{}
	var read []*block.File
	for _, path := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		f, err := loader.Open(path)
		if err != nil {
			return err
		}
		read = append(read, f)
		answer := lint.Model(f, lint.Options{Rules: mandatory(), Config: config})
		if len(answer.Failures) > 0 {
			return answer.Failures[0]
		}
		counts := counting(answer.Findings, f)
		for _, b := range f.Blocks {
			found := ordersOf(f, b)
			held(found, counts[b], b)
			orders = append(orders, found...)
		}
	}
	if len(orders) == 0 {
		return noBlock(read, "there is no block to sew in these files; `sewable lint` says what is wrong with them")
	}
	if c.Format == "json" {
		err = visible.JSON(s.raw.out, orders)
	} else {
		err = writeOrders(s.out, orders)
	}
	if err == nil && slices.ContainsFunc(orders, func(o order) bool { return !o.Sewable }) {
		return errFound
	}
	return err
}

// mandatory are the rules of which some findings cannot be accepted.
func mandatory() []*lint.Rule {
	return slices.DeleteFunc(slices.Clone(rules.All), func(r *lint.Rule) bool { return r.Mandatory == "" })
}

// otherOrder are the rules whose findings say that another order works: order gives it.
var otherOrder = []string{"unsewable-order", "join-order", "unfinished-join"}

// ofJoins are the rules about how sections go together, which say nothing of the order within one.
var ofJoins = []string{"bent-join", "block-not-filled", "sections-overlap", "unfinished-join", "unjoined-section"}

// counting are the mandatory findings that allow no order, of each block: those in it, and the first of those in no block or
// setting.
func counting(findings []lint.Finding, f *block.File) map[*block.Block][]lint.Finding {
	out := map[*block.Block][]lint.Finding{}
	var outside []lint.Finding
	for _, found := range findings {
		if !found.Mandatory || slices.Contains(otherOrder, found.Rule) {
			continue
		}
		switch b, free := f.Around(found.Span.Start); {
		case b != nil:
			out[b] = append(out[b], found)
		case free && outside == nil:
			outside = []lint.Finding{found}
		}
	}
	for _, b := range f.Blocks {
		out[b] = slices.Concat(outside, out[b])
	}
	return out
}

// held takes back the orders of a block that findings do not allow: an error in a section counts for it, its copies and the
// joins, one of joins for these alone, any other for all. What has no order already keeps its own reason.
func held(orders []order, findings []lint.Finding, b *block.Block) {
	for _, found := range findings {
		about := func(o order) bool {
			if slices.Contains(ofJoins, found.Rule) {
				return o.Section == ""
			}
			for _, s := range b.Sections {
				if s.Name == o.Section && s.Original().Item.Extent().Contains(found.Span.Start) {
					return true
				}
			}
			return false
		}
		all := !slices.ContainsFunc(orders, about)
		for i, o := range orders {
			if o.Sewable && (all || o.Section == "" || about(o)) {
				orders[i].Sewable, orders[i].AsWritten = false, false
				orders[i].Order, orders[i].Waits = []int{}, map[int][]int{}
				orders[i].Unclear = "lint finds an error here: " + strings.TrimSuffix(found.What(), ".")
			}
		}
	}
}

// noBlock says why there is nothing to work on in files: the first that could not be read for
// a limit, or is no text, and otherwise what is said.
func noBlock(read []*block.File, otherwise string) error {
	for _, f := range read {
		for _, e := range f.Tree.Errors {
			if e.Kind != syntax.Limit && e.Kind != syntax.NotText {
				continue
			}
			why := e.Message
			if e.Detail != "" {
				why += "; " + e.Detail
			}
			if e.Item == nil {
				return fmt.Errorf("%s: %s", f.Source.Path, why)
			}
			return fmt.Errorf("%s:%s: %s", f.Source.Path, f.Source.Position(e.At.Start), why)
		}
	}
	return errors.New(otherwise)
}

func ordersOf(f *block.File, b *block.Block) []order {
	sewing := sew.Analyse(b)
	var out []order
	for _, s := range b.Sections {
		o := order{File: f.Source.Path, Block: b.Name, Section: s.Name, Order: []int{}, Waits: map[int][]int{}, Core: []int{}}
		switch is := sewing.Section(s); {
		case is == nil:
			o.Unclear = "a line of it cannot be read or resolved"
		case len(s.Patches) == 0:
			o.Unclear = "no patches yet"
		case is.Flawed():
			o.Unclear = "the patches do not fill the outline once"
		case len(is.Slips(nearMiss(b))) > 0:
			slip := is.Slips(nearMiss(b))[0]
			o.Unclear = fmt.Sprintf("the corner at %s misses %s by %s: move it there", geom.FormatPlace(slip.From, f.Unit),
				geom.FormatPlace(slip.To, f.Unit), geom.FormatExact(slip.Dist, f.Unit))
		case is.Sewable():
			o.Sewable, o.Order, o.Waits, o.AsWritten = true, is.Order(), is.Waits(), is.InOrder()
		default:
			for _, p := range is.Core() {
				o.Core = append(o.Core, p.Number)
			}
		}
		out = append(out, o)
	}
	if o, ok := wholeOf(f, b, sewing); ok {
		out = append(out, o)
	}
	return out
}

// nearMiss is how near corners of a block may come without being meant to meet, as the rule near-miss has it:
// a quarter of the allowance.
func nearMiss(b *block.Block) float64 {
	a := geom.Inch / 4
	if b.Allowance != nil && !b.Allowance.Broken && b.Allowance.Size.Sign() > 0 {
		a = min(b.Allowance.Size.Float64(), geom.Inch)
	}
	return a / 4
}

// wholeOf is how the sections of a block are joined. A block of one section has
// nothing to join: it is not ok, unless that section is not the whole block.
func wholeOf(f *block.File, b *block.Block, sewing *sew.Block) (o order, ok bool) {
	o = order{File: f.Source.Path, Block: b.Name, Joins: []string{}, Order: []int{}, Waits: map[int][]int{}, Core: []int{}}
	for _, j := range b.Joins {
		if j.A != nil && j.B != nil {
			o.Joins = append(o.Joins, j.A.Name+" to "+j.B.Name)
		}
	}
	o.alone = len(b.Sections) < 2
	d := sewing.Division()
	switch {
	case b.Undivided():
		o.Unclear = "not divided into sections yet; `sewable plan` divides it"
	case len(b.Sections) == 0:
		o.Unclear = "no sections yet"
	case d != nil && d.Flawed() && !slices.ContainsFunc(sewing.Sections, (*sew.Section).Flawed):
		o.Unclear = "the sections do not fill the block once"
	case o.alone && len(b.Joins) == 0:
		return order{}, false
	case d == nil || d.Flawed():
		o.Unclear = "a section or a join of it is unclear"
	case len(o.Joins) == 0:
		o.Unclear = "no join is written"
	default:
		o.joined(sewing)
	}
	return o, true
}

// joined is how sections that fill the block are joined.
func (o *order) joined(sewing *sew.Block) {
	flaws := sewing.JoinFlaws()
	if found := sewing.JoinOrder(); found != nil {
		o.Sewable, o.Order, o.Waits, o.AsWritten = true, found, sewing.JoinWaits(), len(flaws) == 0
		return
	}
	o.gaveUp = sewing.GaveUp()
	for _, flaw := range flaws {
		if flaw.Step >= 0 {
			o.Core = append(o.Core, flaw.Step+1)
			o.faults = append(o.faults, joinFaults[flaw.Kind])
		}
		if flaw.Kind == sew.LeftOver && len(flaw.Sections) > 0 {
			o.Unclear = "no join reaches " + flaw.Sections[0].Of.Name
		}
	}
}

// noOrderFound is said where there may be an order of the joins all the same.
var noOrderFound = "no order was found in " + english.Thousands(sew.MaxJoinTrials) + " tries"

// joinFaults say what is wrong with a join in its turn.
var joinFaults = map[sew.JoinFlawKind]string{
	sew.NotStraight: "not one straight seam",
	sew.NoEdge:      "no edge in common",
	sew.OneTooMany:  "joined already",
	sew.NoPartial:   "there is no partial seam to finish",
	sew.Unfinished:  "the partial seam is never finished",
}

// writeOrders writes orders for people, block after block.
func writeOrders(w io.Writer, orders []order) error {
	b := bufio.NewWriter(w)
	last := ""
	for _, o := range orders {
		if head := fmt.Sprintf("%s: %s", visible.Text(o.File), o.Block); head != last {
			if last != "" {
				fmt.Fprintln(b)
			}
			fmt.Fprintln(b, head)
			last = head
		}
		fmt.Fprintf(b, "  %s: %s\n", o.what(), o.verdict())
		if o.Section == "" {
			for _, n := range o.Order {
				fmt.Fprintf(b, "    %d  %s\n", n, o.Joins[n-1])
			}
			for i, n := range o.Core {
				fmt.Fprintf(b, "    %d  %s: %s\n", n, o.Joins[n-1], o.faults[i])
			}
		}
		for _, n := range slices.Sorted(maps.Keys(o.Waits)) {
			fmt.Fprintf(b, "    %d waits for %s\n", n, english.List(numbers(o.Waits[n])))
		}
	}
	return b.Flush()
}

// what an order is of.
func (o order) what() string {
	switch {
	case o.Section != "":
		return "section " + o.Section
	case o.alone:
		return "block"
	}
	return "joins"
}

// verdict is the order in a few words.
func (o order) verdict() string {
	switch {
	case o.Unclear != "":
		return o.Unclear
	case o.Sewable && o.AsWritten:
		return strings.Join(numbers(o.Order), " ")
	case o.Sewable && o.Section == "" && len(o.Order) < len(o.Joins):
		word := "join"
		if len(o.Order) < len(o.Joins)-1 {
			word = "joins"
		}
		return fmt.Sprintf("%s (remove %s %s: too many)", strings.Join(numbers(o.Order), " "), word, english.List(numbers(o.tooMany())))
	case o.Sewable:
		return strings.Join(numbers(o.Order), " ") + " (the written order does not work)"
	case o.gaveUp:
		return noOrderFound
	case o.Section == "":
		return "no order works"
	}
	return "no order works; " + english.List(numbers(o.Core)) + " have to be divided among sections"
}

// tooMany are the joins that an order does without.
func (o order) tooMany() (out []int) {
	for i := range o.Joins {
		if !slices.Contains(o.Order, i+1) {
			out = append(out, i+1)
		}
	}
	return out
}

func numbers(ns []int) []string {
	words := make([]string, len(ns))
	for i, n := range ns {
		words[i] = strconv.Itoa(n)
	}
	return words
}

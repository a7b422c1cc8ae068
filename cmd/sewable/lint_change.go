package main

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/files"
	"sewable/lang/syntax"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/output"
	"sewable/lint/rules"
)

// changeFlags say what is written into the files. Only what is reported is touched.
type changeFlags struct {
	Fix         bool   `help:"Apply the safe fixes and write the files."`
	UnsafeFixes bool   `help:"With --fix: also apply the first possible fix of each finding. Look at the result."`
	Apply       []int  `placeholder:"N" help:"Apply the possible fix of this number in the text output. Repeatable, or separated by commas."`
	AddAccepts  string `placeholder:"REASON" help:"Accept every finding that is reported, with this reason, and write the files."`
	Diff        bool   `help:"With --fix, --apply or --add-accepts: show what would change, and write nothing. Exits with 1 if anything would."`
}

func (c changeFlags) changes() bool { return c.Fix || len(c.Apply) > 0 || c.AddAccepts != "" }

// change writes what is asked for of what was found.
func (c lintCmd) change(ctx context.Context, s streams, r *lint.Result, paths []string, o lint.Options) error {
	by := map[string][]lint.Finding{}
	for _, f := range r.Findings {
		by[f.File] = append(by[f.File], f)
	}
	w := &changer{s: s, o: o, diff: c.Diff}
	var err error
	switch {
	case len(c.Apply) > 0:
		err = w.apply(r, c.Apply)
	case c.AddAccepts != "":
		err = w.accept(ctx, by, paths, c.AddAccepts)
	default:
		err = w.fix(ctx, by, paths, lint.Mending{Unsafe: c.UnsafeFixes}, c.some())
	}
	if err == nil && c.Diff && w.changed {
		err = errFound
	}
	return err
}

type changer struct {
	s       streams
	o       lint.Options
	diff    bool
	changed bool
}

// put writes a file's new text, or shows how it differs.
func (w *changer) put(path, old, text string) error {
	if old == text {
		return nil
	}
	w.changed = true
	if w.diff {
		return w.s.diff(path, " (changed)", old, text)
	}
	return w.o.Config.Gate().Rewrite(path, old, text, files.Block)
}

// fix applies the safe fixes file by file and says what it did. A file that cannot be read
// is reported by the lint run that follows. Where only some findings are reported, what a fix brings to light is left alone.
func (w *changer) fix(ctx context.Context, by map[string][]lint.Finding, paths []string, how lint.Mending, some bool) error {
	for _, path := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		if how.Reported = nil; some {
			if how.Reported = by[path]; how.Reported == nil {
				continue
			}
		}
		text, err := w.o.Config.Gate().Block(path)
		if err != nil {
			continue
		}
		w.o.Loader = block.NewLoader(syntax.NewReader(), w.o.Config.Gate().Block) // the file before may be one that this one uses
		mended := lint.Mend(path, text, w.o, how)
		for _, f := range mended.Refused {
			fmt.Fprintf(w.s.err, "%s: not fixed, because the fix would cause: %s [%s]\n", visible.Text(path), f.Message, f.Rule)
		}
		if len(mended.Fixes) == 0 {
			continue
		}
		if err := w.put(path, text, mended.Text); err != nil {
			return err
		}
		for _, f := range mended.Fixes {
			fmt.Fprintf(w.s.err, "%s:%d: fixed: %s\n", visible.Text(path), f.Edits[0].Start.Line, f.Title)
		}
	}
	return nil
}

// apply applies possible fixes by their numbers.
func (w *changer) apply(r *lint.Result, numbers []int) error {
	possible := output.PossibleFixes(r)
	byFile := map[string][]lint.Edit{}
	var said []string
	for _, n := range numbers {
		if n < 1 || n > len(possible) {
			return fmt.Errorf("--apply %d: there %s", n, howMany(len(possible)))
		}
		f := possible[n-1]
		for _, e := range f.Edits {
			byFile[e.File] = append(byFile[e.File], e)
		}
		said = append(said, fmt.Sprintf("%s:%d: fixed: %s", visible.Text(f.Edits[0].File), f.Edits[0].Start.Line, f.Title))
	}
	texts := map[string][2]string{}
	for path, edits := range byFile {
		if lint.Overlap(edits) {
			return fmt.Errorf("%s: two of these fixes change the same place; apply one, then look again", path)
		}
		old, err := w.o.Config.Gate().Block(path)
		if err != nil {
			return err
		}
		texts[path] = [2]string{old, lint.Apply(old, edits)}
	}
	for _, path := range slices.Sorted(maps.Keys(texts)) {
		if err := w.put(path, texts[path][0], texts[path][1]); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w.s.err, strings.Join(said, "\n"))
	return err
}

// accept writes an accept of each finding into its file, the last of a file first: so the places of the others stay.
func (w *changer) accept(ctx context.Context, by map[string][]lint.Finding, paths []string, reason string) error {
	if reason = strings.Join(strings.Fields(reason), " "); reason == "" {
		return fmt.Errorf("--add-accepts needs a reason")
	}
	takes := map[string]bool{}
	for _, r := range rules.All {
		takes[r.Name] = r.Run != nil
	}
	for _, path := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		old, err := w.o.Config.Gate().Block(path)
		if err != nil {
			continue
		}
		text, n := old, 0
		found := slices.DeleteFunc(slices.Clone(by[path]), func(f lint.Finding) bool { return f.Mandatory || !takes[f.Rule] })
		slices.SortStableFunc(found, func(a, b lint.Finding) int {
			return cmp.Or(b.Start.Line-a.Start.Line, strings.Compare(a.Rule, b.Rule))
		})
		for i, f := range found {
			if i > 0 && found[i-1].Start.Line == f.Start.Line && found[i-1].Rule == f.Rule {
				continue // one accept holds for all of a rule in a line
			}
			loader := block.NewLoader(syntax.NewReader(), w.o.Config.Gate().Block)
			e := edit.Accept(loader.OpenText(path, text), f.Span.Start, f.Rule)
			text = text[:e.At.Start] + strings.Replace(e.New, "// accept "+f.Rule+":", "// accept "+f.Rule+": "+reason, 1) + text[e.At.End:]
			n++
		}
		if n == 0 {
			continue
		}
		if err := w.put(path, old, text); err != nil {
			return err
		}
		if w.diff {
			continue
		}
		fmt.Fprintf(w.s.err, "%s: %s accepted\n", visible.Text(path), english.Count(n, "finding", "findings"))
	}
	return nil
}

func howMany(fixes int) string {
	if fixes == 1 {
		return "is 1 possible fix"
	}
	return fmt.Sprintf("are %d possible fixes", fixes)
}

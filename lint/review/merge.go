package review

import (
	"context"
	"fmt"
	"io"
	"slices"

	"sewable/lang/english"
	"sewable/lang/syntax"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/history"
	"sewable/lint/output"
)

// MergeReport is what is wrong with a merge that is wrong with neither side of it.
type MergeReport struct {
	Ours, Theirs string // what the branches are called

	Conflicts []string // files that cannot be merged by themselves; neither they nor what uses them is linted
	New       []lint.Finding
	Files     int // block files looked at
	Blocks    int
	Failures  []lint.Failure
}

// Merge lints a merge and both sides of it. Only files that concern the merge are read:
// those that a change of one side concerns, and that are not as they were on
// the other.
func Merge(ctx context.Context, ours, theirs *history.Tree, merged *history.Merged, rules []*lint.Rule) (*MergeReport, error) {
	reader := syntax.NewReader()
	a, b, m := newSide(ours, reader, rules), newSide(theirs, reader, rules), newSide(merged.Tree, reader, rules)
	fromOurs, err := scopeOf(a, m, nil)
	if err != nil {
		return nil, err
	}
	fromTheirs, err := scopeOf(b, m, nil)
	if err != nil {
		return nil, err
	}
	was := map[string]string{} // in the merge → on their side
	for _, p := range fromTheirs.pairs {
		if p.after != "" {
			was[p.after] = p.before
		}
	}
	r := &MergeReport{Conflicts: merged.Conflicts}
	var both []pairOf // a file that is as on one side has that side's findings
	clash := func(path string) bool { return slices.Contains(merged.Conflicts, path) }
	for _, p := range fromOurs.pairs {
		if _, ok := was[p.after]; ok && p.after != "" && !clash(p.after) && !slices.ContainsFunc(p.through, clash) {
			both = append(both, p)
		}
	}
	found := make([][]lint.Finding, len(both))
	opens := make([]*opened, len(both))
	errs := make([]error, len(both))
	each(ctx, len(both), func(i int) {
		var sides [2]*opened
		if sides[0], errs[i] = a.open(both[i].before); errs[i] != nil {
			return
		}
		if sides[1], errs[i] = b.open(was[both[i].after]); errs[i] != nil {
			return
		}
		if opens[i], errs[i] = m.open(both[i].after); errs[i] != nil {
			return
		}
		found[i] = opens[i].findings
		for _, s := range sides {
			if s != nil {
				found[i] = lint.Compare(renamedTo(s.findings, both[i].after), found[i], nil).New
			}
		}
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for i := range both {
		if errs[i] != nil {
			return nil, errs[i]
		}
		r.Files++
		r.Blocks += len(opens[i].blocks)
		r.New = append(r.New, found[i]...)
		r.Failures = append(r.Failures, opens[i].failures...)
	}
	return r, nil
}

// renamedTo are findings of a file under the name that it has in the merge.
func renamedTo(findings []lint.Finding, path string) []lint.Finding {
	out := slices.Clone(findings)
	for i := range out {
		out[i].File = path
	}
	return out
}

// Sound reports whether nothing is wrong with the merge alone.
func (r *MergeReport) Sound() bool {
	return len(r.Conflicts) == 0 && !slices.ContainsFunc(r.New, func(f lint.Finding) bool { return f.Level == lint.Error })
}

// Headline is the report in a sentence.
func (r *MergeReport) Headline() string {
	of := fmt.Sprintf("Merging %s into %s", r.Theirs, r.Ours)
	switch {
	case len(r.Conflicts) > 0 && len(r.New) > 0:
		return fmt.Sprintf("%s: %s, and %s that neither of them has.", of, english.Count(len(r.Conflicts), "conflict", "conflicts"), english.Count(len(r.New), "finding", "findings"))
	case len(r.Conflicts) > 0:
		return fmt.Sprintf("%s: %s.", of, english.Count(len(r.Conflicts), "conflict", "conflicts"))
	case len(r.New) > 0:
		return fmt.Sprintf("%s brings %s that neither of them has.", of, english.Count(len(r.New), "finding", "findings"))
	}
	return of + " causes no new findings."
}

// MergeText writes the report of a merge for a terminal.
func MergeText(w io.Writer, r *MergeReport, style output.Style) error {
	for _, path := range r.Conflicts {
		if _, err := fmt.Fprintf(w, "%s: conflict: both branches changed it in the same place; it is not checked, nor is what uses it\n", output.Plain(path)); err != nil {
			return err
		}
	}
	if len(r.New) > 0 {
		if err := output.Text(w, &lint.Result{Findings: r.New, Files: r.Files, Blocks: r.Blocks}, style); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w, output.Plain(r.Headline()))
	return err
}

// MergeJSON writes the report of a merge as one JSON object.
func MergeJSON(w io.Writer, r *MergeReport) error {
	out := struct {
		Version   int      `json:"version"`
		Ours      string   `json:"ours"`
		Theirs    string   `json:"theirs"`
		Headline  string   `json:"headline"`
		Conflicts []string `json:"conflicts"`
		New       []any    `json:"new"`
	}{JSONVersion, r.Ours, r.Theirs, r.Headline(), list(r.Conflicts), jsonFindingsOf(Findings{New: r.New}).New}
	return visible.JSON(w, out)
}

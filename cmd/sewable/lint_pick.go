package main

import (
	"errors"
	"fmt"
	"slices"

	"sewable/lang/near"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/rules"
)

// pickFlags say which rules are wanted.
type pickFlags struct {
	Select []string `placeholder:"RULE" help:"Report only these rules, separated by commas, and what cannot be read or sewn."`
	Ignore []string `placeholder:"RULE" help:"Leave out these rules. What cannot be read or sewn cannot be left out."`
}

// check looks at the flags that go with each other.
func (c lintCmd) check() error {
	var names []string
	mandatory := map[string]string{}
	for _, r := range rules.All {
		names = append(names, r.Name)
		if r.AlwaysMandatory() {
			mandatory[r.Name] = r.Mandatory
		}
	}
	for _, name := range slices.Concat(c.Select, c.Ignore) {
		if !slices.Contains(names, name) {
			return fmt.Errorf("there is no rule called %q%s", name, lint.DidYouMean(near.Nearest(name, names)))
		}
	}
	for _, name := range c.Ignore {
		if why := mandatory[name]; why != "" {
			return fmt.Errorf("--ignore %s: it cannot be left out: %s", name, why)
		}
	}
	switch {
	case c.Counts && (c.Format != "text" || len(c.Out) > 0):
		return errors.New("--statistics is for the terminal; remove --format and -o")
	case c.Diff && !c.Fix && len(c.Apply) == 0 && c.AddAccepts == "":
		return errors.New("--diff shows what --fix, --apply or --add-accepts would write; add one of them")
	case c.UnsafeFixes && !c.Fix:
		return errors.New("--unsafe-fixes needs --fix")
	case c.AddAccepts != "" && (c.Fix || len(c.Apply) > 0), c.Fix && len(c.Apply) > 0:
		return errors.New("--fix, --apply and --add-accepts go one at a time")
	}
	return nil
}

// some reports whether only some of what is found is reported.
func (c lintCmd) some() bool {
	return c.Baseline != "" || c.NewFrom != "" || len(c.Select)+len(c.Ignore) > 0 || c.Level != "hint"
}

// pick leaves the findings that are wanted.
func (c pickFlags) pick(r *lint.Result) {
	r.Findings = slices.DeleteFunc(r.Findings, func(f lint.Finding) bool {
		return !f.Mandatory && (len(c.Select) > 0 && !slices.Contains(c.Select, f.Rule) || slices.Contains(c.Ignore, f.Rule))
	})
}

// showFiles lists what would be checked.
func (c lintCmd) showFiles(s streams, o lint.Options) error {
	paths, err := lint.FindFiles(c.Paths, o.Config)
	if err != nil {
		return err
	}
	paths, _ = s.included(paths, c.Paths, o.Config)
	if paths, err = c.Shard.of(paths, o.Config); err != nil {
		return err
	}
	for _, path := range paths {
		if _, err := fmt.Fprintln(s.out, visible.Text(path)); err != nil {
			return err
		}
	}
	return nil
}

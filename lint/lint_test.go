package lint_test

import (
	"fmt"
	"strings"

	"sewable/lang/source"
	"sewable/lint"
)

// The rules of these tests are small and say little; the real ones are tested
// beside themselves.

// plum finds every patch of the fabric plum, and would make it sky.
var plum = &lint.Rule{
	Name: "plum-patch", Level: lint.Warning, Title: "A patch of plum", Why: "Plum bleeds.",
	Bad: "x", Good: "y", Since: "0.1",
	Run: func(p *lint.Pass) {
		for patch := range p.Patches() {
			if patch.Fabric != nil && patch.Fabric.Name == "plum" {
				p.Report(patch.FabricAt(), "%s is plum.", lint.Label(patch)).Patch(patch).
					Related(patch.Fabric.At, "plum comes from here").
					Fix("Use sky", lint.Replace(patch.FabricAt(), "sky"))
			}
		}
	},
}

// wide finds blocks wider than 10 in.
var wide = &lint.Rule{
	Name: "wide-block", Level: lint.Error, Title: "A wide block", Why: "It is heavy.",
	Bad: "x", Good: "y", Since: "0.1",
	Run: func(p *lint.Pass) {
		for b := range p.Blocks() {
			if w := b.Width.Float64(); w > 1270 {
				p.Report(b.OutlineAt, "this block is %s wide.", p.Len(w)).Block(b)
			}
		}
	},
}

// idle reports accepts that hide nothing, and says all it is told.
var idle = &lint.Rule{
	Name: "idle-accept", Level: lint.Hint, Title: "An idle accept", Why: "It is noise.",
	Bad: "x", Good: "y", Since: "0.1",
	Accepts: func(p *lint.Pass, accepts []lint.Accepted) {
		for _, a := range accepts {
			if a.Hidden == 0 {
				p.Report(p.At(a.At), "hides %d, unknown %t near %q, asleep %t.", a.Hidden, a.Unknown, a.Near, a.Asleep)
			}
		}
	},
}

// broken breaks down on files with a block called Trap.
var broken = &lint.Rule{
	Name: "broken-rule", Level: lint.Error, Title: "A rule that breaks down", Why: "It should not.",
	Bad: "x", Good: "y", Since: "0.1",
	Run: func(p *lint.Pass) {
		for _, b := range p.File.Blocks {
			p.Report(b.At, "seen.")
			if b.Name == "Trap" {
				panic("no such corner")
			}
		}
	},
}

// setting reports every problem of a settings file.
var setting = &lint.Rule{
	Name: "odd-setting", Level: lint.Error, Title: "An odd setting", Why: "It sets nothing.",
	Bad: "x", Good: "y", Since: "0.1",
	Settings: func(p *lint.Pass, f *lint.SettingsFile) {
		for _, x := range f.Problems {
			p.Report(p.At(x.At), "%d %s.", x.Kind, x.Name)
		}
	},
}

// file is a block file with the patches given, one a line.
func file(patches ...string) string {
	return "fabric plum\nfabric sky\nblock \"Pennant\" 4 by 4 {\n  allowance 1/4\n  section A {\n" +
		strings.Join(patches, "\n") + "\n  }\n}\n"
}

const (
	lower = "    patch 1 plum (0, 0) (4, 0) (4, 2) (0, 2)"
	upper = "    patch 2 plum (0, 2) (4, 2) (4, 4) (0, 4)"
)

// settings reads the text of a settings file.
func settings(text string, rules ...*lint.Rule) *lint.SettingsFile {
	return lint.ReadSettings(source.New("sewable.toml", text), rules)
}

// say lints a text and gives what was found, a line each.
func say(text, toml string, rules ...*lint.Rule) []string {
	r := lint.Text("a.block", text, lint.Options{Rules: rules, Config: lint.WithSettings(settings(toml, rules...))})
	return lines(r.Findings)
}

func lines(findings []lint.Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, fmt.Sprintf("%s %s %s: %s", f.Place, f.Level, f.Rule, f.Message))
	}
	return out
}

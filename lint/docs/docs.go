// Package docs writes the documentation of the rules and of the settings from
// the rules and the table of settings themselves: pages, a schema, and what the
// command prints.
package docs

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	"sewable/lint"
)

// Rule is the page of a rule, in Markdown.
func Rule(r *lint.Rule) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n", r.Name)
	fmt.Fprintf(&b, "%s.\n\n", r.Title)
	fmt.Fprintf(&b, "Severity: %s. Since %s.\n\n", levelWords(r), r.Since)
	fmt.Fprintf(&b, "## Why it matters\n\n%s\n\n", strings.TrimSpace(r.Why))
	fence := fenceOf(r)
	fmt.Fprintf(&b, "## What it finds\n\n```%s\n%s\n```\n\n", fence, example(r.Bad))
	fmt.Fprintf(&b, "## Fixed\n\n```%s\n%s\n```\n", fence, example(r.Good))
	switch {
	case r.Accepts != nil || r.Settings != nil:
	case r.AlwaysMandatory():
		fmt.Fprintf(&b, "\n## It cannot be accepted\n\n%s\n", mandatory(r))
	default:
		fmt.Fprintf(&b, "\n## When it is intended\n\nAt the end of the line, or alone on the line above, with the reason:\n\n")
		fmt.Fprintf(&b, "```block\n// accept %s: why it is intended\n```\n\n", r.Name)
		fmt.Fprintf(&b, "For a whole repository, in its `%s`:\n\n```toml\n[levels]\n%s = \"off\"\n```\n", lint.SettingsName, r.Name)
		if r.Mandatory != "" {
			fmt.Fprintf(&b, "\n%s\n", mandatory(r))
		}
	}
	return b.String()
}

// RuleText is the same for a terminal, without marks.
func RuleText(r *lint.Rule) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%s, since %s)\n\n%s.\n\n%s\n\n", r.Name, levelWords(r), r.Since, r.Title, strings.TrimSpace(r.Why))
	fmt.Fprintf(&b, "What it finds:\n\n%s\n\nFixed:\n\n%s\n", indented(example(r.Bad)), indented(example(r.Good)))
	if r.Mandatory != "" {
		fmt.Fprintf(&b, "\n%s\n", strings.ReplaceAll(mandatory(r), "`", ""))
	}
	return b.String()
}

// mandatory says what cannot be accepted, and what to do instead.
func mandatory(r *lint.Rule) string {
	words := "It cannot be accepted, lowered or put in a baseline: "
	if !r.AlwaysMandatory() {
		words = "It cannot be accepted, lowered or put in a baseline " + r.MandatoryWhere + ": "
	}
	return words + r.Mandatory + ".\nTo keep a draft out of the checks, list it under `exclude` in `" + lint.SettingsName + "`."
}

// Index is the page that lists the rules, in Markdown.
func Index(rules []*lint.Rule) string {
	var b strings.Builder
	b.WriteString("# Rules\n\n| rule | level | what it finds |\n| --- | --- | --- |\n")
	for _, r := range rules {
		fmt.Fprintf(&b, "| [`%s`](%s.md) | %s | %s |\n", r.Name, r.Name, r.Level, r.Title)
	}
	return b.String()
}

// IndexText lists the rules for a terminal.
func IndexText(rules []*lint.Rule) string {
	widest := 0
	for _, r := range rules {
		widest = max(widest, len(r.Name))
	}
	var b strings.Builder
	for _, r := range rules {
		fmt.Fprintf(&b, "%-*s  %-7s  %s\n", widest, r.Name, r.Level, r.Title)
	}
	return b.String()
}

// Settings is the page of the settings, in Markdown.
func Settings() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Settings\n\n")
	fmt.Fprintf(&b, "A file called `%s` holds the settings for the block files in its folder and below. Only the nearest one\n", lint.SettingsName)
	fmt.Fprintf(&b, "in or above the folder of a file applies; the search ends at the folder that has `.git`. Lengths are written\n")
	fmt.Fprintf(&b, "in quotes, with their unit, as in the language.\n\n")
	fmt.Fprintf(&b, "| key | value | default | what it does |\n| --- | --- | --- | --- |\n")
	for _, k := range lint.Keys {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", k.Path(), takes(k), unset(k), k.Doc)
	}
	fmt.Fprintf(&b, "| `%s.RULE` | %s | the rule's own | Severity of this rule. What cannot be sewn or read stays an error, as the page of the rule says. |\n\n",
		lint.LevelsTable, strings.Join(lint.LevelNames, ", "))
	b.WriteString("`[[overrides]]` hold for some files alone: `files` is a list of patterns relative to the settings file, and any key but `exclude`\n")
	b.WriteString("and `extends` may follow. A later one counts more than an earlier one.\n\n")
	b.WriteString("```toml\n" + settingsExample + "```\n")
	return b.String()
}

// settingsExample is read by a test.
const settingsExample = `exclude = ["drafts/**"]

[levels]
bias-edge = "hint"
unmarked-join = "off"

[limits]
allowance = "1/8 in" # miniatures

[paper]
size = "a4"

[placement]
shift = "1/16 in"
turn = 2

[[overrides]]
files = ["minis/**"]
levels = { short-seam = "off" }
limits = { patch = "1/8 in" }
`

// Schema is a JSON schema of the settings (draft 2020-12), for editors that
// complete and check TOML files by one.
func Schema(rules []*lint.Rule) string {
	type object = map[string]any
	top := object{}
	tables := map[string]object{}
	for _, k := range lint.Keys {
		into := top
		if k.Table != "" {
			if tables[k.Table] == nil {
				tables[k.Table] = object{}
				top[k.Table] = object{"type": "object", "additionalProperties": false, "properties": tables[k.Table]}
			}
			into = tables[k.Table]
		}
		into[k.Name] = schemaOf(k)
	}
	levels := object{}
	for _, r := range rules {
		names := lint.LevelNames
		if r.AlwaysMandatory() {
			names = []string{r.Level.String()}
		}
		levels[r.Name] = object{"enum": names, "default": r.Level.String(), "description": r.Title + "."}
	}
	top[lint.LevelsTable] = object{"type": "object", "additionalProperties": false, "properties": levels}
	own := maps.Clone(top)
	delete(own, "exclude")
	delete(own, lint.ExtendsKey)
	own[lint.FilesKey] = object{"type": "array", "items": object{"type": "string"}, "description": "The files that this holds for: patterns relative to this file."}
	top[lint.OverridesTable] = object{"type": "array", "items": object{"type": "object", "additionalProperties": false, "required": []string{lint.FilesKey}, "properties": own}}
	text, err := json.MarshalIndent(object{
		"$schema":              "https://json-schema.org/draft/2020-12/schema",
		"title":                lint.SettingsName,
		"type":                 "object",
		"additionalProperties": false,
		"properties":           top,
	}, "", "  ")
	if err != nil {
		panic(err) // maps of strings
	}
	return string(text) + "\n"
}

func schemaOf(k lint.Key) map[string]any {
	s := map[string]any{"description": k.Doc}
	switch k.Kind {
	case lint.Length:
		s["type"] = "string"
		if k.Default != "" {
			s["default"] = k.Default
		}
	case lint.Angle:
		s["type"], s["minimum"], s["maximum"] = "number", 0, 180
		s["default"] = json.Number(k.Default)
	case lint.Whole:
		s["type"], s["minimum"] = "integer", 1
		s["default"] = json.Number(k.Default)
	case lint.Weight:
		s["type"], s["minimum"], s["maximum"] = "integer", 0, 1000
		s["default"] = json.Number(k.Default)
	case lint.OneOf:
		s["enum"] = k.Words
		s["default"] = k.Default
	case lint.Switch:
		s["type"], s["default"] = "boolean", k.Default == "true"
	case lint.Path:
		s["type"] = "string"
	case lint.Globs:
		s["type"], s["items"] = "array", map[string]any{"type": "string"}
	}
	return s
}

func takes(k lint.Key) string {
	return map[lint.KeyKind]string{
		lint.Length: "a length", lint.Angle: "degrees", lint.Whole: "a whole number", lint.Weight: "a whole number, 0 to 1000",
		lint.OneOf: strings.Join(k.Words, " or "), lint.Globs: "a list of patterns", lint.Path: "a path",
		lint.Switch: "true or false",
	}[k.Kind]
}

func unset(k lint.Key) string {
	switch {
	case k.Like != "":
		return "as `" + k.Like + "`"
	case k.Default == "":
		return "none"
	case k.Metric != "":
		return fmt.Sprintf("%s; %s in metric files", k.Default, k.Metric)
	}
	return k.Default
}

func levelWords(r *lint.Rule) string {
	switch {
	case r.Level == lint.Off:
		return "off by default"
	case r.AlwaysMandatory():
		return r.Level.String() + ", cannot be accepted or turned off"
	}
	return r.Level.String()
}

func fenceOf(r *lint.Rule) string {
	if r.Settings != nil {
		return "toml"
	}
	return "block"
}

// example is an example without the line breaks around it.
func example(text string) string { return strings.Trim(text, "\n") }

func indented(text string) string { return "  " + strings.ReplaceAll(text, "\n", "\n  ") }

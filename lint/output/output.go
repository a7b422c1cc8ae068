// Package output writes findings: as text for people and as JSON for programs.
package output

import (
	"io"

	"sewable/lint"
)

// JSON writes the result as one JSON object. Lines and columns count from 1,
// columns in characters; an end is where the next character would stand.
// A finding that is in no block, section or patch has "" or 0 there.
func JSON(w io.Writer, r *lint.Result) error {
	out := document{
		Findings: []finding{},
		Summary: summary{
			r.Files, r.Blocks, r.Count(lint.Error), r.Count(lint.Warning), r.Count(lint.Hint),
		},
	}
	return stream(w, out, "findings", len(r.Findings), func(i int) any { return findingOf(r.Findings[i]) })
}

type document struct {
	Findings []finding `json:"findings"`
	Summary  summary   `json:"summary"`
}

type summary struct {
	Files    int `json:"files"`
	Blocks   int `json:"blocks"`
	Errors   int `json:"errors"`
	Warnings int `json:"warnings"`
	Hints    int `json:"hints"`
}

type place struct {
	File      string `json:"file"`
	Line      int    `json:"line"`
	Column    int    `json:"column"`
	EndLine   int    `json:"endLine"`
	EndColumn int    `json:"endColumn"`
}

type finding struct {
	place
	Rule    string    `json:"rule"`
	Level   string    `json:"level"`
	Message string    `json:"message"`
	Block   string    `json:"block"`
	Size    string    `json:"size,omitempty"`
	Section string    `json:"section"`
	Patch   int       `json:"patch"`
	Related []related `json:"related"`
	Fixes   []fix     `json:"fixes"`
}

type related struct {
	place
	Message string `json:"message"`
}

type fix struct {
	Title   string `json:"title"`
	Certain bool   `json:"certain"`
	Edits   []edit `json:"edits"`
}

type edit struct {
	place
	Text string `json:"text"`
}

func placeOf(p lint.Place) place {
	return place{p.File, p.Start.Line, p.Start.Column, p.End.Line, p.End.Column}
}

func findingOf(f lint.Finding) finding {
	out := finding{
		place: placeOf(f.Place), Rule: f.Rule, Level: f.Level.String(), Message: f.Message,
		Block: f.Block, Size: f.Size, Section: f.Section, Patch: f.Patch,
		Related: make([]related, 0, len(f.Related)), Fixes: make([]fix, 0, len(f.Fixes)),
	}
	for _, r := range f.Related {
		out.Related = append(out.Related, related{placeOf(r.Place), r.Message})
	}
	for _, x := range f.Fixes {
		edits := make([]edit, 0, len(x.Edits))
		for _, e := range x.Edits {
			edits = append(edits, edit{placeOf(e.Place), e.New})
		}
		out.Fixes = append(out.Fixes, fix{x.Title, x.Certain, edits})
	}
	return out
}

package review

import (
	"io"
	"slices"

	"sewable/lang/compare"
	"sewable/lang/geom"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/output"
)

// JSONVersion is raised when a program that reads the form would go wrong with a newer one.
// New fields do not raise it.
const JSONVersion = 1

// JSON writes a report as one JSON object. Lengths are in millimetres. What is new has no
// "before", what is gone no "after". In a list of patches are those whose
// piece, place or label changed. "recut" is "keep", "trim" (the piece cut before is larger than
// needed) or "anew".
func JSON(w io.Writer, r *Report) error {
	out := document{
		Version: JSONVersion, Base: r.Base, Head: r.Head, Paths: list(r.Paths), Headline: r.Headline(),
		NewErrors: r.NewErrors(), Checked: r.Checked,
		Blocks: []jsonBlock{}, Quilts: []jsonQuilt{}, Files: []jsonFile{},
		Groups: []jsonGroup{}, Loosened: []jsonLoosened{}, Unjudged: []jsonUnjudged{},
		Respelt: list(r.Respelt), Skipped: list(r.Skipped), Renamed: []jsonPair[string]{},
	}
	for _, c := range r.Renamed {
		out.Renamed = append(out.Renamed, jsonPair[string]{&c.Before, &c.After})
	}
	for _, g := range r.Groups() {
		out.Groups = append(out.Groups, jsonGroup(g))
	}
	for _, l := range r.Loosened {
		of := jsonFindingsOf(Findings{New: l.Hides, Gone: l.Lowers})
		out.Loosened = append(out.Loosened, jsonLoosened{l.Kind, l.File, l.Line, l.What, of.New, of.Gone})
	}
	for _, u := range r.Unjudged {
		out.Unjudged = append(out.Unjudged, jsonUnjudged(u))
	}
	for _, b := range r.Blocks {
		out.Blocks = append(out.Blocks, jsonBlockOf(b))
	}
	for _, q := range r.Quilts {
		out.Quilts = append(out.Quilts, jsonQuilt{
			Title: q.Name(), State: q.State(), File: q.File, Was: q.Was, Through: list(q.Through), Todo: q.Todo(),
			Reprint: list(q.Paper.Artifacts()), Parts: jsonParts(q.Parts()), Cloth: jsonCloths(q.Cloth), Findings: jsonFindingsOf(q.Findings),
		})
	}
	for _, f := range r.Files {
		out.Files = append(out.Files, jsonFile{f.Path, jsonFindingsOf(f.Findings)})
	}
	return visible.JSON(w, out)
}

type document struct {
	Version   int                `json:"version"`
	Base      string             `json:"base"`
	Head      string             `json:"head"`
	Paths     []string           `json:"paths"` // from the root; none: everything
	Headline  string             `json:"headline"`
	NewErrors int                `json:"newErrors"`
	Checked   int                `json:"checked"` // blocks looked at
	Groups    []jsonGroup        `json:"groups"`  // what matters, first things first
	Loosened  []jsonLoosened     `json:"loosened"`
	Unjudged  []jsonUnjudged     `json:"unjudged"`
	Blocks    []jsonBlock        `json:"blocks"`
	Quilts    []jsonQuilt        `json:"settings"`
	Files     []jsonFile         `json:"files"`
	Respelt   []string           `json:"respelt"`
	Renamed   []jsonPair[string] `json:"renamed"`
	Skipped   []string           `json:"skipped"`
}

type jsonGroup struct {
	Name  string   `json:"name"`
	Title string   `json:"title"`
	Lines []string `json:"lines"`
}

type jsonLoosened struct {
	Kind   string `json:"kind"`
	File   string `json:"file"`
	Line   int    `json:"line"` // 0 for a whole file
	What   string `json:"what"`
	Hides  []any  `json:"hides"`
	Lowers []any  `json:"lowers"`
}

type jsonUnjudged struct {
	Path string `json:"path"`
	Why  string `json:"why"`
}

type jsonPair[T any] struct {
	Before *T `json:"before,omitempty"`
	After  *T `json:"after,omitempty"`
}

type jsonBlock struct {
	Title    string              `json:"title"`
	State    string              `json:"state"` // "", "new" or "gone"
	File     string              `json:"file"`
	Was      string              `json:"was"`
	Through  []string            `json:"through"`
	Todo     string              `json:"todo"`
	Causes   []string            `json:"causes"`  // what changed it through other files; none when its own text changed
	Reprint  []string            `json:"reprint"` // artifacts
	Size     *jsonPair[jsonSize] `json:"size,omitempty"`
	Patches  []jsonPatch         `json:"patches"`
	Sections []jsonSection       `json:"sections"`
	Parts    []jsonPart          `json:"parts"`
	Cloth    []jsonCloth         `json:"cloth"`
	Findings jsonFindings        `json:"findings"`
}

type jsonQuilt struct {
	Title    string       `json:"title"`
	State    string       `json:"state"`
	File     string       `json:"file"`
	Was      string       `json:"was"`
	Through  []string     `json:"through"`
	Todo     string       `json:"todo"`
	Reprint  []string     `json:"reprint"`
	Parts    []jsonPart   `json:"parts"`
	Cloth    []jsonCloth  `json:"cloth"`
	Findings jsonFindings `json:"findings"`
}

type jsonFile struct {
	Path     string       `json:"path"`
	Findings jsonFindings `json:"findings"`
}

type jsonSize struct {
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
}

type jsonPatch struct {
	jsonPair[jsonPiece]
	Shape   bool   `json:"shape"`
	Moved   bool   `json:"moved"`
	Fabric  bool   `json:"fabric"`
	Section bool   `json:"section"`
	Number  bool   `json:"number"`
	Cut     bool   `json:"cut"`
	Recut   string `json:"recut"`
}

type jsonPiece struct {
	Label    string    `json:"label"`
	Fabric   string    `json:"fabric"`
	Finished *jsonSize `json:"finished,omitempty"` // along the seam and across it
	Cut      *jsonCut  `json:"cut,omitempty"`
}

type jsonCut struct {
	Form   string  `json:"form"`
	Along  float64 `json:"along"`
	Across float64 `json:"across"`
}

type jsonSection struct {
	jsonPair[string]
	Outline bool  `json:"outline"`
	Order   []int `json:"order,omitempty"` // old numbers in the new order, 0 for a new patch
	Reprint bool  `json:"reprint"`
	Unread  bool  `json:"unread"`
}

type jsonPart struct {
	Title string     `json:"title"`
	Head  []string   `json:"head,omitempty"`
	Rows  [][]string `json:"rows"`
}

type jsonCloth struct {
	Fabric string     `json:"fabric"`
	Before jsonAmount `json:"before"`
	After  jsonAmount `json:"after"`
}

type jsonAmount struct {
	Pieces int     `json:"pieces"`
	Used   float64 `json:"used"`
	Buy    float64 `json:"buy"`
}

type jsonFindings struct {
	New   []any `json:"new"`
	Gone  []any `json:"gone"`
	Still []any `json:"still"`
}

func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func mm(hairs float64) float64 {
	const fine = 1e4
	return float64(int64(hairs/geom.Millimetre*fine+0.5)) / fine
}

func jsonBlockOf(b Block) jsonBlock {
	out := jsonBlock{
		Title: b.Name(), State: b.State(), File: b.File, Was: b.Was, Through: list(b.Through), Todo: b.Todo(),
		Causes: list(b.causes()), Reprint: list(b.Paper.Artifacts()), Patches: []jsonPatch{}, Sections: []jsonSection{}, Parts: jsonParts(b.Parts()), Cloth: jsonCloths(b.Cloth), Findings: jsonFindingsOf(b.Findings),
	}
	if b.Size != nil {
		size := func(s compare.Size) *jsonSize { return &jsonSize{mm(s.Width), mm(s.Height)} }
		out.Size = &jsonPair[jsonSize]{size(b.Size.Before), size(b.Size.After)}
	}
	for _, p := range b.Patches {
		if p.Same() && (p.Before.Label == p.After.Label) {
			continue
		}
		out.Patches = append(out.Patches, jsonPatch{
			jsonPair[jsonPiece]{jsonPieceOf(p.Before), jsonPieceOf(p.After)},
			p.Shape, p.Moved, p.Fabric, p.Section, p.Number, p.Cut, [...]string{"keep", "trim", "anew"}[p.Recut],
		})
	}
	for _, s := range b.Sections {
		if s.Same() && !s.Unread && (s.After == nil || !slices.Contains(b.Paper.Foundations, s.After.Name)) {
			continue
		}
		c := jsonSection{Outline: s.Outline, Order: s.Order, Reprint: s.After != nil && slices.Contains(b.Paper.Foundations, s.After.Name), Unread: s.Unread}
		if s.Before != nil {
			c.Before = &s.Before.Name
		}
		if s.After != nil {
			c.After = &s.After.Name
		}
		out.Sections = append(out.Sections, c)
	}
	return out
}

func jsonPieceOf(p *compare.Piece) *jsonPiece {
	if p == nil {
		return nil
	}
	out := &jsonPiece{Label: p.Label}
	if p.Fabric != nil {
		out.Fabric = p.Fabric.Name
	}
	if p.Cut != nil {
		out.Finished = &jsonSize{mm(p.Width), mm(p.Height)}
		out.Cut = &jsonCut{p.Cut.Form.String(), mm(p.Cut.Along), mm(p.Cut.Across)}
	}
	return out
}

func jsonParts(parts []Part) []jsonPart {
	out := []jsonPart{}
	for _, p := range parts {
		out = append(out, jsonPart{p.Title, p.Head, p.Rows})
	}
	return out
}

func jsonCloths(cloths []compare.Cloth) []jsonCloth {
	out := []jsonCloth{}
	amount := func(a compare.Amount) jsonAmount { return jsonAmount{a.Pieces, mm(a.Used), mm(a.Buy)} }
	for _, c := range cloths {
		out = append(out, jsonCloth{c.Name, amount(c.Before), amount(c.After)})
	}
	return out
}

func jsonFindingsOf(f Findings) jsonFindings {
	all := func(findings []lint.Finding) []any {
		out := []any{}
		for _, x := range findings {
			out = append(out, output.JSONFinding(x))
		}
		return out
	}
	return jsonFindings{all(f.New), all(f.Gone), all(f.Still)}
}

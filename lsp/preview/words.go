package preview

import (
	"fmt"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/svg"
	"sewable/lang/query"
)

// said is what a window is sent in words: all there is to read and to choose.
type said struct {
	Number     int       `json:"number"`
	File       string    `json:"file"`
	Why        string    `json:"why,omitempty"` // the file cannot be read
	Choices    []choice  `json:"choices"`
	Look       Look      `json:"look"`
	Kind       string    `json:"kind"` // block, setting or empty
	Title      string    `json:"title"`
	Summary    string    `json:"summary"`
	State      string    `json:"state"`
	Old        bool      `json:"old"`
	Line       int       `json:"line"`
	Colourways []way     `json:"colourways"`
	Fabrics    []fabric  `json:"fabrics"`
	Sections   []section `json:"sections"`
	Patches    []patch   `json:"patches"`
	Steps      []step    `json:"steps"`
	Undivided  string    `json:"undivided,omitempty"` // a drawing that has no steps yet, and what gives it some
	Sewable    bool      `json:"sewable"`
	Findings   []finding `json:"findings"`
	More       int       `json:"more"` // findings that are not told
}

// maxFindings is how many findings a window is told, and shown in a drawing.
const maxFindings = 200

type choice struct {
	Title string `json:"title"`
	Kind  string `json:"kind"`
}

type way struct {
	Name  string `json:"name"`
	Title string `json:"title"`
}

type fabric struct {
	Title   string `json:"title"`
	Colour  string `json:"colour"` // as it is drawn
	Patches int    `json:"patches"`
}

type section struct {
	Name  string      `json:"name"`
	Title string      `json:"title"`
	Line  int         `json:"line"`
	Facts [][2]string `json:"facts"`
	SVG   string      `json:"svg"`
}

type patch struct {
	Label   string      `json:"label"`
	Section string      `json:"section"`
	Fabric  string      `json:"fabric"`
	Cut     string      `json:"cut"`
	Facts   [][2]string `json:"facts"`
	Text    []string    `json:"text"`
	Line    int         `json:"line"`
	Column  int         `json:"column"`
}

type step struct {
	Section string `json:"section"` // empty for a join
	Patch   string `json:"patch"`
	Title   string `json:"title"`
	Cut     string `json:"cut"`
	Words   string `json:"words"`
	Note    string `json:"note"`
	Line    int    `json:"line"`
}

type finding struct {
	Level   string `json:"level"`
	Rule    string `json:"rule"`
	Message string `json:"message"`
	Where   string `json:"where"`
	Block   string `json:"block"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
}

// words says what is looked at; i is -1 when there is nothing.
func (at *scene) words(i int, l Look) []byte {
	key := sight{i, Look{Colourway: l.Colourway}}
	if text := at.said[key]; text != nil {
		return text
	}
	out := said{
		Number: at.number, File: at.name(), Why: at.moment.Why, Look: l, Choices: []choice{}, Colourways: []way{},
		Fabrics: []fabric{}, Sections: []section{}, Patches: []patch{}, Steps: []step{}, Findings: []finding{},
	}
	for _, s := range at.subjects {
		kind := "block"
		if s.setting != nil {
			kind = "setting"
		}
		out.Choices = append(out.Choices, choice{s.title(), kind})
	}
	told := at.moment.Findings[:min(maxFindings, len(at.moment.Findings))]
	out.More = len(at.moment.Findings) - len(told)
	for _, f := range told {
		where := ""
		if f.Patch > 0 {
			where = fmt.Sprint(f.Section, f.Patch)
		} else if f.Section != "" {
			where = "section " + f.Section
		}
		out.Findings = append(out.Findings, finding{f.Level.String(), f.Rule, f.Message, where, f.Block, f.Start.Line, f.Start.Column})
	}
	if i >= 0 {
		s := at.subjects[i]
		out.Title, out.Old, out.Kind = s.title(), s.old, out.Choices[i].Kind
		if s.setting != nil {
			out.Line = s.line(s.setting.At)
			out.Summary = "setting"
			if n, m := s.setting.Columns, s.setting.Rows; n > 0 && m > 0 {
				out.Summary = fmt.Sprintf("%d by %d blocks", n, m)
			} else if rows := len(s.setting.OwnRows); rows > 0 {
				out.Summary = fmt.Sprintf("%d rows of blocks", rows)
			}
		} else {
			at.block(&out, i, l)
		}
	}
	if at.said == nil {
		at.said = map[sight][]byte{}
	}
	at.said[key] = encode(out)
	return at.said[key]
}

// line is the line of a place in the file that is shown; 0 for one elsewhere.
func (s *subject) line(p block.Place) int {
	if p.File != s.file.Source {
		return 0
	}
	return p.File.Line(p.Start)
}

func (at *scene) block(out *said, i int, l Look) {
	s := at.subjects[i]
	b := s.block
	out.Line = s.line(b.At)
	out.State = query.State(s.file, b)
	colourway := block.ColourwayOf(b, l.Colourway)
	for _, c := range block.Colourways(b) {
		out.Colourways = append(out.Colourways, way{c.Name, c.Title})
	}
	whole := draw.Block(s.sewn, draw.Options{Colourway: colourway, Labels: draw.NoLabels})
	out.Summary, _, _ = strings.Cut(strings.TrimSuffix(whole.Description, "."), ", seen")

	if b.Undivided() {
		out.Undivided = fmt.Sprintf("This drawing is not divided into sections yet, so there are no sewing steps. "+
			"`sewable plan %s` divides it, and with `--write` changes the file; in the editor, use the fix of the finding.", shell(at.name()))
	}
	plan := at.plan(i, l.Colourway)
	out.Sewable = plan.Sewable
	out.fabrics(plan, fills(whole))
	thumbnails := len(stepsOf(plan)) <= maxSmall
	for _, typed := range b.Sections {
		sec := s.sewn.Known(typed)
		if sec == nil {
			continue
		}
		x := section{Name: sec.Of.Name, Title: sec.Of.Called(), Line: s.line(sec.Of.At), Facts: facts(query.Section(s.file, typed), "")}
		if thumbnails {
			d := draw.Section(sec, draw.Options{Colourway: colourway, Labels: draw.NoLabels, Size: thumbnailSize})
			d.Paper = 0
			x.SVG = string(svg.Append(nil, d, svg.Options{Width: "100%", Height: "100%", Bare: true}))
		}
		out.Sections = append(out.Sections, x)
	}
	for _, t := range stepsOf(plan) {
		out.step(s, t)
	}
	for _, sec := range b.Sections {
		if sec.Broken { // it has no steps
			for _, p := range sec.Patches {
				name, cut := "", ""
				if f := (cloth.Placed{Block: b, Colourway: colourway}).Fabric(p.Fabric); f != nil {
					name = steps.FabricName(f)
				}
				for _, f := range query.Patch(s.file, p).Facts {
					if f.Name == "cut" {
						cut = f.Value
					}
				}
				out.patch(s, p, name, cut)
			}
		}
	}
}

// shell is a file's name as it is typed after a command.
func shell(name string) string {
	if strings.ContainsAny(name, " '()&;$") {
		return `"` + name + `"`
	}
	return name
}

// maxSmall is how many patches a block may have to have small pictures of its sections.
const maxSmall = 400

// step adds a step, and of a patch what there is to say of it.
func (out *said) step(s *subject, t turn) {
	if t.join != nil {
		out.Steps = append(out.Steps, step{
			Title: fmt.Sprintf("Sew %s to %s", steps.Unit(t.join.A), steps.Unit(t.join.B)),
			Words: t.join.Words, Line: s.line(t.join.Of.At),
		})
		return
	}
	p := t.patch.Patch
	title := p.Label() + " " + steps.FabricName(t.patch.Fabric)
	out.Steps = append(out.Steps, step{
		Section: p.Section.Name, Patch: p.Label(), Title: title, Cut: t.patch.Cut,
		Words: t.patch.Words, Note: p.Note, Line: s.line(p.At()),
	})
	out.patch(s, p, steps.FabricName(t.patch.Fabric), t.patch.Cut)
}

// patch adds what there is to say of a patch.
func (out *said) patch(s *subject, p *block.Patch, fabric, cut string) {
	h := query.Patch(s.file, p)
	x := patch{
		Label: p.Label(), Section: p.Section.Name, Fabric: fabric, Cut: cut,
		Facts: facts(h, "cut"), Text: append([]string{}, h.Text...), Line: s.line(p.At()),
	}
	if x.Line > 0 {
		x.Column = p.At().File.Position(p.At().Start).Column
	}
	out.Patches = append(out.Patches, x)
}

// facts are the figures of a hover, but for one that is said elsewhere.
func facts(h *query.HoverText, without string) [][2]string {
	out := [][2]string{}
	for _, f := range h.Facts {
		if f.Name != without {
			out = append(out, [2]string{f.Name, f.Value})
		}
	}
	return out
}

// fills are the colours of the patches in a picture, by their labels.
func fills(d *ink.Drawing) map[string]ink.Colour {
	out := map[string]ink.Colour{}
	for _, it := range d.Layer("patches").Items {
		if path, ok := it.(*ink.Path); ok {
			for _, datum := range path.Data {
				if datum.Key == "patch" {
					out[datum.Value] = path.Fill
				}
			}
		}
	}
	return out
}

// fabrics lists the fabrics as they first come, with the colours they are drawn in.
func (out *said) fabrics(plan *steps.Plan, colours map[string]ink.Colour) {
	at := map[string]int{}
	for _, t := range stepsOf(plan) {
		if t.patch == nil || t.patch.Fabric == nil {
			continue
		}
		title := steps.FabricName(t.patch.Fabric)
		i, ok := at[title]
		if !ok {
			i = len(out.Fabrics)
			at[title] = i
			out.Fabrics = append(out.Fabrics, fabric{Title: title, Colour: colours[t.patch.Patch.Label()].String()})
		}
		out.Fabrics[i].Patches++
	}
}

package preview

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint"
)

// pictureSize is how large a picture is, in hairs: at this size letters and lines are
// fine enough for a large window, and still to be read on a telephone.
const pictureSize = 180 * geom.Millimetre

// shown is what a window is sent of a picture.
type shown struct {
	Number int    `json:"number"`
	Look   Look   `json:"look"`
	SVG    string `json:"svg"`
	Why    string `json:"why,omitempty"` // there is none
	Marks  []int  `json:"marks"`         // the findings that are marked, by their place in the list
}

// picture draws what is looked at.
func (at *scene) picture(i int, l Look) []byte {
	key := sight{i, l}
	if text := at.drawn[key]; text != nil {
		return text
	}
	if len(at.drawn) >= mostDrawn {
		clear(at.drawn)
	}
	out := shown{Number: at.number, Look: l, Marks: []int{}}
	d, err := at.draw(i, l, &out.Marks)
	if err != nil {
		out.Why = err.Error()
	} else {
		out.SVG = string(svg.Append(nil, d, svg.How{Width: "100%", Height: "100%"}))
	}
	at.drawn[key] = encode(out)
	return at.drawn[key]
}

func (at *scene) draw(i int, l Look, marks *[]int) (*ink.Drawing, error) {
	s := at.subjects[i]
	o := draw.Options{Grey: l.Grey, Size: pictureSize, MarksOnly: true}
	if s.setting != nil {
		return draw.Setting(s.setting, s.file.Sewing, o)
	}
	o.Colourway = block.ColourwayOf(s.block, l.Colourway)
	if l.Printed {
		o.View = draw.Printed
	}
	if l.Step > 0 {
		at.sewn(i, l, &o)
	} else {
		for n, f := range at.moment.Findings {
			if f.Block != s.block.Name || n >= mostFindings {
				continue
			}
			if m, ok := mark(f, s.section(l.Section)); ok {
				o.Findings = append(o.Findings, m)
				*marks = append(*marks, n)
			}
		}
	}
	if sec := s.section(l.Section); sec != nil {
		return draw.Section(sec, o), nil
	}
	return draw.Block(s.sewn, o), nil
}

// sewn shows the work as it is while a step is sewn.
func (at *scene) sewn(i int, l Look, o *draw.Options) {
	all := stepsOf(at.plan(i, l.Colourway))
	done := map[*block.Patch]bool{}
	for _, t := range all[:min(l.Step, len(all))] {
		switch {
		case t.patch != nil:
			done[t.patch.Patch] = true
			o.Highlight, o.Stitch = t.patch.Patch, nil
			if seam := t.patch.Seam; seam != nil {
				o.Stitch = []geom.Point{seam.A, seam.B}
			}
		case t.join.Line != nil:
			o.Highlight, o.Stitch = nil, t.join.Line.Line
		default:
			o.Highlight, o.Stitch = nil, nil
		}
	}
	o.Done = func(p *block.Patch) bool { return done[p] }
}

// mark is a finding as a picture marks it. In the picture of a section it is marked
// when it is the section's own, or lies in it or on its outline.
func mark(f lint.Finding, section *sew.Section) (m draw.Finding, ok bool) {
	m = draw.Finding{Level: levels[f.Level], Text: f.Message, Section: f.Section, Patch: f.Patch}
	own := section == nil || f.Section == section.Of.Name
	for _, s := range f.Spots {
		if own || within(section.Outline(), s.Points) {
			m.Spots = append(m.Spots, draw.Spot(s))
		}
	}
	return m, own || len(m.Spots) > 0
}

func within(outline geom.Polygon, points []geom.Point) bool {
	return len(outline) > 2 && !slices.ContainsFunc(points, func(p geom.Point) bool { return outline.Contains(p) == geom.Outside })
}

var levels = map[lint.Level]draw.Level{lint.Hint: draw.Hint, lint.Warning: draw.Warning, lint.Error: draw.Error}

// thumbnailSize is how large the small pictures of sections are.
const thumbnailSize = 24 * geom.Millimetre

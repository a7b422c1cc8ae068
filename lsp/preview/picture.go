package preview

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint/marks"
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
	if len(at.drawn) >= maxDrawn {
		clear(at.drawn)
	}
	out := shown{Number: at.number, Look: l, Marks: []int{}}
	d, err := at.draw(i, l, &out.Marks)
	if err != nil {
		out.Why = err.Error()
	} else {
		out.SVG = string(svg.Append(nil, d, svg.Options{Width: "100%", Height: "100%"}))
	}
	at.drawn[key] = encode(out)
	return at.drawn[key]
}

func (at *scene) draw(i int, l Look, marked *[]int) (*ink.Drawing, error) {
	s := at.subjects[i]
	o := draw.Options{Grey: l.Grey, Size: pictureSize, MarksOnly: true}
	if s.setting != nil {
		return draw.Setting(s.setting, o)
	}
	o.Colourway = block.ColourwayOf(s.block, l.Colourway)
	if l.Printed {
		o.View = draw.Printed
	}
	if l.Step > 0 {
		at.sewn(i, l, &o)
	} else {
		for n, f := range at.moment.Findings {
			if f.Block != s.block.Name || n >= maxFindings {
				continue
			}
			if m, ok := marks.In(s.section(l.Section), f); ok {
				o.Findings = append(o.Findings, m)
				*marked = append(*marked, n)
			}
		}
	}
	if sec := s.section(l.Section); sec != nil {
		o.Marks = append(o.Marks, open(s.sewn, sec.Of.Name)...)
		return draw.Section(sec, o), nil
	}
	for _, sec := range s.block.Sections {
		o.Marks = append(o.Marks, open(s.sewn, sec.Name)...)
	}
	return draw.Block(s.sewn, o), nil
}

// open marks what no patch covers yet in a section of which a line cannot be read. Of any other section that is a
// finding; where a shape is drawn that cannot be placed, it is for that shape to say.
func open(b *sew.Block, name string) (out []draw.Mark) {
	wrong := func(p *block.Patch) bool { return p.Lost && p.Corners != nil }
	for _, s := range b.Of.Sections {
		if known := b.Known(s); s.Name == name && s.Broken && known != nil && !slices.ContainsFunc(s.Patches, wrong) {
			for _, f := range known.Flaws() {
				if f.Kind == sew.Gap {
					out = append(out, draw.Mark{Area: f.Where, Look: draw.Shaded, Name: "Still open in section " + name})
				}
			}
		}
	}
	return out
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

// thumbnailSize is how large the small pictures of sections are.
const thumbnailSize = 24 * geom.Millimetre

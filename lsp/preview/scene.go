package preview

import (
	"path"
	"slices"

	"sewable/lang/block"
	"sewable/lang/draw/steps"
	"sewable/lang/query"
	"sewable/lang/sew"
)

// subject is a block or a setting, and the file it was read from.
type subject struct {
	file    *query.File
	block   *block.Block
	sewn    *sew.Block     // of the block
	setting *block.Setting // when it is no block
	old     bool           // the file as it is now cannot be drawn; this is from before
}

func (s *subject) title() string {
	if s.setting != nil {
		return s.setting.Name
	}
	return s.block.Name
}

// scene is a moment, and what of it was said and drawn already.
type scene struct {
	moment   Moment
	number   int
	subjects []*subject

	said  map[sight][]byte
	drawn map[sight][]byte
	plans map[sight]*steps.Plan
}

// sight is a subject by its place in the scene, as a window looks at it.
type sight struct {
	i    int
	look Look
}

// maxDrawn is how many pictures of one moment are kept.
const maxDrawn = 256

// newScene looks at a moment. A block is shown as it is typed, as far as that can be read; one whose opening line
// cannot be read as it was before.
func newScene(m Moment, number int, before *scene) *scene {
	at := &scene{moment: m, number: number, drawn: map[sight][]byte{}, plans: map[sight]*steps.Plan{}}
	if m.File == nil {
		if before != nil {
			at.subjects = aged(before.subjects)
		}
		return at
	}
	here := map[string]bool{}
	for _, b := range m.File.Blocks {
		here[b.Name] = true
		at.subjects = append(at.subjects, &subject{file: m.File, block: b, sewn: m.File.Sewing(b)})
	}
	// A title that is being typed, a line that cannot be read: the block is thought to be
	// there still.
	unread := m.File.Partial || len(m.File.Tree.Errors) > 0
	if before != nil && unread {
		for i, s := range before.subjects {
			if s.block != nil && !here[s.title()] && len(at.subjects) < len(before.subjects) {
				at.subjects = slices.Insert(at.subjects, min(i, len(at.subjects)), aged([]*subject{s})...)
				here[s.title()] = true
			}
		}
	}
	for _, set := range m.File.Settings {
		at.subjects = append(at.subjects, &subject{file: m.File, setting: set})
	}
	return at
}

// aged are subjects that are not from now.
func aged(all []*subject) []*subject {
	out := make([]*subject, len(all))
	for i, s := range all {
		old := *s
		old.old = true
		out[i] = &old
	}
	return out
}

// name is the name of the file, without the folders before it.
func (at *scene) name() string {
	switch {
	case at.moment.File != nil:
		return path.Base(at.moment.File.Source.Path)
	case len(at.subjects) > 0:
		return path.Base(at.subjects[0].file.Source.Path)
	}
	return ""
}

// resolve is what there is of what a window looks at; -1 when there is nothing.
func (at *scene) resolve(l Look) (int, Look) {
	if len(at.subjects) == 0 {
		return -1, Look{}
	}
	i := slices.IndexFunc(at.subjects, func(s *subject) bool { return s.title() == l.Title })
	if i < 0 {
		i = max(0, min(l.At, len(at.subjects)-1))
	}
	s := at.subjects[i]
	l.Title, l.At = s.title(), i
	if s.block == nil {
		return i, Look{Title: l.Title, At: i, Grey: l.Grey}
	}
	if block.ColourwayOf(s.block, l.Colourway) == nil {
		l.Colourway = ""
	}
	if s.section(l.Section) == nil {
		l.Section = ""
	}
	if l.Step = max(0, l.Step); l.Step > 0 {
		l.Step = min(l.Step, len(stepsOf(at.plan(i, l.Colourway))))
	}
	return i, l
}

func (s *subject) section(name string) *sew.Section {
	for _, sec := range s.block.Sections {
		if sec.Name == name {
			return s.sewn.Known(sec)
		}
	}
	return nil
}

// plan is how a block is sewn.
func (at *scene) plan(i int, colourway string) *steps.Plan {
	key := sight{i, Look{Colourway: colourway}}
	p := at.plans[key]
	if p == nil {
		s := at.subjects[i]
		p = steps.Of(s.sewn, steps.Options{Colourway: block.ColourwayOf(s.block, colourway), Cloth: s.file.Cloth, Unit: s.file.Unit})
		at.plans[key] = p
	}
	return p
}

// turn is one step of the sewing: a patch, or a join.
type turn struct {
	section *steps.Section
	patch   *steps.Step
	join    *steps.Join
}

// stepsOf are the steps of a plan in one row.
func stepsOf(p *steps.Plan) []turn {
	var out []turn
	for i := range p.Sections {
		s := &p.Sections[i]
		for k := range s.Steps {
			out = append(out, turn{section: s, patch: &s.Steps[k]})
		}
	}
	for i := range p.Joins {
		out = append(out, turn{join: &p.Joins[i]})
	}
	return out
}

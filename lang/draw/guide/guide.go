// Package guide says and shows how a block is sewn, one movement of the hands after the
// other: patch by patch on every foundation, then join by join. Pages makes pages of
// it, HTML a page for a screen, of one file and nothing from elsewhere.
package guide

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/draw/hands"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
)

// Part is the steps that belong together: a foundation, the joins, the last moves.
type Part struct {
	Title string
	Lead  string // what is to be known before
	Notes []string
	Steps []Step
}

// Step is one step: its moves, each with a picture.
type Step struct {
	Title string // A2, Morning sky
	Piece string // what to cut; empty for a join
	Note  string
	Moves []Move
	Of    *steps.Step // nil for a join and what follows
	Full  bool        // the moves are in full
	Like  string      // instead of moves: the step that it is like
}

// Move is one movement in words and as a picture, if there is one.
type Move struct {
	steps.Move
	Picture *ink.Drawing
}

// Head is the title of a move, with the side that its picture shows.
func (m Move) Head() string {
	if m.Title == "" || m.Picture == nil || !hands.Printed(m.Kind) {
		return m.Title
	}
	return texts.Fill(texts.OnPrinted, "move", m.Title)
}

// Options are how a guide is written.
type Options struct {
	Short bool // one picture a step, for the experienced
}

// Parts are the steps of a pattern.
func Parts(p sheet.Pattern, o Options) []Part {
	plan := p.Plan()
	var parts []Part
	taught := lessons{said: map[string]bool{}}
	for i := range plan.Sections {
		parts = append(parts, section(p, plan, &plan.Sections[i], o, &taught))
	}
	if len(plan.Joins) > 0 || plan.NoJoins != "" {
		parts = append(parts, joins(p, plan, o, &taught))
	}
	if !plan.Sewable {
		return parts
	}
	last := Step{}
	block := hands.NewBlock(plan, how(p))
	for _, m := range plan.Last {
		last.Moves = append(last.Moves, Move{taught.care(m), block.Measure(m.Kind, hands.Large)})
	}
	return append(parts, Part{Title: texts.TitleLast, Steps: []Step{last}})
}

func how(p sheet.Pattern) hands.Options {
	return hands.Options{Colourway: p.Colourway, Mirrored: p.Mirrored}
}

// section is how a foundation is sewn. The first seam of a block is taught in full, and so is
// the trimming of the first section.
func section(p sheet.Pattern, plan *steps.Plan, s *steps.Section, o Options, taught *lessons) Part {
	scene := hands.NewScene(plan, s, how(p))
	part := Part{Title: s.Head()}
	for _, n := range s.Of.Of.Notes {
		part.Notes = append(part.Notes, n.Text)
	}
	if s.Fault != "" {
		part.Lead, part.Notes = s.Fault, append(part.Notes, ways(p, plan)...)
		part.Steps = []Step{{Moves: []Move{{steps.Move{}, scene.Whole(hands.Whole)}}}}
		return part
	}
	if s.Like != nil {
		part.alike(s, scene)
		return part
	}
	for k := range s.Steps {
		step := &s.Steps[k]
		out := Step{Title: texts.Fill(texts.StepTitle, "patch", steps.Label(step.Patch), "fabric", steps.FabricName(step.Fabric)),
			Piece: step.Cut, Note: step.Patch.Note, Of: step}
		moves := step.Brief
		switch {
		case o.Short:
			moves = []steps.Move{{Kind: steps.Open, Words: step.Words}}
			if k == 0 {
				moves[0].Kind = steps.Light
			}
		case !taught.seam:
			moves, out.Full = step.Full, true
			taught.seam = k > 0
		}
		if k == 0 && !o.Short {
			whole := steps.Move{Title: texts.SectionWhole, Words: s.Sequence(), Kind: steps.Foundation}
			out.Moves = append(out.Moves, Move{whole, scene.Whole(hands.Whole)})
		}
		for _, m := range moves {
			size := hands.Large
			switch {
			case m.Kind == steps.Test && !out.Full:
				size = hands.Inset
			case !out.Full && k > 0 || o.Short:
				size = hands.Small
			}
			out.Moves = append(out.Moves, Move{taught.care(m), scene.Step(k, m.Kind, size)})
		}
		part.Steps = append(part.Steps, out)
	}
	moves := s.Brief
	if !o.Short && !taught.trim {
		moves, taught.trim = s.Finish, true
	}
	if len(moves) > 0 {
		out := Step{Title: texts.Fill(texts.TitleFinish, "section", s.Of.Of.Name)}
		for _, m := range moves {
			var picture *ink.Drawing
			if len(moves) > 1 || len(s.Jogs) > 0 {
				picture = scene.Finish(m.Kind, hands.Large)
			}
			out.Moves = append(out.Moves, Move{taught.care(m), picture})
		}
		part.Steps = append(part.Steps, out)
	}
	return part
}

// alike is a section that is sewn like one before: what differs is the letters.
func (part *Part) alike(s *steps.Section, scene *hands.Scene) {
	like := texts.SectionLike
	if s.Turned() {
		like = texts.SectionTurn
	}
	part.Lead = texts.Fill(like, "section", s.Of.Of.Name, "original", s.Like.Of.Of.Name)
	whole := steps.Move{Title: texts.SectionWhole, Words: s.Sequence(), Kind: steps.Foundation}
	part.Steps = append(part.Steps, Step{Moves: []Move{{whole, scene.Whole(hands.Whole)}}})
	for k := range s.Steps {
		step := &s.Steps[k]
		part.Steps = append(part.Steps, Step{
			Title: texts.Fill(texts.StepTitle, "patch", steps.Label(step.Patch), "fabric", steps.FabricName(step.Fabric)),
			Piece: step.Cut, Note: step.Patch.Note, Of: step, Like: texts.Fill(texts.StepLike, "patch", steps.Label(s.Like.Steps[k].Patch)),
		})
	}
}

// lessons are the moves that were taught in full, and the cautions that were given.
type lessons struct {
	seam, trim bool
	said       map[string]bool
}

// care is a move with those of its cautions that were not given yet: each is given once, with the first move that it belongs to.
func (l *lessons) care(m steps.Move) steps.Move {
	var out []string
	for _, text := range texts.Cautions {
		if strings.Contains(m.Care, text) && !l.said[text] {
			l.said[text] = true
			out = append(out, text)
		}
	}
	m.Care = strings.Join(out, " ")
	return m
}

// ways say again what to fix, where the steps are that cannot be done: what the pattern says of its faults beyond what the plan says.
func ways(p sheet.Pattern, plan *steps.Plan) (out []string) {
	for _, fault := range p.Faults {
		if !slices.Contains(plan.Faults(), fault) {
			out = append(out, fault)
		}
	}
	return out
}

func joins(p sheet.Pattern, plan *steps.Plan, o Options, taught *lessons) Part {
	part := Part{Title: texts.TitleJoins, Lead: plan.NoJoins}
	if plan.NoJoins != "" {
		part.Notes = ways(p, plan)
	}
	block := hands.NewBlock(plan, how(p))
	for i := range plan.Joins {
		j := &plan.Joins[i]
		out := Step{Title: texts.Fill(texts.JoinTitle, "n", strconv.Itoa(i+1), "join", capital(j.Pair()))}
		moves := j.Brief
		if i == 0 && !o.Short {
			moves = j.Full
		}
		for _, m := range moves {
			out.Moves = append(out.Moves, Move{taught.care(m), block.Join(i, m, hands.Large)})
		}
		part.Steps = append(part.Steps, out)
	}
	return part
}

// capital begins a heading with a capital letter where it begins with our own words: names of sections are letters.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// complete gives a pattern the faults of its plan where it has none of its own.
func complete(p sheet.Pattern) sheet.Pattern {
	if len(p.Faults) == 0 {
		p.Faults = p.Plan().Faults()
	}
	return p
}

func check(p sheet.Pattern) error {
	if b := p.Block.Of; b.Broken || len(p.Block.Sections) == 0 {
		return fmt.Errorf("%q could not be read completely, so there are no sewing steps", b.Name)
	}
	return nil
}

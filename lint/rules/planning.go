package rules

import (
	"context"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/sew"
	"sewable/lint"
)

// planFor is how fixes plan: as the settings say, and not for long. They add no seams.
func planFor(s *lint.Settings) edit.PlanFor {
	o := s.PlanFor()
	o.Effort, o.Add = edit.QuickEffort, nil
	return o
}

// planDrawing is the plan of a drawing, and the edits that divide it into sections; nil where there is
// no plan, or it would take long.
func planDrawing(p *lint.Pass, b *block.Block) (*edit.Planned, []lint.Edit) {
	if len(b.Loose) > edit.QuickPatches || len(b.Seams) > edit.QuickPatches || p.File.Partial {
		return nil, nil
	}
	planned, err := edit.Plan(context.Background(), p.File, b, planFor(p.Settings))
	if err != nil || planned.Plan == nil {
		return nil, nil
	}
	return planned, editsOf(p, planned.Edits)
}

// divideSection are the edits that divide a section; nil where there is no plan, or it would take
// long.
func divideSection(p *lint.Pass, s *sew.Section) []lint.Edit {
	if len(s.Of.Patches) > edit.QuickPatches || p.File.Partial {
		return nil
	}
	edits, ok := edit.DivideSection(context.Background(), p.File, s, planFor(p.Settings))
	if !ok {
		return nil
	}
	return editsOf(p, edits)
}

// editsOf are edits of the file as fixes have them.
func editsOf(p *lint.Pass, edits []edit.Edit) []lint.Edit {
	var out []lint.Edit
	for _, e := range edits {
		out = append(out, lint.Replace(p.At(e.At), e.New))
	}
	return out
}

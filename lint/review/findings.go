package review

import (
	"sewable/lang/block"
	"sewable/lang/compare"
	"sewable/lint"
)

// label names a patch of a block; number 0 is the section, and both empty the block.
type label struct {
	section string
	number  int
}

// match says which findings are new, gone and still there. What was found before is
// named as it is called now: a patch that was renumbered, or whose section has another
// letter, keeps its findings. A finding that has become an error is a new one.
//
// The same finding has the same fingerprint; else it is of the same rule, in the same
// patch, section or block, however its statement is spelled now.
func match(old, new []lint.Finding, diff *compare.Block) Findings {
	now := renamed(diff)
	was := make([]lint.Finding, len(old))
	for i, f := range old {
		was[i] = f
		if to, ok := now[label{f.Section, f.Patch}]; ok {
			was[i].Section, was[i].Patch = to.section, to.number
		}
		if len(new) > 0 { // the file and the title may have changed
			was[i].File = new[0].File
			if f.Block != "" {
				was[i].Block = new[0].Block
			}
		}
	}
	partner := make([]int, len(new)) // number in old, from 1
	taken := make([]bool, len(old))
	at := map[lint.Fingerprint]int{}
	for i, p := range lint.Fingerprints(was, "") {
		at[p] = i + 1
	}
	for j, p := range lint.Fingerprints(new, "") {
		if i := at[p]; i > 0 {
			partner[j], taken[i-1] = i, true
		}
	}
	for j, f := range new {
		for i := range was {
			if partner[j] == 0 && !taken[i] && diff != nil && was[i].Rule == f.Rule && was[i].Section == f.Section && was[i].Patch == f.Patch {
				partner[j], taken[i] = i+1, true
			}
		}
	}
	var out Findings
	for j, f := range new {
		if i := partner[j]; i == 0 || f.Level == lint.Error && old[i-1].Level < lint.Error {
			out.New = append(out.New, f)
		} else {
			out.Still = append(out.Still, f)
		}
	}
	for i, f := range old {
		if !taken[i] {
			out.Gone = append(out.Gone, f)
		}
	}
	return out
}

// renamed says what the sections and patches of a block are called now.
func renamed(diff *compare.Block) map[label]label {
	out := map[label]label{}
	if diff == nil {
		return out
	}
	for _, s := range diff.Sections {
		if s.Before != nil && s.After != nil {
			out[label{s.Before.Name, 0}] = label{s.After.Name, 0}
		}
	}
	for _, p := range diff.Patches {
		if p.Before != nil && p.After != nil {
			out[labelOf(p.Before.Patch)] = labelOf(p.After.Patch)
		}
	}
	return out
}

func labelOf(p *block.Patch) label {
	if p.Section == nil {
		return label{}
	}
	return label{p.Section.Name, p.Number}
}

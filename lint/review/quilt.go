package review

import (
	"fmt"
	"strings"

	"sewable/lang/block"
	"sewable/lang/compare"
	"sewable/lang/english"
)

// Name is what the quilt is called now, or was.
func (q Quilt) Name() string {
	if q.After != nil {
		return q.After.Name
	}
	return q.Before.Name
}

// State is a word for what became of it, or empty: new, gone.
func (q Quilt) State() string { return stateOf(q.Before == nil, q.After == nil) }

// Where says in which file it is, and through what else it changed.
func (q Quilt) Where() string { return where(q.File, q.Was, q.Through, q.Spelling) }

// Parts is all that is said of the quilt.
func (q Quilt) Parts() []Part {
	return parts(q.heads(), q.blocks(), clothPart(q.Cloth, q.Unit), q.Findings.part())
}

func (q Quilt) heads() Part {
	p := Part{Title: "The quilt"}
	for _, side := range []struct {
		when string
		err  error
	}{{"before the change", q.Faulty.Before}, {"after the change", q.Faulty.After}} {
		if side.err != nil {
			first, _, _ := strings.Cut(side.err.Error(), "\n")
			p.say("its fabric could not be calculated %s: %s", side.when, first)
		}
	}
	if q.Title != nil {
		p.say("it is now called %s; it was %s", quoted(q.Title.After), quoted(q.Title.Before))
	}
	if q.Size != nil {
		p.say("finished size: %s", fromTo(sizes(q.Size, q.Unit)))
	}
	if q.Rows != nil {
		p.say("rows: %d → %d", q.Rows.Before, q.Rows.After)
	}
	if q.Columns != nil {
		p.say("columns: %d → %d", q.Columns.Before, q.Columns.After)
	}
	if q.OnPoint != nil {
		p.say("%s", map[bool]string{true: "the blocks are now on point", false: "the blocks are now set square"}[q.OnPoint.After])
	}
	for _, part := range q.Quilt.Parts {
		p.say("%s: %s", part.Name, fromTo(q.strip(part.Before), q.strip(part.After)))
	}
	for _, x := range []struct {
		name string
		is   *compare.Pair[bool]
	}{{"sashing round the outside", q.Around}, {"batting", q.Batting}} {
		if x.is != nil {
			p.say("%s: %s", x.name, map[bool]string{true: "no → yes", false: "yes → no"}[x.is.After])
		}
	}
	for _, n := range q.Notes {
		noteLine(&p, n)
	}
	return p
}

// strip is a part of a setting in a few words.
func (q Quilt) strip(s *block.Strip) string {
	switch {
	case s == nil:
		return "none"
	case s.Width.Sign() > 0:
		return length(s.Width.Float64(), q.Unit) + " of " + nameOf(s.Fabric)
	}
	return nameOf(s.Fabric)
}

func nameOf(f *block.Fabric) string {
	if f == nil {
		return "an unknown fabric"
	}
	return f.Called()
}

func (q Quilt) blocks() Part {
	p := Part{Title: "Blocks"}
	for _, b := range q.Blocks {
		p.say("%s: %s", laidName(b), fromTo(fmt.Sprint(b.Count.Before), fmt.Sprint(b.Count.After)))
	}
	if q.Arranged && len(q.Blocks) == 0 {
		p.say("the same blocks are arranged differently")
	}
	return p
}

func laidName(b compare.Laid) string {
	if b.Colourway != "" {
		return b.Block + " " + b.Colourway
	}
	return b.Block
}

// Todo says in a sentence what the change of the quilt asks for.
func (q Quilt) Todo() string {
	switch {
	case q.Before == nil:
		return "new."
	case q.After == nil:
		return "gone."
	case q.Faulty.After != nil:
		return "it cannot be laid out or cut as it is."
	}
	var does []string
	if cut := q.recut(); cut != "" {
		does = append(does, "recut "+cut)
	}
	if len(q.Cloth) > 0 {
		var names []string
		for _, c := range q.Cloth {
			names = append(names, c.Name)
		}
		if len(names) > 6 {
			names = []string{fmt.Sprintf("%d fabrics", len(names))}
		}
		does = append(does, "different amounts of "+english.List(names))
	}
	if len(does) == 0 {
		does = append(does, "nothing to recut")
	}
	if q.Paper.Any() {
		does = append(does, "reprint "+q.Paper.Words())
	}
	return sentence(strings.Join(does, "; "))
}

// recut names the parts of a quilt beside the blocks that are to be cut.
func (q Quilt) recut() string {
	var cut []string
	for _, p := range q.Quilt.Parts {
		if p.After != nil {
			cut = append(cut, p.Name)
		}
	}
	switch {
	case q.Before == nil || q.After == nil || q.Faulty.After != nil:
		return ""
	case len(cut) == 0 && q.Size != nil:
		return "sashing and borders"
	}
	return english.List(cut)
}

package rules

import (
	"slices"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/sew"
	"sewable/lint"
)

var unsewableOrder = &lint.Rule{
	Name:  "unsewable-order",
	Level: lint.Error,
	Title: "A patch that cannot be sewn at its number, although another order works",
	Why: `A patch is placed right sides together, stitched along one straight line, flipped open and
pressed. If what is already sewn gives it two edges that do not line up, one line cannot catch
both: the quilter unpicks, or sews a Y-seam on paper. The numbers are printed on the foundation,
so everybody gets stuck at the same patch.`,
	Bad: `
fabric sky
fabric water

block "Three Tides" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
    patch 3 water (2, 0) (4, 0) (4, 2) (2, 2) // accept same-fabric-seam: two tides are to be seen
  }
}
`,
	Good: `
fabric sky
fabric water

block "Three Tides" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 water (2, 0) (4, 0) (4, 2) (2, 2) // accept same-fabric-seam: two tides are to be seen
    patch 3 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       unsewableOrders,
}

func unsewableOrders(p *lint.Pass) {
	for s := range sections(p) {
		bad := s.FirstUnsewable()
		if bad == nil {
			continue
		}
		order := s.Order()
		if order == nil {
			continue
		}
		r := p.Report(bad.Patch.ShapeAt(), "%s %s. %s: order %s works", lint.Label(bad.Patch), trouble(p, bad), instead(s, bad.Patch, order), numbers(order)).
			Patch(bad.Patch)
		markContact(r, bad.Contact)
		for _, on := range slices.Concat(bad.On...) {
			r.Related(on.ShapeAt(), "%s is sewn before it", lint.Label(on))
		}
		edits := renumber(p, s, order)
		if changesACut(s, order) {
			// A cut size is said along the seam, and the seams change.
			r.Suggest("Renumber section "+s.Of.Name, edits...)
		} else {
			r.Fix("Renumber section "+s.Of.Name, edits...)
		}
	}
}

// trouble says what happens at the machine when the patch is sewn in its turn.
func trouble(p *lint.Pass, bad *sew.Unsewable) string {
	c := bad.Contact
	onto := make([]string, len(bad.On))
	for i, leg := range bad.On {
		onto[i] = labels(leg)
	}
	seams := map[int]string{2: "two", 3: "three", 4: "four"}[len(c.Legs)]
	if seams == "" {
		seams = strconv.Itoa(len(c.Legs))
	}
	switch c.Kind {
	case sew.Bent:
		return sprintf("needs %s seams, which meet at %s (onto %s)", seams, lint.Degrees(c.Angle), english.List(onto))
	case sew.Apart:
		return sprintf("needs %s seams, which do not line up (onto %s)", seams, english.List(onto))
	case sew.Broken:
		return sprintf("is sewn on a line that has a gap at %s (onto %s)", p.Point(c.At), english.List(onto))
	case sew.Corner:
		return sprintf("touches the patches before it only at a corner, at %s", p.Point(c.At))
	case sew.PointHeld:
		return sprintf("is held to the patches before it only by a point, at %s", p.Point(c.At))
	}
	return "touches no patch that is sewn before it"
}

// instead says where the patch moves to: before the first patch that it now
// follows too late, or after the last that it now precedes.
func instead(s *sew.Section, patch *block.Patch, order []int) string {
	at := slices.Index(order, patch.Number)
	for _, n := range order[at+1:] {
		if n < patch.Number {
			return sprintf("Sew it before %s%d", s.Of.Name, n)
		}
	}
	for _, n := range slices.Backward(order[:at]) {
		if n > patch.Number {
			return sprintf("Sew it after %s%d", s.Of.Name, n)
		}
	}
	return "Sew the others in another order"
}

func numbers(order []int) string {
	words := make([]string, len(order))
	for i, n := range order {
		words[i] = strconv.Itoa(n)
	}
	const most = 30
	if len(words) > most {
		return strings.Join(words[:most], " ") + " …"
	}
	return strings.Join(words, " ")
}

// renumber gives every patch its place in the order as its number; the picture stays.
func renumber(p *lint.Pass, s *sew.Section, order []int) []lint.Edit {
	return editsOf(p, edit.Renumber(s.Of, order))
}

// changesACut reports whether a patch with a designer's cut size would change its place in
// the order.
func changesACut(s *sew.Section, order []int) bool {
	for i, n := range order {
		if patch := s.Of.Patches[n-1]; patch.Cut != nil && n != i+1 {
			return true
		}
	}
	return false
}

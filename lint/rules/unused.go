package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

// reportUnused says which of the named things nothing in the file refers to.
// A file with a line that cannot be read may use any name there, so nothing is said of
// it. Whether a removal is certain is the caller's to know; mark, when there is one, says where the thing lies.
func reportUnused[T any](p *lint.Pass, things []T, named func(T) *block.Named, blk *block.Block, certain bool, mark func(*lint.Report, T)) {
	if p.File.Partial || len(things) == 0 || anyUnknown(p, named(things[0]).Kind) {
		return
	}
	for _, thing := range things {
		n := named(thing)
		if p.Used(n) {
			continue
		}
		r := p.Report(n.At, "The %s %s is never used. Remove it, or use it", sort(n.Kind.String()), n.Name).Block(blk).Unused()
		if mark != nil {
			mark(r, thing)
		}
		title := sprintf("Remove the %s %s", sort(n.Kind.String()), n.Name)
		if certain {
			r.Fix(title, p.DeleteItem(n.Item))
		} else {
			r.Suggest(title, p.DeleteItem(n.Item))
		}
	}
}

// anyUnknown reports whether the file says a name of that kind that nothing has:
// it may have been meant for one that seems unused.
func anyUnknown(p *lint.Pass, kind block.Kind) bool {
	for _, bad := range p.File.Problems {
		if bad.Kind == block.UnknownName && bad.What == kind.String() {
			return true
		}
	}
	return false
}

package query

import "sewable/lang/syntax"

// SignatureAt is the innermost form of a point at an offset, or else the form of the
// statement there, with the part that comes next; nil when neither is.
func SignatureAt(f *File, offset int) *syntax.Signature {
	x := &completion{f: f, c: At(f, offset)}
	x.at.Start, x.at.End = offset, offset
	if x.inComment() {
		return nil
	}
	x.split()
	s := x.next().Signature
	if len(x.before) == 0 || s.Shape == "" {
		return nil
	}
	s.Meaning = sentence(s.Meaning)
	return &s
}

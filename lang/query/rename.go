package query

import (
	"errors"
	"fmt"
	"unicode"
	"unicode/utf8"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Renaming is a name that can be changed, and where it stands under the cursor.
type Renaming struct {
	Named *block.Named
	Notch *block.Notch // a notch is not a Named: its partners go by its name
	In    *block.Block // of the notch
	At    source.Span
	Name  string

	from *File // in which the name is changed
}

// PrepareRename is the name under the cursor. The error says why there is none.
func PrepareRename(f *File, offset int) (*Renaming, error) {
	c := At(f, offset)
	switch {
	case c.Notch != nil && c.Token.Span == c.Notch.NameAt.Span:
		return &Renaming{Notch: c.Notch, In: c.Block, At: c.Token.Span, Name: c.Notch.Name, from: f}, nil
	case c.Named == nil && c.Token.Kind == syntax.KindWord:
		return nil, fmt.Errorf("`%s` is a word of the language and has no other name", c.Token.Text)
	case c.Named == nil:
		return nil, errors.New("nothing here has a name")
	}
	at := c.NameAt
	if c.Named.Kind == block.KindBlock || c.Named.Kind == block.KindSetting { // a title, between its quotes
		at = source.Span{Start: at.Start + 1, End: at.End - 1}
	}
	return &Renaming{Named: c.Named, At: at, Name: c.Named.Name, from: f}, nil
}

// CheckName says why a name cannot be given to a thing; nil when it can.
func CheckName(kind block.Kind, name string) error {
	if kind == block.KindBlock || kind == block.KindSetting {
		for _, r := range name {
			if r == '\n' || r == '\r' {
				return errors.New("a title stands on one line")
			}
		}
		return nil
	}
	tokens := syntax.Tokens(name)
	switch {
	case name == "":
		return errors.New("a name is wanted")
	case len(tokens) == 1 && tokens[0].Kind == syntax.KindWord:
		return fmt.Errorf("`%s` is a word of the language and cannot be a name", name)
	case len(tokens) != 1 || tokens[0].Kind != syntax.KindName || tokens[0].Text != name:
		return fmt.Errorf("`%s` is not a name: a name begins with a letter, and letters, digits and _ follow", name)
	case utf8.RuneCountInString(name) > syntax.MaxNameLength:
		return fmt.Errorf("a name has at most %d characters", syntax.MaxNameLength)
	}
	if last, _ := utf8.DecodeLastRuneInString(name); kind == block.KindSection && unicode.IsDigit(last) {
		return errors.New("a section's name may not end in a digit: labels are section and number, C4")
	}
	return nil
}

// CheckClash says which thing of a file already has a name, or would be hidden
// by it; nil when none has.
func CheckClash(f *File, r *Renaming, name string) error {
	if r.Named == nil || name == r.Name {
		return nil
	}
	k := KeyOf(r.Named)
	owner := find(f.File, r.Named).in
	for t := range things(f.File) {
		if clashes(r.Named.Kind, t.named.Kind) && t.named.Name == name && KeyOf(t.named) != k && (t.in == nil || owner == nil || t.in == owner) {
			return r.taken(t.named)
		}
	}
	for _, u := range f.Uses {
		if u.File == nil {
			continue
		}
		for t := range things(u.File) {
			if t.in == nil && clashes(r.Named.Kind, t.named.Kind) && t.named.Name == name && KeyOf(t.named) != k {
				return r.taken(t.named)
			}
		}
	}
	return nil
}

// taken says which thing has a name already, and where, as seen from the file at hand.
func (r *Renaming) taken(by *block.Named) error {
	file := "this file"
	if by.At.File.Path != r.from.Source.Path {
		file = r.from.usedAs(by.At.File)
	}
	return fmt.Errorf("there is a %s called %s already, on line %d of %s",
		by.Kind, by.Name, by.At.File.Line(by.At.Start), file)
}

// clashes reports whether one name can mean both: points and seams share theirs.
func clashes(a, b block.Kind) bool {
	line := func(k block.Kind) bool { return k == block.KindPoint || k == block.KindSeam }
	return a == b || line(a) && line(b)
}

// Rename gives the changes to one file.
func Rename(f *block.File, r *Renaming, name string) []edit.Edit {
	if r.Notch != nil {
		var out []edit.Edit
		for _, n := range allNotches(r.In) {
			if n.Name == r.Name && n.Of == nil {
				out = append(out, edit.Edit{At: n.NameAt.Span, New: name})
			}
		}
		return out
	}
	var out []edit.Edit
	for _, at := range References(f, KeyOf(r.Named), true) {
		new := name
		if r.Named.Kind == block.KindBlock || r.Named.Kind == block.KindSetting {
			new = quoted(name)
		}
		out = append(out, edit.Edit{At: at, New: new})
	}
	return out
}

// quoted is a title as it is typed.
func quoted(s string) string {
	out := []byte{'"'}
	for i := 0; i < len(s); i++ {
		if s[i] == '"' || s[i] == '\\' {
			out = append(out, '\\')
		}
		out = append(out, s[i])
	}
	return string(append(out, '"'))
}

package lint

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Rule is one thing that is checked. Everything that is known of it is here:
// a rule without documentation does not pass Validate.
type Rule struct {
	Name  string // kebab-case: "unsewable-order"
	Level Level
	Title string // what is wrong, in one line without a full stop
	Why   string // why it matters at the sewing machine; paragraphs of plain text
	Bad   string // a whole file that gives this finding once and no other
	Good  string // the same file, mended: no finding of any rule
	Since string // the version that brought the rule

	// Mandatory says why no accept, no level and no baseline suppresses what the rule
	// finds: Unsewable or Unreadable. Empty: they do.
	Mandatory string
	// MandatoryWhere, if set, limits Mandatory to the findings made with Pass.Insist, and says
	// which these are: "where there is no allowance at all".
	MandatoryWhere string

	// Exactly one of these is set.

	// Run looks at the model of a file.
	Run func(*Pass)
	// Accepts looks at the accepts of a file once every Run is done, and
	// knows how many findings each of them hid.
	Accepts func(*Pass, []Accepted)
	// Settings looks at a settings file. Bad and Good are then the text of
	// a sewable.toml, and Pass.File is nil.
	Settings func(*Pass, *SettingsFile)
}

// Why a finding is mandatory.
const (
	Unsewable  = "what it reports cannot be sewn"
	Unreadable = "until it is fixed, nobody can tell whether the block can be sewn"
)

// AlwaysMandatory reports whether all that the rule finds is mandatory.
func (r *Rule) AlwaysMandatory() bool { return r.Mandatory != "" && r.MandatoryWhere == "" }

var (
	ruleName = regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	version  = regexp.MustCompile(`^\d+\.\d+$`)
)

// Validate says what is wrong with a list of rules: a name that is not
// kebab-case or there twice, a field left empty, no function or several.
func Validate(rules []*Rule) error {
	var errs []error
	seen := map[string]bool{}
	for _, r := range rules {
		bad := func(format string, args ...any) {
			errs = append(errs, fmt.Errorf("rule %q: %s", r.Name, fmt.Sprintf(format, args...)))
		}
		if !ruleName.MatchString(r.Name) {
			bad("the name is not kebab-case")
		}
		if seen[r.Name] {
			bad("the name is there twice")
		}
		seen[r.Name] = true
		if r.Level < Off || r.Level > Error {
			bad("no level")
		}
		for _, f := range []struct{ name, text string }{
			{"Title", r.Title}, {"Why", r.Why}, {"Bad", r.Bad}, {"Good", r.Good},
		} {
			if strings.TrimSpace(f.text) == "" {
				bad("%s is empty", f.name)
			}
		}
		if strings.Contains(r.Title, "\n") || strings.HasSuffix(r.Title, ".") {
			bad("the title is one line without a full stop")
		}
		if !version.MatchString(r.Since) {
			bad("Since %q is not a version such as 0.1", r.Since)
		}
		if r.Mandatory == "" && r.MandatoryWhere != "" {
			bad("MandatoryWhere without Mandatory")
		}
		if r.Mandatory != "" && (r.Level != Error || r.Run == nil) {
			bad("a mandatory rule looks at the model, at error level")
		}
		functions := 0
		for _, set := range []bool{r.Run != nil, r.Accepts != nil, r.Settings != nil} {
			if set {
				functions++
			}
		}
		if functions != 1 {
			bad("exactly one of Run, Accepts and Settings is to be set, not %d", functions)
		}
	}
	return errors.Join(errs...)
}

// ValidateFinding says what is wrong with the form of a finding. The tests
// hold every finding they see against it.
func ValidateFinding(f Finding) error {
	var errs []error
	bad := func(format string, args ...any) {
		errs = append(errs, fmt.Errorf("%s: %s: %s", f.Place, f.Rule, fmt.Sprintf(format, args...)))
	}
	if f.Level < Hint || f.Level > Error {
		bad("level %s", f.Level)
	}
	if strings.TrimSpace(f.Message) == "" || strings.Contains(f.Message, "\n") {
		bad("the message %q is not one line", f.Message)
	}
	if strings.Contains(f.Message, "%!") {
		bad("the message %q was formatted wrongly", f.Message)
	}
	if f.Span.Start > f.Span.End || f.Start.Line < 1 {
		bad("no place: %v", f.Span)
	}
	for _, r := range f.Related {
		if strings.TrimSpace(r.Message) == "" {
			bad("a related place without a message")
		}
	}
	for _, fix := range f.Fixes {
		if !isVerbPhrase(fix.Title) {
			bad("the fix title %q is not a verb phrase such as \"Renumber the section\"", fix.Title)
		}
		if len(fix.Edits) == 0 {
			bad("the fix %q changes nothing", fix.Title)
		}
	}
	return errors.Join(errs...)
}

// fixVerbs are the verbs that fix titles begin with. A new one is added here.
var fixVerbs = map[string]bool{
	"Accept": true, "Add": true, "Change": true, "Close": true, "Divide": true, "Drop": true, "Exchange": true, "Give": true,
	"Join": true, "Lower": true, "Make": true, "Merge": true, "Mark": true, "Move": true, "Name": true, "Press": true, "Put": true, "Remove": true,
	"Rename": true, "Renumber": true, "Reorder": true, "Replace": true, "Sew": true, "Split": true, "Swap": true,
	"Turn": true, "Use": true, "Widen": true, "Write": true,
}

func isVerbPhrase(title string) bool {
	verb, rest, _ := strings.Cut(title, " ")
	last, _ := utf8.DecodeLastRuneInString(rest)
	// A name may end in _, and a word of the language in a backquote.
	return fixVerbs[verb] && rest != "" && (last == '_' || last == '`' || !unicode.IsPunct(last))
}

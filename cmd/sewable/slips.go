package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"sewable/lang/english"
	"sewable/lint"
)

// slip is what is wrong with the arguments, as we say it, and whose help says what they should have been.
func slip(err error) error {
	parse := (*kong.ParseError)(nil)
	if !errors.As(err, &parse) {
		return err
	}
	of := "sewable"
	for _, at := range parse.Context.Path {
		if at.Command != nil {
			of += " " + at.Command.Name
		}
	}
	said := err.Error()
	for _, s := range slips {
		if m := s.said.FindStringSubmatch(said); m != nil {
			said = s.say(parse.Context.Selected(), m)
			break
		}
	}
	return fmt.Errorf("%s (see %s --help)", said, of)
}

// slips are the library's sentences and ours. The command is nil before one is named.
var slips = []struct {
	said *regexp.Regexp
	say  func(command *kong.Node, m []string) string
}{
	{regexp.MustCompile(`^missing flags: |^expected `), func(command *kong.Node, _ []string) string {
		if command == nil {
			return `missing command, such as "sewable lint"`
		}
		return command.Name + " needs " + strings.Join(lacking(command), ", and ")
	}},
	{regexp.MustCompile(`(?s)^unexpected argument (.+?)(?:, did you mean (?:one of )?(.*)\?)?$`), func(command *kong.Node, m []string) string {
		if command == nil {
			return fmt.Sprintf("there is no command called %q%s", m[1], lint.DidYouMean(choice(m[2])))
		}
		return fmt.Sprintf("%s takes no argument %q", command.Name, m[1])
	}},
	{regexp.MustCompile(`(?s)^unknown flag (.+?)(?:, did you mean (?:one of )?(.*)\?)?$`), func(_ *kong.Node, m []string) string {
		return fmt.Sprintf("there is no flag %s%s", m[1], lint.DidYouMean(choice(m[2])))
	}},
	{regexp.MustCompile(`^--(\S+): (?:missing value,|expected .* but got .* \((?:<EOL>|\w+ flag)\))`), func(command *kong.Node, m []string) string {
		i := slices.IndexFunc(command.Flags, func(f *kong.Flag) bool { return f.Name == m[1] })
		return fmt.Sprintf("--%s needs a value: %s", m[1], purpose(command.Flags[i].Help))
	}},
	{regexp.MustCompile(`^(\S+) must be one of (.*) but got (".*")$`), func(_ *kong.Node, m []string) string {
		return fmt.Sprintf("%s is %s; it must be %s", m[1], m[3], choice(m[2]))
	}},
	{regexp.MustCompile(`^(--\S+): expected a valid .* int but got (".*")$`), func(_ *kong.Node, m []string) string {
		return fmt.Sprintf("%s is %s; it must be a whole number", m[1], m[2])
	}},
	{regexp.MustCompile(`^(--\S+): expected duration but got (".*?")`), func(_ *kong.Node, m []string) string {
		return fmt.Sprintf("%s is %s; it must be a duration, such as 5s", m[1], m[2])
	}},
	{regexp.MustCompile(`^(--\S+): bool value .* but got (".*")$`), func(_ *kong.Node, m []string) string {
		return fmt.Sprintf("%s takes no value, found %s", m[1], m[2])
	}},
}

// lacking are the arguments and flags that a command needs and has not got, with what each is for.
func lacking(command *kong.Node) (out []string) {
	for _, arg := range command.Positional {
		if arg.Required && !arg.Set {
			out = append(out, arg.Summary()+": "+purpose(arg.Help))
		}
	}
	for _, f := range command.Flags {
		if f.Required && !f.Set {
			out = append(out, fmt.Sprintf("-%c %s: %s", f.Short, f.FormatPlaceHolder(), purpose(f.Help)))
		}
	}
	return out
}

// purpose is the first clause of a help, to go on a sentence with.
func purpose(help string) string {
	what := clauseEnd.Split(help, 2)[0]
	return strings.ToLower(what[:1]) + what[1:]
}

var clauseEnd = regexp.MustCompile(`[:;.](?: |$)`)

// choice is a list of the library's, `"letter","a4",""`, as people say it: letter or a4.
func choice(list string) string {
	var words []string
	for _, m := range quotedWord.FindAllStringSubmatch(list, -1) {
		words = append(words, m[1])
	}
	return english.Choice(words)
}

var quotedWord = regexp.MustCompile(`"([^"]+)"`)

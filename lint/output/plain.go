package output

import (
	"regexp"
	"strings"

	"sewable/lang/visible"
)

// Plain is text on one line, without what a terminal or the log of a CI system takes for a
// command: files, and what they call things, may have any name.
func Plain(s string) string { return logged(visible.Text(s)) }

// PlainLine is Plain with tabs left as they are: for a line of a text.
func PlainLine(s string) string { return logged(visible.KeepTabs(s)) }

// logged is a line in which a space breaks up what begins a command to a log.
func logged(s string) string {
	at := commandsIn(s)
	for i := len(at) - 1; i >= 0; i-- {
		s = s[:at[i]] + " " + s[at[i]:]
	}
	return s
}

// What begins a command: "::" at the start of a line, behind white space too
// (github.com/actions/runner, ActionCommand.cs), "##[" and "##vso[" anywhere in it (there,
// and github.com/microsoft/azure-pipelines-agent, Command.cs). Those programs may compare as a
// language does, to which characters that only format are nothing.
var (
	commandAhead  = regexp.MustCompile(`^[\s\p{Z}\p{Cf}]*:\p{Cf}*(:)`)
	commandWithin = regexp.MustCompile(`#\p{Cf}*(#)\p{Cf}*(?i:v\p{Cf}*s\p{Cf}*o\p{Cf}*)?\[`)
)

// commandsIn are the places, in bytes, at which a space makes a line plain: in "::" and "##".
func commandsIn(line string) (at []int) {
	if m := commandAhead.FindStringSubmatchIndex(line); m != nil {
		at = append(at, m[2])
	}
	if strings.Count(line, "#") < 2 {
		return at
	}
	for _, m := range commandWithin.FindAllStringSubmatchIndex(line, -1) {
		at = append(at, m[2])
	}
	return at
}

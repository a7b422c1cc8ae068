package linttest

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"sewable/lint"
)

// Want is a finding that a file says it has:
//
//	patch 4 sky beyond (0, 1) (2, 2)   // want unsewable-order "38°"
//
// names the rule and a part of the message. It is for the line on which it
// stands, where the finding is to start; alone on a line, for the next line that is
// no want itself. `// want@7` is for line 7, where no comment can stand on or above
// the line. Several wants may follow each other in one comment. In a settings file
// the comment begins with #.
type Want struct {
	Line    int
	Rule    string
	Message string
}

func (w Want) String() string { return fmt.Sprintf("line %d: %s %q", w.Line, w.Rule, w.Message) }

var want = regexp.MustCompile(`(?://|#) want(@\d+)? ([a-z-]+) "((?:[^"\\]|\\.)*)"`)

// Wants reads what a text says of its findings.
func Wants(text string) []Want {
	var out []Want
	var waiting []int // wants of the lines above, for the next line
	for i, line := range strings.Split(text, "\n") {
		found := want.FindAllStringSubmatch(line, -1)
		alone := len(found) > 0 && want.FindStringIndex(strings.TrimSpace(line))[0] == 0
		if !alone {
			for _, w := range waiting {
				out[w].Line = i + 1
			}
			waiting = nil
		}
		for _, m := range found {
			message := strings.ReplaceAll(m[3], `\"`, `"`)
			w := Want{i + 1, m[2], message}
			switch {
			case m[1] != "":
				w.Line, _ = strconv.Atoi(m[1][1:])
			case alone:
				waiting = append(waiting, len(out))
			}
			out = append(out, w)
		}
	}
	return out
}

// Match holds findings and wants against each other, one to one. It gives
// what is missing and what nobody wanted.
func Match(findings []lint.Finding, wants []Want) (missing []Want, unexpected []lint.Finding) {
	open := append([]Want(nil), wants...)
	for _, f := range findings {
		hit := -1
		for i, w := range open {
			if w.Line == f.Start.Line && w.Rule == f.Rule && strings.Contains(f.Message, w.Message) {
				hit = i
				break
			}
		}
		if hit < 0 {
			unexpected = append(unexpected, f)
			continue
		}
		open = append(open[:hit], open[hit+1:]...)
	}
	return open, unexpected
}

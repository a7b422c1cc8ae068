// Package lint checks block files.
//
// A Rule is a value: its name, its documentation and one function. A rule
// reads the model of a file through a Pass and reports Findings; it never
// prints, never reads files, and never looks at what another rule said. The
// same value feeds the command, the editor, the pages and the tests.
//
// # How a finding comes about
//
//	File      one model, the rules, the settings    → findings
//	Run       many files from disk, in parallel     → findings in file and line order
//	Accepts   `// accept rule: reason` hides findings; rules about accepts run last
//	Settings  sewable.toml, found upwards from each file
//
// Findings hold plain strings and positions. They keep no text, tree or model
// alive, so a run over many files needs the memory of a few.
//
// # Levels
//
// A rule has a level. The settings may name another one for it, which holds
// for all its findings; a finding that the rule itself marked lower (see
// Report.As) stays lower. A rule at level off does not run.
package lint

import "fmt"

// Level says how much a finding matters. The zero value is not a level.
type Level uint8

// The levels, least first.
const (
	Off     Level = iota + 1 // the rule does not run
	Hint                     // worth knowing
	Warning                  // can be sewn, with trouble
	Error                    // cannot be sewn, or not as written
)

var levelNames = [...]string{Off: "off", Hint: "hint", Warning: "warning", Error: "error"}

// LevelNames are the levels as they are written, least first.
var LevelNames = levelNames[Off:]

func (l Level) String() string {
	if l < Off || l > Error {
		return fmt.Sprintf("Level(%d)", uint8(l))
	}
	return levelNames[l]
}

// ParseLevel reads a level as it is written.
func ParseLevel(s string) (Level, bool) {
	for i, name := range LevelNames {
		if s == name {
			return Off + Level(i), true
		}
	}
	return 0, false
}

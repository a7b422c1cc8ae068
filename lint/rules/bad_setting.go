package rules

import (
	"sewable/lint"
)

var badSetting = &lint.Rule{
	Name:  "bad-setting",
	Level: lint.Error,
	Title: "A setting that is misspelled or out of range",
	Why: `sewable.toml sets what is too small or too sharp for this repository. A misspelled key sets
nothing: the default applies silently, and nobody notices.`,
	Bad: `
[limits]
alowance = "1/8 in"
`,
	Good: `
[limits]
allowance = "1/8 in"
`,
	Since:    "0.1",
	Settings: badSettings,
}

func badSettings(p *lint.Pass, f *lint.SettingsFile) {
	for _, x := range f.Problems {
		at := p.At(x.At)
		switch x.Kind {
		case lint.UnknownKey:
			words := lint.DidYouMean(x.Near)
			if x.Want != "" {
				words = ": " + x.Want + "."
			}
			p.Report(at, "there is no setting called %q here%s", x.Name, words)
		case lint.UnknownRule:
			p.Report(at, "there is no rule called %q%s", x.Name, lint.DidYouMean(x.Near))
		case lint.Renamed:
			p.Report(at, "%s is now called %s; the old name will be removed in the next version.", x.Name, x.Near).As(lint.Warning)
		case lint.BadValue:
			p.Report(at, "%s.", x.Want)
		case lint.SetTwice:
			p.Report(at, "%s is set twice. Keep one.", x.Name)
		case lint.FixedLevel:
			p.Report(at, "the level of %s cannot be lowered: %s. Remove this line; `exclude` keeps drafts out.", x.Name, x.Want)
		case lint.Unread:
			p.Report(at, "the settings cannot be read: %s.", x.Want)
		case lint.NotTOML:
			p.Report(at, "the settings cannot be read from here on: %s.", x.Want)
		}
	}
}

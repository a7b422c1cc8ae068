package lint_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lint"
)

func TestValidate(t *testing.T) {
	assert.NoError(t, lint.Validate([]*lint.Rule{plum, wide, idle, setting}))

	for name, c := range map[string]struct {
		spoil func(*lint.Rule)
		says  string
	}{
		"a name with capitals":   {func(r *lint.Rule) { r.Name = "Plum" }, "not kebab-case"},
		"a name with an end":     {func(r *lint.Rule) { r.Name = "plum-" }, "not kebab-case"},
		"no level":               {func(r *lint.Rule) { r.Level = 0 }, "no level"},
		"a level past the last":  {func(r *lint.Rule) { r.Level = lint.Error + 1 }, "no level"},
		"no title":               {func(r *lint.Rule) { r.Title = "" }, "Title is empty"},
		"a title with full stop": {func(r *lint.Rule) { r.Title = "A patch." }, "without a full stop"},
		"no reason":              {func(r *lint.Rule) { r.Why = " \n" }, "Why is empty"},
		"no bad example":         {func(r *lint.Rule) { r.Bad = "" }, "Bad is empty"},
		"no good example":        {func(r *lint.Rule) { r.Good = "" }, "Good is empty"},
		"no version":             {func(r *lint.Rule) { r.Since = "soon" }, "Since"},
		"no function":            {func(r *lint.Rule) { r.Run = nil }, "exactly one of"},
		"two functions":          {func(r *lint.Rule) { r.Accepts = idle.Accepts }, "exactly one of"},
	} {
		t.Run(name, func(t *testing.T) {
			r := *plum
			c.spoil(&r)
			assert.ErrorContains(t, lint.Validate([]*lint.Rule{&r}), c.says)
		})
	}
	assert.ErrorContains(t, lint.Validate([]*lint.Rule{plum, plum}), "there twice")
}

func TestValidateFinding(t *testing.T) {
	good := lint.Finding{Rule: "x", Level: lint.Hint, Message: "C4 is sharp."}
	good.Start.Line, good.End.Line = 1, 1
	edit := []lint.Edit{{New: "x"}}
	assert.NoError(t, lint.ValidateFinding(good))
	for name, c := range map[string]struct {
		spoil func(*lint.Finding)
		says  string
	}{
		"no level":        {func(f *lint.Finding) { f.Level = 0 }, "level"},
		"off":             {func(f *lint.Finding) { f.Level = lint.Off }, "level"},
		"no message":      {func(f *lint.Finding) { f.Message = "" }, "not one line"},
		"two lines":       {func(f *lint.Finding) { f.Message = "a\nb" }, "not one line"},
		"a slip of verbs": {func(f *lint.Finding) { f.Message = "C4 is %!d(string=x)" }, "formatted wrongly"},
		"no place":        {func(f *lint.Finding) { f.Start.Line = 0 }, "no place"},
		"silent related":  {func(f *lint.Finding) { f.Related = []lint.Related{{}} }, "without a message"},
		"a noun":          {func(f *lint.Finding) { f.Fixes = []lint.Fix{{Title: "Order", Edits: edit}} }, "verb phrase"},
		"a full stop":     {func(f *lint.Finding) { f.Fixes = []lint.Fix{{Title: "Use sky.", Edits: edit}} }, "verb phrase"},
		"no edit":         {func(f *lint.Finding) { f.Fixes = []lint.Fix{{Title: "Use sky"}} }, "changes nothing"},
	} {
		t.Run(name, func(t *testing.T) {
			f := good
			c.spoil(&f)
			assert.ErrorContains(t, lint.ValidateFinding(f), c.says)
		})
	}
}

func TestLevels(t *testing.T) {
	for _, l := range []lint.Level{lint.Off, lint.Hint, lint.Warning, lint.Error} {
		got, ok := lint.ParseLevel(l.String())
		assert.True(t, ok)
		assert.Equal(t, l, got)
	}
	_, ok := lint.ParseLevel("")
	assert.False(t, ok, "the zero value is not a level")
	assert.Equal(t, "Level(0)", lint.Level(0).String())
}

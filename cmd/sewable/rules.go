package main

import (
	"fmt"
	"io"

	"sewable/lang/near"
	"sewable/lint"
	"sewable/lint/docs"
	"sewable/lint/rules"
)

type rulesCmd struct {
	Name   string `arg:"" optional:"" help:"Rule to explain. Default: list all rules."`
	Format string `enum:"text,markdown" default:"text" help:"Output format: text or markdown."`
}

// Run prints what is known of one rule, or the list of rules.
func (c rulesCmd) Run(s streams) error {
	text, err := c.text()
	if err != nil {
		return err
	}
	_, err = io.WriteString(s.out, text)
	return err
}

func (c rulesCmd) text() (string, error) {
	markdown := c.Format == "markdown"
	if c.Name == "" {
		if markdown {
			return docs.Index(rules.All), nil
		}
		return docs.IndexText(rules.All), nil
	}
	var names []string
	for _, r := range rules.All {
		names = append(names, r.Name)
		switch {
		case r.Name != c.Name:
		case markdown:
			return docs.Rule(r), nil
		default:
			return docs.RuleText(r), nil
		}
	}
	return "", fmt.Errorf("there is no rule called %q%s", c.Name, lint.DidYouMean(near.Nearest(c.Name, names)))
}

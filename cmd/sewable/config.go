package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"text/tabwriter"

	"sewable/lang/geom"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/rules"
)

type configCmd struct {
	File   string `arg:"" help:"A block file, or where one would be."`
	All    bool   `help:"Also list the rules whose level is not set."`
	Format string `enum:"text,json" default:"text" help:"text or json."`
	Config string `placeholder:"FILE" help:"Use only this settings file."`
}

// Help says what the columns are.
func (configCmd) Help() string {
	return `Shows the settings in force for a file: each setting, its value, and where it is set. "default" means nowhere.`
}

// configVersion is raised when a program that reads the form would go wrong with a newer one.
const configVersion = 1

// inForce is a setting as the JSON form has it.
type inForce struct {
	Path  string `json:"path"`
	Value string `json:"value"`
	File  string `json:"file,omitempty"` // where it is set; a default is set nowhere
	Line  int    `json:"line,omitempty"`
}

// Run prints what is in force.
func (c configCmd) Run(_ context.Context, s streams) error {
	o, err := lintOptions(c.Config)
	if err != nil {
		return err
	}
	unit := geom.Inches
	switch f, err := open(o, c.File); {
	case err == nil:
		unit = f.Unit
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	var list []inForce
	for _, is := range o.Config.For(c.File).InForce(unit, rules.All) {
		row := inForce{Path: is.Path, Value: is.Value}
		if is.File != nil {
			row.File, row.Line = is.File.Path, is.File.Position(is.At.Start).Line
		}
		if row.File != "" || c.All || is.Rule == nil {
			list = append(list, row)
		}
	}
	excluded := o.Config.Excluded(c.File)
	if c.Format == "json" {
		return visible.JSON(s.raw.out, struct {
			Version  int       `json:"version"`
			File     string    `json:"file"`
			Excluded bool      `json:"excluded"`
			Settings []inForce `json:"settings"`
		}{configVersion, c.File, excluded, list})
	}
	w := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	for _, row := range list {
		where, value := "default", row.Value
		if row.File != "" {
			where = fmt.Sprintf("%s:%d", visible.Text(row.File), row.Line)
		}
		if value == "" {
			value = "none"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", row.Path, visible.Text(value), where)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if excluded {
		fmt.Fprintf(s.out, "\n%s is excluded, so it is not checked.\n", visible.Text(c.File))
	}
	return sayProblems(s, o.Config)
}

// sayProblems says what in the settings files could not be used.
func sayProblems(s streams, config *lint.Config) error {
	for _, f := range config.Files() {
		findings, _ := lint.CheckSettings(f, rules.All)
		for _, x := range findings {
			fmt.Fprintf(s.err, "%s: %s: %s\n", visible.Text(x.Place.String()), x.Level, visible.Text(x.Message))
			if x.Level == lint.Error {
				return errFound
			}
		}
	}
	return nil
}

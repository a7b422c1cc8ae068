package main

import (
	"fmt"
)

// forceFlag goes on where findings at error level would end a command.
type forceFlag struct {
	Force  bool `help:"Go on in spite of findings at error level; every sheet says that it cannot be sewn."`
	Anyway bool `hidden:"" help:"The old name of --force."`
}

// AfterApply takes the old name for the new one.
func (f *forceFlag) AfterApply(s streams) error {
	if f.Anyway {
		f.Force = true
		_, err := fmt.Fprintln(s.err, "sewable: --anyway is now called --force; the old name will go with the next version")
		return err
	}
	return nil
}

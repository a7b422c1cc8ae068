package main

// forceFlag goes on where findings at error level would end a command.
type forceFlag struct {
	Force bool `help:"Continue despite errors; every sheet is marked \"cannot be sewn\"."`
}

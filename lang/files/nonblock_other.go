//go:build !unix

package files

// nonblock is nothing here: a pipe has no place among the files of a folder.
const nonblock = 0

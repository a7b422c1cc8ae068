// Package sew decides whether a block can be sewn.
package sew

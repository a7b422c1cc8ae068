package main

import (
	"errors"
	"fmt"

	"sewable/lang/block"
	"sewable/lang/near"
	"sewable/lint"
)

// allSizes asks for a block as it is drawn and in each of its sizes.
const allSizes = "all"

// sizeFlag is the size in which blocks are wanted.
type sizeFlag struct {
	Size string `placeholder:"NAME" help:"Use this size of the blocks, or all of them: all. Default: as drawn."`
}

var errSizeOfSetting = errors.New("--size is for blocks; a setting names its own sizes in `fill` and `row`")

// of are the blocks in the size that is asked for; a block without it is left out, unless that leaves none.
func (c sizeFlag) of(blocks []*block.Block) (out []*block.Block, err error) {
	if c.Size == "" {
		return blocks, nil
	}
	known := []string{allSizes}
	for _, b := range blocks {
		if c.Size == allSizes {
			out = append(out, b.InSizes()...)
			continue
		}
		for _, s := range b.Sizes {
			known = append(known, s.Name)
			switch {
			case s.Name != c.Size:
			case s.Broken:
				return nil, fmt.Errorf("the size %s of %q does not scale the block; `sewable lint` says why", s.Name, b.Name)
			default:
				out = append(out, s.Block())
			}
		}
	}
	if len(out) == 0 && len(blocks) > 0 {
		return nil, fmt.Errorf("there is no size called %s%s", c.Size, lint.DidYouMean(near.Nearest(c.Size, known)))
	}
	return out, nil
}

package main

import (
	"context"
	"fmt"

	"sewable/lint"
	"sewable/lint/cache"
)

// cacheFlags say whether what was found before may be taken over.
type cacheFlags struct {
	Cache   string `env:"SEWABLE_CACHE" placeholder:"FOLDER" help:"Keep what is found in this folder, for the next run; left out, in the user's folder for caches."`
	NoCache bool   `help:"Take nothing over from earlier runs, and keep nothing for later ones."`
}

// run is lint.Run, with a cache when there is one.
func (c cacheFlags) run(ctx context.Context, paths []string, o lint.Options) (*lint.Result, error) {
	dir := c.Cache
	if dir == "" && !c.NoCache {
		dir, _ = cache.Folder()
	}
	if dir == "" || c.NoCache {
		return lint.Run(ctx, paths, o)
	}
	kept, err := cache.Open(dir)
	if err != nil {
		return nil, fmt.Errorf("%w (--no-cache goes without, --cache takes another folder)", err)
	}
	return kept.Run(ctx, paths, o)
}

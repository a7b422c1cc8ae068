package main

import (
	"context"
	"fmt"

	"sewable/lint"
	"sewable/lint/cache"
	"sewable/lint/output"
)

// cacheFlags say whether what was found before may be taken over.
type cacheFlags struct {
	Cache   string `env:"SEWABLE_CACHE" placeholder:"FOLDER" help:"Folder for cached results. Default: in the user's cache folder."`
	NoCache bool   `help:"Neither use nor write cached results."`
}

// open gives the cache, or nil when there is none. One that was asked for has to be there before any
// work is done; without the user's own a run is slower, which it says once.
func (c cacheFlags) open(s streams) (*cache.Cache, error) {
	dir, own := c.Cache, false
	if dir == "" && !c.NoCache {
		dir, own = cache.Folder()
	}
	if dir == "" || c.NoCache {
		return nil, nil
	}
	kept, err := cache.Open(dir)
	switch {
	case err == nil:
		return kept, nil
	case own:
		fmt.Fprintf(s.err, "sewable: %s. Continuing without a cache (--no-cache turns this warning off)\n", output.Plain(err.Error()))
		return nil, nil
	}
	return nil, fmt.Errorf("%w (--no-cache runs without a cache)", err)
}

// runCached is lint.Run, with the cache when there is one. That it could not be written in the end costs the next run
// time, and this one nothing.
func runCached(ctx context.Context, s streams, kept *cache.Cache, paths []string, o lint.Options) (*lint.Result, error) {
	if kept == nil {
		return lint.Run(ctx, paths, o)
	}
	found, err := kept.Run(ctx, paths, o)
	if found != nil && err != nil {
		fmt.Fprintf(s.err, "sewable: %s\n", output.Plain(err.Error()))
		err = nil
	}
	return found, err
}

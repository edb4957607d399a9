package osm

import (
	"context"

	"lastroad/geo"
)

func readText(ctx context.Context, src Source, kept *mask, opts Options, p *progress) (*collection, error) {
	return nil, &geo.InputError{File: src.Name, Reason: "not yet"}
}

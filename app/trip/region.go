package trip

import (
	"context"
	"os"
	"path/filepath"

	"lastroad/geo/osm"
)

// readRegion reads the corridor of a region file, from the cache when the same corridor of the same
// file (path, size and time) was read before. A cache that cannot be read or written is passed over.
func readRegion(ctx context.Context, path string, c osm.Corridor, progress Progress) (*osm.Region, FileRef, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, FileRef{}, fileError(path, err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return nil, FileRef{}, fileError(path, err)
	}
	ref := refOf(path, st)
	stage := "read the region: " + filepath.Base(path)
	progress.say(stage, 0)
	r, err := osm.Read(ctx, osm.Source{Name: filepath.Base(path), R: f, Size: st.Size()}, c, osm.Options{}, func(done, total int64) {
		if total > 0 {
			progress.say(stage, float64(done)/float64(total))
		}
	})
	if err != nil {
		return nil, ref, err
	}
	return r, ref, nil
}

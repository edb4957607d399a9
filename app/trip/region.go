package trip

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"

	"github.com/google/renameio/v2/maybe"

	"lastroad/geo/osm"
)

// readRegion reads the corridor of a region file, from the cache when the same corridor of the same
// file (path, size and time) was read before. A cache that cannot be read or written is passed over.
func readRegion(ctx context.Context, path string, c osm.Corridor, progress Progress) (*osm.Region, FileRef, error) {
	f, st, err := openFile(path)
	if err != nil {
		return nil, FileRef{}, err
	}
	defer f.Close()
	ref := refOf(path, st)
	cached := cacheFile(ref, c)
	if data, err := os.ReadFile(cached); err == nil {
		progress.say("read the region from the cache", 0)
		if r, err := osm.Decode(bytes.NewReader(data)); err == nil {
			return r, ref, nil
		}
	}
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
	var b bytes.Buffer
	if err := r.Encode(&b); err == nil {
		if os.MkdirAll(filepath.Dir(cached), 0o700) == nil {
			maybe.WriteFile(cached, b.Bytes(), 0o600)
		}
	}
	return r, ref, nil
}

// cacheFile is where the corridor is kept. Its name depends on the file's path, size and time and on every
// point of the line.
func cacheFile(ref FileRef, c osm.Corridor) string {
	h := sha256.New()
	fmt.Fprintf(h, "1 %s %d %d %g\n", ref.Path, ref.Size, ref.ModUnix, c.Radius())
	for _, p := range c.Line {
		fmt.Fprintf(h, "%.7f %.7f\n", p[0], p[1])
	}
	return filepath.Join(CacheDir(), "regions", hex.EncodeToString(h.Sum(nil)[:16]))
}

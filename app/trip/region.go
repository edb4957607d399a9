package trip

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/google/renameio/v2/maybe"

	"lastroad/geo/osm"
)

// mostCached bounds the kept corridors, in bytes. Judgement: those of some hundred routes in well mapped country.
const mostCached = 1 << 30

// trimCache throws away the files of a folder that were used longest ago until what is left holds at most so many
// bytes.
func trimCache(dir string, most int64) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	var files []os.FileInfo
	var total int64
	for _, e := range entries {
		if st, err := e.Info(); err == nil && st.Mode().IsRegular() {
			files = append(files, st)
			total += st.Size()
		}
	}
	slices.SortFunc(files, func(a, b os.FileInfo) int { return a.ModTime().Compare(b.ModTime()) })
	for _, f := range files {
		if total <= most {
			return
		}
		if os.Remove(filepath.Join(dir, f.Name())) == nil {
			total -= f.Size()
		}
	}
}

// readRegion reads the corridor of a region file, from the cache when the same corridor of a file with the same
// name and content was read before. A cache that cannot be read or written is passed over.
func readRegion(ctx context.Context, path string, c osm.Corridor, progress Progress) (*osm.Region, FileRef, error) {
	f, st, err := openFile(path)
	if err != nil {
		return nil, FileRef{}, err
	}
	defer f.Close()
	ref := refOf(path, st)
	if ref.Sum, err = contentSum(ctx, f, st.Size()); err != nil {
		if ctx.Err() != nil {
			return nil, ref, ctx.Err()
		}
		return nil, ref, fileError(path, err)
	}
	cached := cacheFile(ref, c)
	if data, err := os.ReadFile(cached); err == nil {
		progress.say("read the region from the cache", 0)
		if r, err := osm.Decode(bytes.NewReader(data)); err == nil {
			now := time.Now()
			os.Chtimes(cached, now, now) // used last, thrown away last
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
			trimCache(filepath.Dir(cached), mostCached)
		}
	}
	return r, ref, nil
}

// contentSum is a sum of what stands in a file. Size and time alone would miss a file written again within the
// same second or with its old time put back, and call one that was only copied or touched another. SHA-256 goes
// through some 1.5 GB a second on processors that know it, which is little beside reading the region.
func contentSum(ctx context.Context, f io.ReaderAt, size int64) (string, error) {
	h := sha256.New()
	const part = 16 << 20 // between two looks at ctx
	for at := int64(0); at < size; at += part {
		if err := ctx.Err(); err != nil {
			return "", err
		}
		if _, err := io.Copy(h, io.NewSectionReader(f, at, min(part, size-at))); err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:16]), nil
}

// cacheFile is where the corridor is kept. Its name depends on the file's name (which the region bears), its
// content and every point of the line.
func cacheFile(ref FileRef, c osm.Corridor) string {
	h := sha256.New()
	fmt.Fprintf(h, "2 %q %d %s %g\n", filepath.Base(ref.Path), ref.Size, ref.Sum, c.Radius())
	for _, p := range c.Line {
		fmt.Fprintf(h, "%.7f %.7f\n", p[0], p[1])
	}
	return filepath.Join(CacheDir(), "regions", hex.EncodeToString(h.Sum(nil)[:16]))
}

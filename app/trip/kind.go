package trip

import (
	"archive/zip"
	"bytes"
	"compress/bzip2"
	"compress/gzip"
	"io"
	"path/filepath"
	"strings"

	"lastroad/geo"
)

// Kind is what a file is to this program.
type Kind uint8

// The kinds of file.
const (
	KindUnknown Kind = iota
	KindTrip         // a saved trip
	KindRoute        // GPX, or GeoJSON of lines
	KindRegion       // OpenStreetMap data, or GeoJSON with ways and areas
	KindHeights      // elevation tile
)

// KindOf tells what the file at path is, by its content first and its name where the content leaves a
// choice (GeoJSON may be a route or a region: it is a region when a feature carries a highway, natural,
// landuse, amenity or surface property). Errors are those of reading the file.
func KindOf(path string) (Kind, error) {
	f, st, err := openFile(path)
	if err != nil {
		return KindUnknown, err
	}
	defer f.Close()
	if st.Size() == 0 {
		return KindUnknown, &geo.InputError{File: filepath.Base(path), Reason: "is empty", Remedy: "fetch it again"}
	}
	name := strings.ToLower(filepath.Base(path))
	head := make([]byte, 64<<10)
	n, _ := io.ReadFull(f, head)
	head = head[:n]
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return zipKind(f, st.Size(), name), nil
	case bytes.HasPrefix(head, []byte("\x1f\x8b")):
		r, err := gzip.NewReader(io.MultiReader(bytes.NewReader(head), f))
		if err != nil {
			return KindUnknown, nil
		}
		return textKind(r, strings.TrimSuffix(name, ".gz")), nil
	case bytes.HasPrefix(head, []byte("BZh")):
		return textKind(bzip2.NewReader(io.MultiReader(bytes.NewReader(head), f)), strings.TrimSuffix(name, ".bz2")), nil
	case bytes.HasPrefix(head, []byte("II*\x00")), bytes.HasPrefix(head, []byte("MM\x00*")), bytes.HasPrefix(head, []byte("II+\x00")), bytes.HasPrefix(head, []byte("MM\x00+")):
		return KindHeights, nil
	case strings.HasSuffix(name, ".hgt"):
		return KindHeights, nil
	case strings.HasSuffix(name, ".pbf") || bytes.Contains(head[:min(n, 64)], []byte("OSMHeader")):
		return KindRegion, nil
	case strings.HasSuffix(name, ".trip"):
		return KindTrip, nil
	}
	return textKind(io.MultiReader(bytes.NewReader(head), f), name), nil
}

func zipKind(r io.ReaderAt, size int64, name string) Kind {
	if strings.HasSuffix(name, ".trip") {
		return KindTrip
	}
	z, err := zip.NewReader(r, size)
	if err != nil {
		if strings.Contains(name, ".hgt") {
			return KindHeights // it will say what is wrong with it
		}
		return KindUnknown
	}
	for _, f := range z.File {
		switch {
		case f.Name == planPart:
			return KindTrip
		case strings.HasSuffix(strings.ToLower(f.Name), ".hgt"):
			return KindHeights
		}
	}
	return KindUnknown
}

// textKind looks at the first 64 KiB of unpacked content.
func textKind(r io.Reader, name string) Kind {
	head := make([]byte, 64<<10)
	n, _ := io.ReadFull(r, head)
	head = head[:n]
	if strings.HasSuffix(name, ".hgt") {
		return KindHeights
	}
	has := func(s string) bool { return bytes.Contains(head, []byte(s)) }
	trimmed := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case has("<osm") || has("<osmChange"):
		return KindRegion
	case has("<gpx"):
		return KindRoute
	case len(trimmed) > 0 && trimmed[0] == '{':
		for _, k := range []string{`"highway"`, `"natural"`, `"landuse"`, `"amenity"`, `"surface"`, `"Polygon"`, `"MultiPolygon"`, `"SURFACETYP`} {
			if has(k) {
				return KindRegion
			}
		}
		return KindRoute
	case strings.HasSuffix(name, ".osm"):
		return KindRegion
	case strings.HasSuffix(name, ".gpx"), strings.HasSuffix(name, ".geojson"), strings.HasSuffix(name, ".json"):
		return KindRoute // the reader says what is wrong with it
	}
	return KindUnknown
}
